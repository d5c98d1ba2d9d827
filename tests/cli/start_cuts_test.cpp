#include "curbshed/cli/start_cuts.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

/// 200 m × 40 m that falls 1 % to the east.
terrain::Ground slope() {
  terrain::Ground ground;
  ground.frame = {.west_m = 0.0, .north_m = 40.0, .cell_m = 1.0, .rows = 40, .cols = 200};
  ground.height_m = terrain::Grid<float>(40, 200);
  ground.valid = terrain::Grid<std::uint8_t>(40, 200, 1);
  for (std::int64_t cell = 0; cell < ground.frame.cells(); ++cell) {
    ground.height_m[cell] = static_cast<float>(50.0 - 0.01 * ground.frame.centre(cell).x_m);
  }
  return ground;
}

terrain::CurbLine curb(double from_x, double to_x, double y) {
  terrain::CurbLine line;
  line.street = "Kiln Street";
  line.side = "north";
  line.line = {{from_x, y}, {to_x, y}};
  return line;
}

const base::Box kAll{.min_x_m = 0.0, .min_y_m = 0.0, .max_x_m = 200.0, .max_y_m = 40.0};

TEST(TrialCuts, StandInTheMiddleAndAtTheLowerEnd) {
  const auto cuts = trial_cuts({curb(20, 180, 24)}, {true}, slope(), kAll);
  ASSERT_EQ(cuts.size(), 2U);
  EXPECT_EQ(cuts[0].id, "kiln-street-north-west-end-east-80");
  EXPECT_EQ(cuts[0].at, (base::Point{100.0, 24.0}));
  EXPECT_EQ(cuts[1].at, (base::Point{168.0, 24.0}));
  EXPECT_EQ(cuts[1].words,
            "lower end of the block; the ground does not show the curb here: look out for driveways");
}

TEST(TrialCuts, DoNotDependOnHowTheCurbsAreDrawn) {
  const std::vector<terrain::CurbLine> drawn = {curb(20, 90, 24), curb(110, 180, 24), curb(20, 60, 10)};
  std::vector<terrain::CurbLine> turned(drawn.rbegin(), drawn.rend());
  for (terrain::CurbLine& line : turned) {
    std::reverse(line.line.begin(), line.line.end());
    line.street_side = terrain::StreetSide::Right;
  }
  const auto one = trial_cuts(drawn, {true, true, true}, slope(), kAll);
  const auto two = trial_cuts(turned, {true, true, true}, slope(), kAll);
  ASSERT_EQ(one.size(), 5U);
  ASSERT_EQ(two.size(), one.size());
  for (std::size_t i = 0; i < one.size(); ++i) {
    EXPECT_EQ(one[i].id, two[i].id);
    EXPECT_NEAR(base::distance_m(one[i].at, two[i].at), 0.0, 1e-9);
    EXPECT_EQ(one[i].words, two[i].words);
  }
}

TEST(TrialCuts, KeepOffDrivewaysThatTheGroundShows) {
  terrain::Ground ground = slope();
  for (std::int64_t cell = 0; cell < ground.frame.cells(); ++cell) {
    const base::Point p = ground.frame.centre(cell);
    const bool driveway = p.x_m > 96.0 && p.x_m < 101.0;
    if (p.y_m > 24.0 && !driveway) ground.height_m[cell] += 0.15F;
  }
  terrain::CurbLine line = curb(20, 180, 24);
  line.street_side = terrain::StreetSide::Right;
  const auto cuts = trial_cuts({line}, {true}, ground, kAll);
  ASSERT_EQ(cuts.size(), 2U);
  EXPECT_GT(std::min(std::fabs(cuts[0].at.x_m - 96.0), std::fabs(cuts[0].at.x_m - 101.0)), 1.9);
  EXPECT_LT(std::fabs(cuts[0].at.x_m - 100.0), 6.5);
  EXPECT_EQ(cuts[0].words, "middle of the block");
  EXPECT_EQ(cuts[1].at, (base::Point{168.0, 24.0}));
}

TEST(TrialCuts, KeepOutOfCorners) {
  terrain::CurbLine line = curb(20, 100, 24);
  line.line.push_back({100.0, 38.0});  // round the corner, so that the middle is 47 m along
  line.line.insert(line.line.begin(), {20.0, 2.0});
  const auto cuts = trial_cuts({line}, {true}, slope(), kAll);
  for (const TrialCut& cut : cuts) {
    EXPECT_GT(base::distance_m(cut.at, {100.0, 24.0}), 1.9);
    EXPECT_GT(base::distance_m(cut.at, {20.0, 24.0}), 1.9);
  }
  EXPECT_FALSE(cuts.empty());
}

TEST(TrialCuts, ShortCurbsDryCurbsAndPlacesOutsideGetNone) {
  EXPECT_TRUE(trial_cuts({curb(20, 44, 24)}, {true}, slope(), kAll).empty());
  EXPECT_TRUE(trial_cuts({curb(20, 180, 24)}, {false}, slope(), kAll).empty());
  terrain::CurbLine none = curb(20, 180, 24);
  none.kind = terrain::CurbKind::None;
  EXPECT_TRUE(trial_cuts({none}, {true}, slope(), kAll).empty());
  const base::Box west{.min_x_m = 0.0, .min_y_m = 0.0, .max_x_m = 120.0, .max_y_m = 40.0};
  EXPECT_EQ(trial_cuts({curb(20, 180, 24)}, {true}, slope(), west).size(), 1U);
}

}  // namespace
}  // namespace curbshed::cli
