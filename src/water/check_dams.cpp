#include "curbshed/water/check_dams.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>

namespace curbshed::water {
namespace {

/// Under a slope at one end of the basin.
double end_m3(const FallingFloor& floor, double depth_m) {
  const double z = floor.side_slope;
  return depth_m * depth_m * (z * floor.floor_width_m / 2.0 + 2.0 / 3.0 * z * z * depth_m);
}

}  // namespace

FallingFloorHolds falling_floor(const FallingFloor& floor) {
  base::ensure(floor.floor_length_m > 0.0 && floor.floor_width_m > 0.0 && floor.side_slope >= 0.0 &&
                   floor.ponding_m >= 0.0 && floor.grade >= 0.0 && floor.check_dams >= 0 &&
                   floor.dam_thickness_m >= 0.0,
               "a falling floor has a length, a width and no negative measure");
  const double cells = floor.check_dams + 1.0;
  const double cell_m =
      std::max(0.0, (floor.floor_length_m - floor.check_dams * floor.dam_thickness_m) / cells);
  const double low_m = floor.ponding_m;
  const double high_m = std::max(0.0, low_m - floor.grade * cell_m);
  const double wet_m = floor.grade > 0.0 ? std::min(cell_m, low_m / floor.grade) : cell_m;
  const auto section = [&](double y) { return y * (floor.floor_width_m + floor.side_slope * y); };
  // Simpson's rule on a section that is quadratic in x: exact.
  const double cell_m3 =
      wet_m / 6.0 * (section(low_m) + 4.0 * section((low_m + high_m) / 2.0) + section(high_m));
  return {.volume_m3 = cells * cell_m3 + end_m3(floor, low_m) + end_m3(floor, high_m),
          .wet_floor_m2 = cells * wet_m * floor.floor_width_m};
}

}  // namespace curbshed::water
