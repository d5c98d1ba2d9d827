#include "curbshed/shapes/polygons.hpp"

#include "shapes/geos.hpp"

#include <algorithm>
#include <cmath>

namespace curbshed::shapes {
namespace {

using base::Point;
using base::Polygon;
using base::Polyline;
using detail::Geometry;
using detail::Geos;
using detail::taken;

constexpr double kGrid_m = 1e-4;
constexpr double kMitreLimit = 2.0;
constexpr double kLeastArea_m2 = 1e-6;

bool before(Point a, Point b) { return a.x_m != b.x_m ? a.x_m < b.x_m : a.y_m < b.y_m; }
bool ring_before(const Polyline& a, const Polyline& b) {
  return std::lexicographical_compare(a.begin(), a.end(), b.begin(), b.end(), before);
}

double signed_area(const Polyline& ring) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    sum += (ring[i].x_m - ring[0].x_m) * (ring[i + 1].y_m - ring[0].y_m) -
           (ring[i + 1].x_m - ring[0].x_m) * (ring[i].y_m - ring[0].y_m);
  }
  return 0.5 * sum;
}

bool finite(const Polyline& line) {
  return std::all_of(line.begin(), line.end(),
                     [](Point p) { return std::isfinite(p.x_m) && std::isfinite(p.y_m); });
}

/// Turned as asked, beginning at its lowest point. Empty for a ring without area.
Polyline settled_ring(const Polyline& ring, bool counter_clockwise) {
  Polyline points;
  for (const Point& p : ring) {
    if (points.empty() || !(points.back() == p)) points.push_back(p);
  }
  if (points.size() > 1 && points.front() == points.back()) points.pop_back();
  if (points.size() < 3 || !finite(points)) return {};
  std::rotate(points.begin(), std::min_element(points.begin(), points.end(), before), points.end());
  points.push_back(points.front());
  if ((signed_area(points) > 0.0) != counter_clockwise) std::reverse(points.begin(), points.end());
  return points;
}

/// Outer ring first, holes sorted. No rings when nothing is left.
Polygon settled(const Polygon& polygon) {
  Polygon out;
  for (std::size_t i = 0; i < polygon.rings.size(); ++i) {
    Polyline ring = settled_ring(polygon.rings[i], i == 0);
    if (!ring.empty()) {
      out.rings.push_back(std::move(ring));
    } else if (i == 0) {
      return {};
    }
  }
  if (!out.rings.empty()) std::sort(out.rings.begin() + 1, out.rings.end(), ring_before);
  return out;
}

std::vector<Polygon> settled(const std::vector<Polygon>& polygons) {
  std::vector<Polygon> out;
  for (const Polygon& polygon : polygons) {
    Polygon one = settled(polygon);
    if (!one.rings.empty()) out.push_back(std::move(one));
  }
  std::sort(out.begin(), out.end(), [](const Polygon& a, const Polygon& b) {
    return std::lexicographical_compare(a.rings.begin(), a.rings.end(), b.rings.begin(), b.rings.end(),
                                        ring_before);
  });
  return out;
}

GEOSCoordSequence* sequence(const Geos& geos, const Polyline& line) {
  GEOSCoordSequence* points = GEOSCoordSeq_create_r(geos.handle(), static_cast<unsigned int>(line.size()), 2);
  if (points == nullptr) geos.fail();
  for (std::size_t i = 0; i < line.size(); ++i) {
    GEOSCoordSeq_setXY_r(geos.handle(), points, static_cast<unsigned int>(i), line[i].x_m, line[i].y_m);
  }
  return points;
}

Geometry line_of(const Geos& geos, const Polyline& line) {
  return taken(geos, GEOSGeom_createLineString_r(geos.handle(), sequence(geos, line)));
}

