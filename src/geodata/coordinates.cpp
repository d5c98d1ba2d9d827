#include "curbshed/geodata/coordinates.hpp"

#include "datum.hpp"
#include "gdal_support.hpp"

#include <cmath>
#include <memory>

#include <fmt/format.h>

namespace curbshed::geodata {

namespace {

using TransformPtr = std::unique_ptr<OGRCoordinateTransformation>;

bool carry(OGRCoordinateTransformation& transform, double& x, double& y) {
  return transform.Transform(1, &x, &y) != 0 && std::isfinite(x) && std::isfinite(y);
}

}  // namespace

struct PlaceReader::Way {
  TransformPtr transform;
};

std::vector<std::optional<LongitudeLatitude>> longitudes_latitudes(const std::vector<base::Point>& points,
                                                                   const Projection& projection) {
  detail::start_gdal();
  detail::GdalMessages messages;
  const OGRSpatialReference own = detail::spatial_reference(projection.wkt);
  const OGRSpatialReference degrees = detail::spatial_reference("EPSG:4326");
  const TransformPtr transform(OGRCreateCoordinateTransformation(&own, &degrees));
  std::vector<std::optional<LongitudeLatitude>> out(points.size());
  for (std::size_t i = 0; i < points.size() && transform; ++i) {
    double x = points[i].x_m / projection.metres_per_unit;
    double y = points[i].y_m / projection.metres_per_unit;
    if (carry(*transform, x, y)) {
      out[i] = LongitudeLatitude{x, y};
    }
  }
  return out;
}

PlaceReader::PlaceReader(const std::string& crs, const Projection& projection, const base::Where& where)
    : name_(projection.name), metres_per_unit_(projection.metres_per_unit) {
  if (crs.empty()) {
    return;
  }
  detail::start_gdal();
  detail::GdalMessages messages;
  const OGRSpatialReference read = detail::spatial_reference(crs);
  const OGRSpatialReference own = read.IsEmpty() ? read : detail::horizontal(read);
  if (!own.IsProjected() && !own.IsGeographic()) {
    throw base::InputError(where, fmt::format("\"{}\" is not a coordinate system", crs),
                           "a code such as EPSG:32612 or EPSG:4326, or WKT", "correct crs in the study");
  }
  name_ = detail::name_of(own);
  const OGRSpatialReference target = detail::spatial_reference(projection.wkt);
  const char* const loose[] = {"IGNORE_DATA_AXIS_TO_SRS_AXIS_MAPPING=YES", "CRITERION=EQUIVALENT", nullptr};
  if (own.IsSame(&target, loose) != 0) {
    return;
  }
  TransformPtr transform(OGRCreateCoordinateTransformation(&own, &target));
  if (!transform) {
    throw base::InputError(where, fmt::format("there is no way from {} to {}", name_, projection.name), {},
                           "give the places in the elevation model's system");
  }
  shift_unknown_ = detail::datum_shift_unknown(own, target);
  way_ = std::make_unique<Way>();
  way_->transform = std::move(transform);
}

PlaceReader::~PlaceReader() = default;

std::optional<base::Point> PlaceReader::point(double first, double second) const {
  detail::GdalMessages messages;
  if (way_ && !carry(*way_->transform, first, second)) {
    return std::nullopt;
  }
  if (!std::isfinite(first) || !std::isfinite(second)) {
    return std::nullopt;
  }
  return base::Point{first * metres_per_unit_, second * metres_per_unit_};
}

}  // namespace curbshed::geodata
