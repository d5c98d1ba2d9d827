#include "curbshed/water/check_dams.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/water/basin.hpp"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

using base::Length;

/// Thin slices, by hand: another way to the same volume.
double sliced_m3(const FallingFloor& floor) {
  const int cells = floor.check_dams + 1;
  const double cell_m = (floor.floor_length_m - floor.check_dams * floor.dam_thickness_m) / cells;
  constexpr int kSlices = 200'000;
  double sum = 0.0;
  const auto section = [&](double y) {
    return y > 0.0 ? y * (floor.floor_width_m + floor.side_slope * y) : 0.0;
  };
  for (int i = 0; i < kSlices; ++i) {
    const double x = (i + 0.5) / kSlices * cell_m;
    sum += cells * section(floor.ponding_m - floor.grade * x) * cell_m / kSlices;
  }
  const auto end = [&](double depth) {
    // Under an end slope the ground rises by one for side_slope along, and the hole is wider where it is
    // shallower.
    double part = 0.0;
    for (int i = 0; i < kSlices; ++i) {
      const double y = depth * (i + 0.5) / kSlices;
      const double wide = floor.floor_width_m + 2.0 * floor.side_slope * (depth - y);
      part += floor.side_slope * y * (wide + floor.side_slope * y) * depth / kSlices;
    }
    return part;
  };
  return sum + end(floor.ponding_m) + end(std::max(0.0, floor.ponding_m - floor.grade * cell_m));
}

TEST(CheckDams, LevelFloorIsTheFrustum) {
  // 8 ft × 5 ft × 6 in, 3:1: 11.75 ft3.
  constexpr double kFoot = 0.3048;
  const FallingFloorHolds holds = falling_floor({.floor_length_m = 5.0 * kFoot,
                                                 .floor_width_m = 2.0 * kFoot,
                                                 .side_slope = 3.0,
                                                 .ponding_m = 0.5 * kFoot});
  EXPECT_NEAR(holds.volume_m3, 11.75 * kFoot * kFoot * kFoot, 1e-12);
  EXPECT_NEAR(holds.wet_floor_m2, 10.0 * kFoot * kFoot, 1e-12);
}

TEST(CheckDams, WorkedByHand) {
  // 20 m of upright-sided floor 1 m wide falling 2 %, 0.3 m deep at its lower end: the pool is 15 m long, a
  // wedge of 0.3 × 15 / 2 = 2.25 m3. One dam without thickness: two cells of 10 m, 0.3 m down to 0.1 m deep:
  // 2 × 0.2 × 10 = 4 m3. Three dams: four cells of 5 m, 0.3 to 0.2 m: 4 × 0.25 × 5 = 5 m3. Level: 6 m3.
  FallingFloor floor{.floor_length_m = 20.0, .floor_width_m = 1.0, .ponding_m = 0.3, .grade = 0.02};
  EXPECT_NEAR(falling_floor(floor).volume_m3, 2.25, 1e-12);
  EXPECT_NEAR(falling_floor(floor).wet_floor_m2, 15.0, 1e-12);
  floor.check_dams = 1;
  EXPECT_NEAR(falling_floor(floor).volume_m3, 4.0, 1e-12);
  floor.check_dams = 3;
  EXPECT_NEAR(falling_floor(floor).volume_m3, 5.0, 1e-12);
  floor.grade = 0.0;
  EXPECT_NEAR(falling_floor(floor).volume_m3, 6.0, 1e-12);
  floor.dam_thickness_m = 0.5;
  EXPECT_NEAR(falling_floor(floor).volume_m3, 18.5 * 0.3, 1e-12);
}

TEST(CheckDams, SlopingSidesAsSlicesAddUp) {
  for (const double grade : {0.0, 0.005, 0.03, 0.2}) {
    for (const int dams : {0, 1, 4}) {
      const FallingFloor floor{.floor_length_m = 9.0,
                               .floor_width_m = 0.8,
                               .side_slope = 2.5,
                               .ponding_m = 0.2,
                               .grade = grade,
                               .check_dams = dams,
                               .dam_thickness_m = 0.3};
      EXPECT_NEAR(falling_floor(floor).volume_m3, sliced_m3(floor), 1e-6) << grade << " " << dams;
    }
  }
}

TEST(CheckDams, MoreDamsHoldMoreUntilTheyTakeTheRoom) {
  double last = 0.0;
  for (int dams = 0; dams < 40; ++dams) {
    const double holds = falling_floor({.floor_length_m = 30.0,
                                        .floor_width_m = 1.0,
                                        .side_slope = 2.0,
                                        .ponding_m = 0.2,
                                        .grade = 0.04,
                                        .check_dams = dams})
                             .volume_m3;
    EXPECT_GE(holds, last - 1e-12);
    last = holds;
  }
  const FallingFloorHolds full = falling_floor({.floor_length_m = 3.0,
                                                .floor_width_m = 1.0,
                                                .ponding_m = 0.2,
                                                .check_dams = 20,
                                                .dam_thickness_m = 0.3});
  EXPECT_EQ(full.volume_m3, 0.0);
}

TEST(CheckDams, ABasinWithThemHoldsThatMuchAndSoaksThroughItsWetFloor) {
  BasinShape shape{.length = Length::metres(12.0),
                   .width = Length::metres(2.0),
                   .side_slope = 2.0,
                   .ponding = Length::metres(0.2),
                   .floor_grade = 0.03,
                   .check_dams = 2,
                   .dam_thickness = Length::metres(0.3)};
  const BasinPlace place{.mouth_length = Length::metres(0.4),
                         .rim_above_invert = Length::metres(0.3),
                         .infiltration = base::Rate::millimetres_per_hour(36.0)};
  const FallingFloorHolds holds = falling_floor({.floor_length_m = 11.2,
                                                 .floor_width_m = 1.2,
                                                 .side_slope = 2.0,
                                                 .ponding_m = 0.2,
                                                 .grade = 0.03,
                                                 .check_dams = 2,
                                                 .dam_thickness_m = 0.3});
  const RawBasin basin = raw_basin(shape, place);
  EXPECT_NEAR(basin.invert_volume_m3, holds.volume_m3, 1e-6);
  EXPECT_NEAR(basin.infiltration_m3_s, holds.wet_floor_m2 * 1e-5, 1e-12);
  EXPECT_NEAR(basin_level_m(basin, basin.invert_volume_m3), 0.0, 1e-9);
  shape.floor_grade = 0.0;
  shape.check_dams = 0;
  EXPECT_GT(raw_basin(shape, place).invert_volume_m3, basin.invert_volume_m3);
}

TEST(CheckDams, NonsenseIsRefused) {
  EXPECT_THROW(falling_floor({}), base::BugError);
  EXPECT_THROW(falling_floor({.floor_length_m = 1.0, .floor_width_m = 1.0, .grade = -0.1}), base::BugError);
  EXPECT_THROW(raw_basin({.length = Length::metres(4.0),
                          .width = Length::metres(2.0),
                          .ponding = Length::metres(0.1),
                          .floor_grade = 0.01,
                          .check_dams = -1},
                         {}),
               base::InputError);
}

}  // namespace
}  // namespace curbshed::water