Geometry polygon_of(const Geos& geos, const Polygon& polygon) {
  std::vector<GEOSGeometry*> rings;
  for (const Polyline& ring : polygon.rings) {
    rings.push_back(taken(geos, GEOSGeom_createLinearRing_r(geos.handle(), sequence(geos, ring))).release());
  }
  Geometry whole = taken(geos, GEOSGeom_createPolygon_r(geos.handle(), rings.front(), rings.data() + 1,
                                                        static_cast<unsigned int>(rings.size() - 1)));
  if (GEOSisValid_r(geos.handle(), whole.get()) == 1) return whole;
  return taken(geos, GEOSMakeValid_r(geos.handle(), whole.get()));
}

Geometry area_of(const Geos& geos, const std::vector<Polygon>& polygons) {
  std::vector<GEOSGeometry*> parts;
  for (const Polygon& polygon : settled(polygons)) parts.push_back(polygon_of(geos, polygon).release());
  const Geometry all =
      taken(geos, GEOSGeom_createCollection_r(geos.handle(), GEOS_GEOMETRYCOLLECTION, parts.data(),
                                              static_cast<unsigned int>(parts.size())));
  return taken(geos, GEOSUnaryUnionPrec_r(geos.handle(), all.get(), kGrid_m));
}

Polyline points_of(const Geos& geos, const GEOSGeometry* line) {
  const GEOSCoordSequence* points = GEOSGeom_getCoordSeq_r(geos.handle(), line);
  if (points == nullptr) geos.fail();
  unsigned int count = 0;
  GEOSCoordSeq_getSize_r(geos.handle(), points, &count);
  Polyline out(count);
  for (unsigned int i = 0; i < count; ++i) {
    GEOSCoordSeq_getXY_r(geos.handle(), points, i, &out[i].x_m, &out[i].y_m);
  }
  return out;
}

/// Calls visit(part) for each simple part of a geometry.
template <class Visit>
void parts_of(const Geos& geos, const GEOSGeometry* geometry, const Visit& visit) {
  const int type = GEOSGeomTypeId_r(geos.handle(), geometry);
  if (type < GEOS_MULTIPOINT) {
    visit(type, geometry);
    return;
  }
  const int count = GEOSGetNumGeometries_r(geos.handle(), geometry);
  for (int i = 0; i < count; ++i) parts_of(geos, GEOSGetGeometryN_r(geos.handle(), geometry, i), visit);
}

std::vector<Polygon> polygons_of(const Geos& geos, const GEOSGeometry* geometry) {
  std::vector<Polygon> out;
  parts_of(geos, geometry, [&](int type, const GEOSGeometry* part) {
    if (type != GEOS_POLYGON || GEOSisEmpty_r(geos.handle(), part) != 0) return;
    Polygon polygon;
    polygon.rings.push_back(points_of(geos, GEOSGetExteriorRing_r(geos.handle(), part)));
    const int holes = GEOSGetNumInteriorRings_r(geos.handle(), part);
    for (int i = 0; i < holes; ++i) {
      polygon.rings.push_back(points_of(geos, GEOSGetInteriorRingN_r(geos.handle(), part, i)));
    }
    if (base::area_m2(polygon) > kLeastArea_m2) out.push_back(std::move(polygon));
  });
  return settled(out);
}

std::vector<Polyline> lines_of(const Geos& geos, const GEOSGeometry* geometry) {
  std::vector<Polyline> out;
  parts_of(geos, geometry, [&](int type, const GEOSGeometry* part) {
    if (type != GEOS_LINESTRING && type != GEOS_LINEARRING) return;
    Polyline line = points_of(geos, part);
    if (line.size() >= 2 && base::length_m(line) > kGrid_m) out.push_back(std::move(line));
  });
  return out;
}

/// Without repeated points; empty when it has no length.
Polyline plain_line(const Polyline& line) {
  if (!finite(line)) return {};
  Polyline out;
  for (const Point& p : line) {
    if (out.empty() || base::distance_m(out.back(), p) > kGrid_m) out.push_back(p);
  }
  return out.size() < 2 ? Polyline{} : out;
}

}  // namespace

