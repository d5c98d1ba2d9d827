#include "shapes_to_ogr.hpp"

#include <array>
#include <string>

#include <cpl_string.h>
#include <fmt/format.h>

namespace curbshed::geodata::detail {
namespace {

template <class Line>
std::unique_ptr<Line> line_of(const base::Polyline& points, double metres_per_unit) {
  auto line = std::make_unique<Line>();
  line->setNumPoints(static_cast<int>(points.size()), FALSE);
  for (std::size_t i = 0; i < points.size(); ++i) {
    line->setPoint(static_cast<int>(i), points[i].x_m / metres_per_unit, points[i].y_m / metres_per_unit);
  }
  return line;
}

std::unique_ptr<OGRPolygon> polygon_of(const base::Polygon& polygon, double metres_per_unit) {
  auto made = std::make_unique<OGRPolygon>();
  for (const base::Polyline& ring : polygon.rings) {
    made->addRingDirectly(line_of<OGRLinearRing>(ring, metres_per_unit).release());
  }
  return made;
}

template <class Multi, class Parts, class Make>
std::unique_ptr<OGRGeometry> gather(const Parts& parts, bool multi, const Make& make) {
  if (!multi && parts.size() == 1) {
    return make(parts.front());
  }
  auto whole = std::make_unique<Multi>();
  for (const auto& part : parts) {
    whole->addGeometryDirectly(make(part).release());
  }
  return whole;
}

}  // namespace

std::unique_ptr<OGRGeometry> to_ogr(const base::Shape& shape, double metres_per_unit, bool multi) {
  switch (shape.kind) {
    case base::ShapeKind::Point:
      return gather<OGRMultiPoint>(shape.points, multi, [&](base::Point p) {
        return std::make_unique<OGRPoint>(p.x_m / metres_per_unit, p.y_m / metres_per_unit);
      });
    case base::ShapeKind::Line:
      return gather<OGRMultiLineString>(shape.lines, multi, [&](const base::Polyline& line) {
        return line_of<OGRLineString>(line, metres_per_unit);
      });
    case base::ShapeKind::Polygon:
      return gather<OGRMultiPolygon>(shape.polygons, multi, [&](const base::Polygon& polygon) {
        return polygon_of(polygon, metres_per_unit);
      });
    case base::ShapeKind::None:
      break;
  }
  return nullptr;
}

DatasetPtr memory_raster(const terrain::GridFrame& frame, GDALDataType type, void* cells,
                         double metres_per_unit) {
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("MEM");
  base::ensure(driver != nullptr, "GDAL has its memory driver");
  DatasetPtr raster(
      driver->Create("", static_cast<int>(frame.cols), static_cast<int>(frame.rows), 0, type, nullptr));
  base::ensure(raster != nullptr, "GDAL makes a raster in memory");
  std::array<char, 64> address{};
  address[static_cast<std::size_t>(
      CPLPrintPointer(address.data(), cells, static_cast<int>(address.size()) - 1))] = '\0';
  const std::string option = fmt::format("DATAPOINTER={}", address.data());
  const char* options[] = {option.c_str(), nullptr};
  const bool added = raster->AddBand(type, const_cast<char**>(options)) == CE_None;
  std::array<double, 6> place = {frame.west_m / metres_per_unit,
                                 frame.cell_m / metres_per_unit,
                                 0.0,
                                 frame.north_m / metres_per_unit,
                                 0.0,
                                 -frame.cell_m / metres_per_unit};
  base::ensure(added && raster->SetGeoTransform(place.data()) == CE_None, "GDAL takes our cells");
  return raster;
}

}  // namespace curbshed::geodata::detail
