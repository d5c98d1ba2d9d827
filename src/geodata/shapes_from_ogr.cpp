#include "shapes_from_ogr.hpp"

#include "gdal_support.hpp"

#include <cmath>

#include <fmt/format.h>

namespace curbshed::geodata::detail {
namespace {

base::Polyline points_of(const OGRSimpleCurve& curve, double metres_per_unit) {
  base::Polyline line;
  line.reserve(static_cast<std::size_t>(curve.getNumPoints()));
  for (int i = 0; i < curve.getNumPoints(); ++i) {
    line.push_back({curve.getX(i) * metres_per_unit, curve.getY(i) * metres_per_unit});
  }
  return line;
}

bool finite_curve(const OGRSimpleCurve& curve) {
  for (int i = 0; i < curve.getNumPoints(); ++i) {
    if (!std::isfinite(curve.getX(i)) || !std::isfinite(curve.getY(i))) {
      return false;
    }
  }
  return true;
}

std::string add_polygon(const OGRPolygon& polygon, double metres_per_unit, base::Shape& shape) {
  base::Polygon made;
  for (const OGRLinearRing* ring : polygon) {
    base::Polyline line = points_of(*ring, metres_per_unit);
    if (!line.empty() && !(line.front() == line.back())) {
      line.push_back(line.front());
    }
    if (line.size() < 4) {
      return "a ring of the polygon has fewer than three corners";
    }
    made.rings.push_back(std::move(line));
  }
  if (made.rings.empty()) {
    return "the polygon has no ring";
  }
  shape.polygons.push_back(std::move(made));
  return {};
}

/// Adds one geometry or all parts of a collection.
std::string add(const OGRGeometry& geometry, double metres_per_unit, base::Shape& shape) {
  switch (wkbFlatten(geometry.getGeometryType())) {
    case wkbPoint: {
      const OGRPoint& point = *geometry.toPoint();
      if (point.IsEmpty()) {
        return "a point is empty";
      }
      shape.points.push_back({point.getX() * metres_per_unit, point.getY() * metres_per_unit});
      return {};
    }
    case wkbLineString: {
      base::Polyline line = points_of(*geometry.toLineString(), metres_per_unit);
      if (!(base::length_m(line) > 0.0)) {
        return "a line has no length";
      }
      shape.lines.push_back(std::move(line));
      return {};
    }
    case wkbPolygon:
      return add_polygon(*geometry.toPolygon(), metres_per_unit, shape);
    case wkbMultiPoint:
    case wkbMultiLineString:
    case wkbMultiPolygon:
    case wkbGeometryCollection: {
      for (const OGRGeometry* part : *geometry.toGeometryCollection()) {
        std::string reason = add(*part, metres_per_unit, shape);
        if (!reason.empty()) {
          return reason;
        }
      }
      return {};
    }
    default:
      return fmt::format("a shape of type {} cannot be used", geometry.getGeometryName());
  }
}

}  // namespace

base::ShapeKind kind_of(const OGRGeometry& geometry) {
  switch (wkbFlatten(geometry.getGeometryType())) {
    case wkbPoint:
    case wkbMultiPoint:
      return base::ShapeKind::Point;
    case wkbLineString:
    case wkbMultiLineString:
      return base::ShapeKind::Line;
    case wkbPolygon:
    case wkbMultiPolygon:
      return base::ShapeKind::Polygon;
    case wkbGeometryCollection: {
      base::ShapeKind kind = base::ShapeKind::None;
      for (const OGRGeometry* part : *geometry.toGeometryCollection()) {
        const base::ShapeKind own = kind_of(*part);
        if (own == base::ShapeKind::None || (kind != base::ShapeKind::None && own != kind)) {
          return base::ShapeKind::None;
        }
        kind = own;
      }
      return kind;
    }
    default:
      return base::ShapeKind::None;
  }
}

std::string kind_words(base::ShapeKind kind) {
  switch (kind) {
    case base::ShapeKind::Point:
      return "a point";
    case base::ShapeKind::Line:
      return "a line";
    case base::ShapeKind::Polygon:
      return "a polygon";
    case base::ShapeKind::None:
      break;
  }
  return "a shape of another or mixed kind";
}

bool all_finite(const OGRGeometry& geometry) {
  switch (wkbFlatten(geometry.getGeometryType())) {
    case wkbPoint:
      return std::isfinite(geometry.toPoint()->getX()) && std::isfinite(geometry.toPoint()->getY());
    case wkbLineString:
      return finite_curve(*geometry.toLineString());
    case wkbPolygon: {
      for (const OGRLinearRing* ring : *geometry.toPolygon()) {
        if (!finite_curve(*ring)) {
          return false;
        }
      }
      return true;
    }
    case wkbMultiPoint:
    case wkbMultiLineString:
    case wkbMultiPolygon:
    case wkbGeometryCollection: {
      for (const OGRGeometry* part : *geometry.toGeometryCollection()) {
        if (!all_finite(*part)) {
          return false;
        }
      }
      return true;
    }
    default:
      return true;
  }
}

ShapeOrReason from_ogr(const OGRGeometry& geometry, double metres_per_unit) {
  ShapeOrReason result;
  result.shape.kind = kind_of(geometry);
  if (result.shape.kind == base::ShapeKind::Polygon) {
    GdalMessages messages;
    if (!geometry.IsValid()) {
      result.reason = messages.last_warning().empty()
                          ? "the polygon is not valid"
                          : fmt::format("the polygon is not valid: {}", messages.last_warning());
      return result;
    }
  }
  result.reason = add(geometry, metres_per_unit, result.shape);
  return result;
}

}  // namespace curbshed::geodata::detail
