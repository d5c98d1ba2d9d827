// Points, lines and polygons as plain vectors in metres.
#pragma once

#include <cstdint>
#include <limits>
#include <vector>

namespace curbshed::base {

struct Point {
  double x_m = 0.0;  ///< east
  double y_m = 0.0;  ///< north
  friend bool operator==(const Point&, const Point&) = default;
};

using Polyline = std::vector<Point>;

/// Rings are closed (first point repeated last). The first is the outside, the rest are holes.
struct Polygon {
  std::vector<Polyline> rings;
};

enum class ShapeKind : std::uint8_t { None, Point, Line, Polygon };

/// What one feature looks like: all parts are of one kind.
struct Shape {
  ShapeKind kind = ShapeKind::None;
  std::vector<Point> points;
  std::vector<Polyline> lines;
  std::vector<Polygon> polygons;
};

Shape point_shape(Point p);
Shape line_shape(Polyline line);
Shape polygon_shape(Polygon polygon);

double distance_m(Point a, Point b);
double length_m(const Polyline& line);
/// Point at `distance` along the line; clamped to its ends. The line has at least one point.
Point point_along(const Polyline& line, double distance_m);

/// Nearest place on a line.
struct LinePlace {
  double along_m = 0.0;                                       ///< from the first point
  double offset_m = std::numeric_limits<double>::infinity();  ///< how far off the line, never negative
  Point at;                                                   ///< the place itself
  bool left = false;  ///< the asked point lies to the left, looking along the line
};
LinePlace nearest_place(const Polyline& line, Point p);

/// Even-odd rule over all rings; a point on an edge counts by the half-open rule (lower and left edges
/// inside).
bool contains(const Polygon& polygon, Point p);
/// Outside minus holes, never negative.
double area_m2(const Polygon& polygon);

struct Box {
  double min_x_m = std::numeric_limits<double>::infinity();
  double min_y_m = std::numeric_limits<double>::infinity();
  double max_x_m = -std::numeric_limits<double>::infinity();
  double max_y_m = -std::numeric_limits<double>::infinity();
  bool empty() const { return min_x_m > max_x_m; }
  void add(Point p);
};
Box box_of(const Shape& shape);
/// Some part of the shape, not only of its own box, lies in the box or on its edge.
bool meets(const Box& box, const Shape& shape);

}  // namespace curbshed::base
