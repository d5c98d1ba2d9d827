#include "curbshed/siting/basin_shape.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>

namespace curbshed::siting {
namespace {

using base::Point;

double frustum_m3(double length_m, double width_m, double slope, double height_m) {
  return length_m * width_m * height_m + slope * (length_m + width_m) * height_m * height_m +
         4.0 / 3.0 * slope * slope * height_m * height_m * height_m;
}

Point unit(Point from, Point to) {
  const double length_m = base::distance_m(from, to);
  base::ensure(length_m > 0.0, "a rectangle has sides");
  return {(to.x_m - from.x_m) / length_m, (to.y_m - from.y_m) / length_m};
}

}  // namespace

DugFigures figures_of(const DugBasin& basin) {
  base::ensure(
      basin.side_slope >= 0.0 && basin.ponding_m >= 0.0 && basin.drop_m >= 0.0 && basin.mulch_m >= 0.0,
      "a hole goes down");
  DugFigures out;
  const double in_m = 2.0 * basin.side_slope * basin.ponding_m;
  const double out_m = 2.0 * basin.side_slope * basin.drop_m;
  out.floor_length_m = basin.length_m - in_m;
  out.floor_width_m = basin.width_m - in_m;
  base::ensure(out.floor_length_m > 0.0 && out.floor_width_m > 0.0, "a basin has a floor");
  out.rim_length_m = basin.length_m + out_m;
  out.rim_width_m = basin.width_m + out_m;
  out.rim_m2 = out.rim_length_m * out.rim_width_m;
  out.water_m2 = basin.length_m * basin.width_m;
  out.floor_m2 = out.floor_length_m * out.floor_width_m;
  out.held_m3 = frustum_m3(out.floor_length_m, out.floor_width_m, basin.side_slope, basin.ponding_m);
  out.frustum_m3 =
      frustum_m3(out.floor_length_m, out.floor_width_m, basin.side_slope, basin.ponding_m + basin.drop_m);
  out.mulch_m3 = out.floor_m2 * basin.mulch_m;
  out.above_m3 = out.rim_m2 * std::max(0.0, basin.ground_above_water_m - basin.drop_m);
  return out;
}

base::Polygon rectangle_grown(const base::Polygon& ring, double out_m) {
  base::ensure(!ring.rings.empty() && ring.rings.front().size() == 5, "a rectangle has four corners");
  const base::Polyline& corners = ring.rings.front();
  const Point along = unit(corners[0], corners[1]);
  const Point across = unit(corners[1], corners[2]);
  base::ensure(base::distance_m(corners[0], corners[1]) + 2.0 * out_m > 0.0 &&
                   base::distance_m(corners[1], corners[2]) + 2.0 * out_m > 0.0,
               "something of the rectangle is left");
  const auto moved = [&](Point p, double a, double b) {
    return Point{p.x_m + out_m * (a * along.x_m + b * across.x_m),
                 p.y_m + out_m * (a * along.y_m + b * across.y_m)};
  };
  const Point first = moved(corners[0], -1.0, -1.0);
  return {{{first, moved(corners[1], 1.0, -1.0), moved(corners[2], 1.0, 1.0), moved(corners[3], -1.0, 1.0),
            first}}};
}

BasinOutline outline_of(const base::Polygon& water_line, const DugBasin& basin) {
  return {rectangle_grown(water_line, basin.side_slope * basin.drop_m), water_line,
          rectangle_grown(water_line, -basin.side_slope * basin.ponding_m)};
}

}  // namespace curbshed::siting