std::vector<Polygon> union_of(const std::vector<Polygon>& polygons) {
  const Geos geos;
  return polygons_of(geos, area_of(geos, polygons).get());
}

std::vector<Polygon> buffer(const std::vector<Polygon>& polygons, double distance_m) {
  const Geos geos;
  const Geometry area = area_of(geos, polygons);
  const Geometry grown = taken(geos, GEOSBuffer_r(geos.handle(), area.get(), distance_m, kArcSteps));
  return polygons_of(geos, grown.get());
}

std::vector<Polygon> strip(const Polyline& line, double half_width_m, StripEnd end) {
  const Polyline plain = plain_line(line);
  if (plain.empty()) return {};
  const Geos geos;
  const Geometry middle = line_of(geos, plain);
  const int cap = end == StripEnd::Flat ? GEOSBUF_CAP_FLAT : GEOSBUF_CAP_ROUND;
  const Geometry area = taken(geos, GEOSBufferWithStyle_r(geos.handle(), middle.get(), half_width_m,
                                                          kArcSteps, cap, GEOSBUF_JOIN_MITRE, kMitreLimit));
  return polygons_of(geos, area.get());
}

std::vector<Polygon> overlap(const std::vector<Polygon>& a, const std::vector<Polygon>& b) {
  const Geos geos;
  const Geometry one = area_of(geos, a);
  const Geometry other = area_of(geos, b);
  const Geometry both = taken(geos, GEOSIntersectionPrec_r(geos.handle(), one.get(), other.get(), kGrid_m));
  return polygons_of(geos, both.get());
}

std::vector<Polygon> without(const std::vector<Polygon>& a, const std::vector<Polygon>& b) {
  const Geos geos;
  const Geometry one = area_of(geos, a);
  const Geometry other = area_of(geos, b);
  const Geometry rest = taken(geos, GEOSDifferencePrec_r(geos.handle(), one.get(), other.get(), kGrid_m));
  return polygons_of(geos, rest.get());
}

std::vector<Polyline> clip(const Polyline& line, const std::vector<Polygon>& inside) {
  const Polyline plain = plain_line(line);
  if (plain.empty()) return {};
  const Geos geos;
  const Geometry whole = line_of(geos, plain);
  const Geometry area = area_of(geos, inside);
  const Geometry cut = taken(geos, GEOSIntersection_r(geos.handle(), whole.get(), area.get()));
  std::vector<Polyline> parts = lines_of(geos, cut.get());
  for (Polyline& part : parts) {
    const double first = base::nearest_place(plain, part[0]).along_m;
    const double second = base::nearest_place(plain, part[1]).along_m;
    if (second < first) std::reverse(part.begin(), part.end());
  }
  std::sort(parts.begin(), parts.end(), [&](const Polyline& a, const Polyline& b) {
    return base::nearest_place(plain, a.front()).along_m < base::nearest_place(plain, b.front()).along_m;
  });
  return parts;
}

std::vector<Polyline> offset(const Polyline& line, double left_m) {
  const Polyline plain = plain_line(line);
  if (plain.empty()) return {};
  if (left_m == 0.0) return {plain};
  const Geos geos;
  const Geometry middle = line_of(geos, plain);
  const Geometry beside = taken(geos, GEOSOffsetCurve_r(geos.handle(), middle.get(), left_m, kArcSteps,
                                                        GEOSBUF_JOIN_MITRE, kMitreLimit));
  std::vector<Polyline> parts = lines_of(geos, beside.get());
  for (Polyline& part : parts) {
    const double first = base::nearest_place(plain, part.front()).along_m;
    const double last = base::nearest_place(plain, part.back()).along_m;
    if (last < first) std::reverse(part.begin(), part.end());
  }
  std::sort(parts.begin(), parts.end(), [&](const Polyline& a, const Polyline& b) {
    return base::nearest_place(plain, a.front()).along_m < base::nearest_place(plain, b.front()).along_m;
  });
  return parts;
}

}  // namespace curbshed::shapes
