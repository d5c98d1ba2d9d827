#include "curbshed/base/geometry.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace curbshed::base {
namespace {

Point minus(Point a, Point b) { return {a.x_m - b.x_m, a.y_m - b.y_m}; }
double dot(Point a, Point b) { return a.x_m * b.x_m + a.y_m * b.y_m; }
double cross(Point a, Point b) { return a.x_m * b.y_m - a.y_m * b.x_m; }

Point unit(Point v) {
  const double size = std::hypot(v.x_m, v.y_m);
  return size > 0.0 ? Point{v.x_m / size, v.y_m / size} : Point{};
}

double ring_area_m2(const Polyline& ring) {
  if (ring.size() < 3) {
    return 0.0;
  }
  double twice = 0.0;
  for (std::size_t i = 1; i + 1 < ring.size(); ++i) {
    twice += cross(minus(ring[i], ring[0]), minus(ring[i + 1], ring[0]));
  }
  return std::abs(twice) / 2.0;
}

/// Index of the next segment with a length at or after `i` (step 1) or at or before it (step −1); size when
/// none.
std::size_t segment_with_length(const Polyline& line, std::size_t i, bool forward) {
  const std::size_t segments = line.size() - 1;
  while (i < segments) {
    if (distance_m(line[i], line[i + 1]) > 0.0) {
      return i;
    }
    i = forward ? i + 1 : (i == 0 ? segments : i - 1);
  }
  return segments;
}

/// Direction of the line at a place: the segment's, or at a corner the sum of both unit directions, which
/// gives the right side wherever the asked point lies.
Point heading_at(const Polyline& line, std::size_t segment, double share) {
  const std::size_t segments = line.size() - 1;
  const Point own = unit(minus(line[segment + 1], line[segment]));
  const bool closed = line.front() == line.back();
  std::size_t other = segments;
  if (share <= 0.0) {
    other = segment > 0 ? segment_with_length(line, segment - 1, false) : segments;
    if (other == segments && closed) {
      other = segment_with_length(line, segments - 1, false);
    }
  } else if (share >= 1.0) {
    other = segment_with_length(line, segment + 1, true);
    if (other == segments && closed) {
      other = segment_with_length(line, 0, true);
    }
  }
  if (other >= segments) {
    return own;
  }
  const Point next = unit(minus(line[other + 1], line[other]));
  const Point sum{own.x_m + next.x_m, own.y_m + next.y_m};
  return dot(sum, sum) > 0.0 ? sum : own;
}

}  // namespace

Shape point_shape(Point p) {
  Shape shape;
  shape.kind = ShapeKind::Point;
  shape.points.push_back(p);
  return shape;
}

Shape line_shape(Polyline line) {
  Shape shape;
  shape.kind = ShapeKind::Line;
  shape.lines.push_back(std::move(line));
  return shape;
}

Shape polygon_shape(Polygon polygon) {
  Shape shape;
  shape.kind = ShapeKind::Polygon;
  shape.polygons.push_back(std::move(polygon));
  return shape;
}

double distance_m(Point a, Point b) { return std::hypot(b.x_m - a.x_m, b.y_m - a.y_m); }

double length_m(const Polyline& line) {
  double length = 0.0;
  for (std::size_t i = 1; i < line.size(); ++i) {
    length += distance_m(line[i - 1], line[i]);
  }
  return length;
}

Point point_along(const Polyline& line, double distance) {
  ensure(!line.empty(), "point_along: the line has a point");
  double left = distance;
  if (!(left > 0.0)) {
    return line.front();
  }
  for (std::size_t i = 1; i < line.size(); ++i) {
    const double piece = distance_m(line[i - 1], line[i]);
    if (left < piece) {
      const Point step = minus(line[i], line[i - 1]);
      const double share = left / piece;
      return {line[i - 1].x_m + share * step.x_m, line[i - 1].y_m + share * step.y_m};
    }
    left -= piece;
  }
  return line.back();
}

