#include "curbshed/shapes/distances.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace curbshed::shapes {
namespace {

using base::Point;
using base::Polyline;

constexpr double kInfinite = std::numeric_limits<double>::infinity();
/// A way begins in an area when this much farther on it is inside: rings pass through the points that ways
/// start from.
constexpr double kOn_m = 1e-4;

double cross(Point a, Point b, Point c) {
  return (b.x_m - a.x_m) * (c.y_m - a.y_m) - (b.y_m - a.y_m) * (c.x_m - a.x_m);
}

double to_segment_m(Point p, Point a, Point b) {
  const double dx = b.x_m - a.x_m;
  const double dy = b.y_m - a.y_m;
  const double square = dx * dx + dy * dy;
  const double t =
      square > 0.0 ? std::clamp(((p.x_m - a.x_m) * dx + (p.y_m - a.y_m) * dy) / square, 0.0, 1.0) : 0.0;
  return base::distance_m(p, {a.x_m + t * dx, a.y_m + t * dy});
}

bool cross_each_other(Point a, Point b, Point c, Point d) {
  const auto opposite = [](double u, double v) { return (u > 0.0 && v < 0.0) || (u < 0.0 && v > 0.0); };
  return opposite(cross(a, b, c), cross(a, b, d)) && opposite(cross(c, d, a), cross(c, d, b));
}

/// Two lines; one point counts as a line.
double between_m(const Polyline& one, const Polyline& other) {
  double best_m = kInfinite;
  if (one.empty() || other.empty()) return best_m;
  for (std::size_t i = 0; i == 0 || i + 1 < one.size(); ++i) {
    const Point a = one[i];
    const Point b = one[std::min(i + 1, one.size() - 1)];
    for (std::size_t k = 0; k == 0 || k + 1 < other.size(); ++k) {
      const Point c = other[k];
      const Point d = other[std::min(k + 1, other.size() - 1)];
      if (cross_each_other(a, b, c, d)) return 0.0;
      best_m = std::min({best_m, to_segment_m(a, c, d), to_segment_m(b, c, d), to_segment_m(c, a, b),
                         to_segment_m(d, a, b)});
    }
  }
  return best_m;
}

double to_line_m(const base::Polygon& area, const Polyline& line) {
  if (line.empty()) return kInfinite;
  if (base::contains(area, line.front())) return 0.0;
  double best_m = kInfinite;
  for (const Polyline& ring : area.rings) best_m = std::min(best_m, between_m(ring, line));
  return best_m;
}

/// Places at which the way crosses the rings, sorted.
std::vector<double> crossings(Point from, Point along, double reach_m, const base::Polygon& area) {
  std::vector<double> found;
  for (const Polyline& ring : area.rings) {
    for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
      // Left of the way, and how far along it.
      const auto left = [&](Point p) {
        return along.x_m * (p.y_m - from.y_m) - along.y_m * (p.x_m - from.x_m);
      };
      const auto far = [&](Point p) {
        return along.x_m * (p.x_m - from.x_m) + along.y_m * (p.y_m - from.y_m);
      };
      const double a = left(ring[i]);
      const double b = left(ring[i + 1]);
      if ((a > 0.0) == (b > 0.0)) continue;
      const double t = a / (a - b);
      const double at_m = far(ring[i]) + t * (far(ring[i + 1]) - far(ring[i]));
      if (at_m > kOn_m && at_m <= reach_m) found.push_back(at_m);
    }
  }
  std::sort(found.begin(), found.end());
  return found;
}

bool begins_in(Point from, Point along, const base::Polygon& area) {
  return base::contains(area, {from.x_m + kOn_m * along.x_m, from.y_m + kOn_m * along.y_m});
}

}  // namespace

double distance_m(const base::Polygon& area, const base::Shape& shape) {
  double best_m = kInfinite;
  if (area.rings.empty()) return best_m;
  for (const Point p : shape.points) best_m = std::min(best_m, to_line_m(area, {p}));
  for (const Polyline& line : shape.lines) best_m = std::min(best_m, to_line_m(area, line));
  for (const base::Polygon& other : shape.polygons) {
    for (const Polyline& ring : other.rings) best_m = std::min(best_m, to_line_m(area, ring));
    const Polyline& outside = area.rings.front();
    if (!outside.empty() && base::contains(other, outside.front())) best_m = 0.0;
  }
  return best_m;
}

std::optional<double> way_to_m(Point from, Point along, double reach_m, const base::Polygon& area) {
  if (begins_in(from, along, area)) return 0.0;
  const std::vector<double> found = crossings(from, along, reach_m, area);
  return found.empty() ? std::nullopt : std::optional(found.front());
}

double way_within_m(Point from, Point along, double reach_m, const base::Polygon& area) {
  const std::vector<double> found = crossings(from, along, reach_m, area);
  if (begins_in(from, along, area)) return found.empty() ? reach_m : found.front();
  if (found.empty()) return 0.0;
  return (found.size() > 1 ? found[1] : reach_m) - found.front();
}

}  // namespace curbshed::shapes
