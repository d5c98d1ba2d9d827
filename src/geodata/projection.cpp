#include "curbshed/geodata/projection.hpp"

#include "curbshed/base/quantity.hpp"

#include "gdal_support.hpp"

#include <algorithm>
#include <cmath>

#include <cpl_conv.h>
#include <fmt/format.h>

namespace curbshed::geodata {
namespace {

using base::InputError;
using base::Where;

constexpr const char* kAllowed = "a projected system in metres or feet: a UTM zone, a state or national grid";

bool is_web_mercator(const OGRSpatialReference& system) {
  const char* code = system.GetAuthorityCode(nullptr);
  const char* method = system.GetAttrValue("PROJECTION");
  const char* proj4 = system.GetExtension("PROJCS", "PROJ4", "");
  const std::string_view name = system.GetName() == nullptr ? "" : system.GetName();
  return (code != nullptr && std::string_view(code) == "3857") ||
         name.find("Pseudo-Mercator") != std::string_view::npos ||
         (method != nullptr && std::string_view(method).find("Mercator") == 0 &&
          std::string_view(proj4).find("+nadgrids=@null") != std::string_view::npos);
}

/// "a UTM zone" or the one that holds the centre.
std::string zone_words(const OGRSpatialReference& system, std::optional<base::Point> centre) {
  if (!centre) {
    return "the UTM zone of the place";
  }
  OGRSpatialReference degrees = detail::spatial_reference("EPSG:4326");
  const std::unique_ptr<OGRCoordinateTransformation> to_degrees(
      OGRCreateCoordinateTransformation(&system, &degrees));
  double x = centre->x_m;
  double y = centre->y_m;
  if (!to_degrees || !to_degrees->Transform(1, &x, &y) || !std::isfinite(x) || !std::isfinite(y)) {
    return "the UTM zone of the place";
  }
  return utm_zone_of(x, y);
}

std::string unit_word(const OGRSpatialReference& system, double metres_per_unit) {
  const auto near = [&](double unit) { return std::abs(metres_per_unit / unit - 1.0) < 1e-9; };
  if (near(1.0)) {
    return "m";
  }
  if (near(base::kMetresPerFoot)) {
    return "ft";
  }
  if (near(base::kMetresPerUsSurveyFoot)) {
    return "usft";
  }
  const char* name = nullptr;
  system.GetLinearUnits(&name);
  return name == nullptr ? "unit" : name;
}

std::string warp_advice(const std::string& zone) {
  return fmt::format("bring the elevation model to {} (gdalwarp -t_srs CODE -tr 0.5 0.5 -r bilinear IN OUT)",
                     zone);
}

}  // namespace

namespace detail {

OGRSpatialReference spatial_reference(const std::string& text) {
  OGRSpatialReference system;
  // A code or WKT only: no file and no address is opened.
  const char* const options[] = {"ALLOW_NETWORK_ACCESS=NO", "ALLOW_FILE_ACCESS=NO", nullptr};
  if (system.SetFromUserInput(text.c_str(), options) != OGRERR_NONE) {
    system.Clear();
  }
  system.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  return system;
}

OGRSpatialReference horizontal(const OGRSpatialReference& system) {
  OGRSpatialReference flat(system);
  flat.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  if (flat.IsCompound()) {
    flat.StripVertical();
  }
  flat.DemoteTo2D(nullptr);
  return flat;
}

std::string wkt_of(const OGRSpatialReference& system) {
  const char* const options[] = {"FORMAT=WKT2_2019", nullptr};
  char* text = nullptr;
  system.exportToWkt(&text, options);
  std::string wkt = text == nullptr ? "" : text;
  CPLFree(text);
  return wkt;
}

std::string name_of(const OGRSpatialReference& system) {
  const char* name = system.GetName();
  return name == nullptr ? "unnamed" : name;
}

Projection checked_projection(const OGRSpatialReference* system, const Where& where,
                              std::optional<base::Point> centre) {
  if (system == nullptr || system->IsEmpty()) {
    throw InputError(where, "the file does not say its coordinate system", kAllowed,
                     "ask its maker for it and write it into the file (gdal_edit.py -a_srs CODE FILE)");
  }
  const OGRSpatialReference flat = horizontal(*system);
  if (flat.IsGeographic()) {
    throw InputError(where, fmt::format("the coordinates are degrees ({})", name_of(flat)), kAllowed,
                     warp_advice(zone_words(flat, centre)));
  }
  if (flat.IsProjected() && is_web_mercator(flat)) {
    throw InputError(
        where,
        fmt::format("the coordinate system is {}, whose metres are longer than metres on the ground",
                    name_of(flat)),
        kAllowed, warp_advice(zone_words(flat, centre)));
  }
  if (!flat.IsProjected()) {
    throw InputError(
        where, fmt::format("the coordinate system \"{}\" has no known place on Earth", name_of(flat)),
        kAllowed,
        "ask the file's maker for its system and write it into the file (gdal_edit.py -a_srs CODE FILE)");
  }
  Projection projection;
  projection.wkt = wkt_of(flat);
  projection.name = name_of(flat);
  const char* authority = flat.GetAuthorityName(nullptr);
  const char* code = flat.GetAuthorityCode(nullptr);
  if (authority != nullptr && code != nullptr) {
    projection.code = fmt::format("{}:{}", authority, code);
  }
  projection.metres_per_unit = flat.GetLinearUnits(nullptr);
  projection.unit = unit_word(flat, projection.metres_per_unit);
  // PROJ's table rounds 1200/3937 to 15 digits.
  if (projection.unit == "usft") {
    projection.metres_per_unit = base::kMetresPerUsSurveyFoot;
  }
  if (!(projection.metres_per_unit > 0.0)) {
    throw InputError(where, fmt::format("the unit of {} is not known", projection.name), kAllowed,
                     warp_advice(zone_words(flat, centre)));
  }
  return projection;
}

}  // namespace detail

Projection read_projection(const std::string& text, const Where& where, std::optional<base::Point> centre) {
  detail::start_gdal();
  detail::GdalMessages messages;
  const OGRSpatialReference system = detail::spatial_reference(text);
  if (system.IsEmpty()) {
    throw InputError(where, fmt::format("\"{}\" is not a coordinate system", text),
                     "a code such as EPSG:32612, or WKT", "correct the code");
  }
  return detail::checked_projection(&system, where, centre);
}

base::Box box_in_metres(const base::Box& box, const std::string& crs, const Projection& projection,
                        const Where& where) {
  double to[4] = {box.min_x_m, box.min_y_m, box.max_x_m, box.max_y_m};
  if (!crs.empty()) {
    detail::start_gdal();
    detail::GdalMessages messages;
    const OGRSpatialReference own = detail::spatial_reference(crs);
    if (own.IsEmpty()) {
      throw InputError(where, fmt::format("\"{}\" is not a coordinate system", crs),
                       "a code such as EPSG:4326 (longitude and latitude), or WKT", "correct the code");
    }
    const OGRSpatialReference target = detail::spatial_reference(projection.wkt);
    const std::unique_ptr<OGRCoordinateTransformation> way(OGRCreateCoordinateTransformation(&own, &target));
    constexpr int kPointsASide = 21;
    const double from[4] = {to[0], to[1], to[2], to[3]};
    if (!way || way->TransformBounds(from[0], from[1], from[2], from[3], &to[0], &to[1], &to[2], &to[3],
                                     kPointsASide) == FALSE) {
      throw InputError(
          where,
          fmt::format("the corners cannot be brought from {} to {}", detail::name_of(own), projection.name),
          {}, "check the corners (longitude is west and east) and their crs");
    }
  }
  base::Box metres;
  metres.add({to[0] * projection.metres_per_unit, to[1] * projection.metres_per_unit});
  metres.add({to[2] * projection.metres_per_unit, to[3] * projection.metres_per_unit});
  return metres;
}

std::string utm_zone_of(double longitude_deg, double latitude_deg) {
  const int zone = std::clamp(static_cast<int>(std::floor((longitude_deg + 180.0) / 6.0)) + 1, 1, 60);
  const bool north = latitude_deg >= 0.0;
  return fmt::format("WGS 84 / UTM zone {}{} (EPSG:32{}{:02d})", zone, north ? 'N' : 'S', north ? 6 : 7,
                     zone);
}

}  // namespace curbshed::geodata