LinePlace nearest_place(const Polyline& line, Point p) {
  LinePlace best;
  if (line.empty()) {
    return best;
  }
  best.at = line.front();
  best.offset_m = distance_m(line.front(), p);
  std::size_t best_segment = line.size();
  double best_share = 0.0;
  double start_m = 0.0;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    const double piece = distance_m(line[i], line[i + 1]);
    if (!(piece > 0.0)) {
      continue;
    }
    const Point step = minus(line[i + 1], line[i]);
    const double share = std::clamp(dot(minus(p, line[i]), step) / dot(step, step), 0.0, 1.0);
    const Point at =
        share >= 1.0 ? line[i + 1] : Point{line[i].x_m + share * step.x_m, line[i].y_m + share * step.y_m};
    const double offset = distance_m(at, p);
    if (offset < best.offset_m || best_segment == line.size()) {
      best = LinePlace{.along_m = start_m + share * piece, .offset_m = offset, .at = at, .left = false};
      best_segment = i;
      best_share = share;
    }
    start_m += piece;
  }
  if (best_segment < line.size()) {
    best.left = cross(heading_at(line, best_segment, best_share), minus(p, best.at)) > 0.0;
  }
  return best;
}

bool contains(const Polygon& polygon, Point p) {
  bool inside = false;
  for (const Polyline& ring : polygon.rings) {
    for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
      // Always from the lower end up, so that two polygons that share an edge round alike.
      const bool up = ring[i].y_m <= ring[i + 1].y_m;
      const Point low = up ? ring[i] : ring[i + 1];
      const Point high = up ? ring[i + 1] : ring[i];
      if (low.y_m > p.y_m || high.y_m <= p.y_m) {
        continue;
      }
      // Left of the edge: the ray to the east meets it.
      if (cross(minus(high, low), minus(p, low)) > 0.0) {
        inside = !inside;
      }
    }
  }
  return inside;
}

double area_m2(const Polygon& polygon) {
  double area = 0.0;
  for (std::size_t i = 0; i < polygon.rings.size(); ++i) {
    area += (i == 0 ? 1.0 : -1.0) * ring_area_m2(polygon.rings[i]);
  }
  return std::max(area, 0.0);
}

void Box::add(Point p) {
  min_x_m = std::min(min_x_m, p.x_m);
  min_y_m = std::min(min_y_m, p.y_m);
  max_x_m = std::max(max_x_m, p.x_m);
  max_y_m = std::max(max_y_m, p.y_m);
}

Box box_of(const Shape& shape) {
  Box box;
  for (const Point& p : shape.points) {
    box.add(p);
  }
  for (const Polyline& line : shape.lines) {
    for (const Point& p : line) {
      box.add(p);
    }
  }
  for (const Polygon& polygon : shape.polygons) {
    for (const Polyline& ring : polygon.rings) {
      for (const Point& p : ring) {
        box.add(p);
      }
    }
  }
  return box;
}

namespace {

bool holds(const Box& box, Point p) {
  return p.x_m >= box.min_x_m && p.x_m <= box.max_x_m && p.y_m >= box.min_y_m && p.y_m <= box.max_y_m;
}

/// The piece of a → b inside the box is not empty (clipped by one pair of sides after the other).
bool segment_meets(const Box& box, Point a, Point b) {
  double begin = 0.0;
  double end = 1.0;
  const auto clip = [&](double from, double step, double least, double most) {
    if (!(std::abs(step) > 0.0)) {
      return from >= least && from <= most;
    }
    const double t0 = (least - from) / step;
    const double t1 = (most - from) / step;
    begin = std::max(begin, std::min(t0, t1));
    end = std::min(end, std::max(t0, t1));
    return begin <= end;
  };
  return clip(a.x_m, b.x_m - a.x_m, box.min_x_m, box.max_x_m) &&
         clip(a.y_m, b.y_m - a.y_m, box.min_y_m, box.max_y_m);
}

bool line_meets(const Box& box, const Polyline& line) {
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    if (segment_meets(box, line[i], line[i + 1])) {
      return true;
    }
  }
  return line.size() == 1 && holds(box, line.front());
}

}  // namespace

bool meets(const Box& box, const Shape& shape) {
  const auto point_in = [&](const Point& p) { return holds(box, p); };
  const auto line_in = [&](const Polyline& line) { return line_meets(box, line); };
  const Point corner{box.min_x_m, box.min_y_m};
  const auto polygon_in = [&](const Polygon& polygon) {
    return std::any_of(polygon.rings.begin(), polygon.rings.end(), line_in) || contains(polygon, corner);
  };
  return std::any_of(shape.points.begin(), shape.points.end(), point_in) ||
         std::any_of(shape.lines.begin(), shape.lines.end(), line_in) ||
         std::any_of(shape.polygons.begin(), shape.polygons.end(), polygon_in);
}

}  // namespace curbshed::base
