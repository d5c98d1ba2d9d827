#include "curbshed/terrain/levels.hpp"

#include "support/drawn_ground.hpp"
#include "support/named_grounds.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <fstream>

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

using namespace curbshed::testing;

void expect_same(const Grid<float>& found, const Grid<float>& wanted, const std::string& what) {
  ASSERT_EQ(found.cells(), wanted.cells());
  for (std::int64_t cell = 0; cell < found.cells(); ++cell) {
    ASSERT_EQ(std::bit_cast<std::uint32_t>(found[cell]), std::bit_cast<std::uint32_t>(wanted[cell] + 0.0F))
        << what << ", cell " << cell << ": " << found[cell] << " not " << wanted[cell];
  }
}

/// Lines of a data file without its comments.
std::istringstream data_file(const std::string& name) {
  std::ifstream file(std::string(CURBSHED_SOURCE_DIR) + "/tests/data/" + name);
  EXPECT_TRUE(file) << name;
  std::string text;
  for (std::string line; std::getline(file, line);) {
    if (!line.starts_with("#")) text += line + "\n";
  }
  return std::istringstream(text);
}

TEST(WaterLevels, EqualASweepOverAllStepsOnThrownWorlds) {
  for (std::uint64_t seed = 1; seed <= 1000; ++seed) {
    const ThrownWorld world = thrown_world(seed);
    const Grid<float> wanted = swept_levels(world.ground, world.walls, world.drains);
    for (const WorkPlan& plan : many_plans(world.ground.frame.rows, world.ground.frame.cols)) {
      if (plan.threads != 1 && seed % 20 != 0) continue;
      expect_same(water_levels(world.ground, world.walls, world.drains, plan), wanted,
                  "seed " + std::to_string(seed) + ", " + name_of(plan));
    }
  }
}

TEST(WaterLevels, EqualASweepForEveryPlanOnLargerThrownWorlds) {
  for (std::uint64_t seed = 5001; seed <= 5012; ++seed) {
    const ThrownWorld world = thrown_world(seed, 90, 90);
    const Grid<float> wanted = swept_levels(world.ground, world.walls, world.drains);
    for (const WorkPlan& plan : many_plans(world.ground.frame.rows, world.ground.frame.cols)) {
      expect_same(water_levels(world.ground, world.walls, world.drains, plan), wanted,
                  "seed " + std::to_string(seed) + ", " + name_of(plan));
    }
  }
}

TEST(WaterLevels, EqualMorphologicalReconstructionByErosion) {
  std::istringstream in = data_file("reconstruction_reference.txt");
  int rasters = 0;
  for (std::string word, name; in >> word >> name; ++rasters) {
    ASSERT_EQ(word, "raster");
    std::int64_t rows = 0;
    std::int64_t cols = 0;
    in >> rows >> cols;
    Ground ground = level_ground(rows, cols, 1.0);
    Grid<float> filled(rows, cols);
    for (std::int64_t cell = 0; cell < rows * cols; ++cell) in >> ground.height_m[cell];
    for (std::int64_t cell = 0; cell < rows * cols; ++cell) in >> filled[cell];
    ASSERT_TRUE(in) << name;
    for (const WorkPlan& plan : {WorkPlan{}, WorkPlan{2, 17, 13}}) {
      expect_same(water_levels(ground, {}, {}, plan), filled, name + ", " + name_of(plan));
    }
  }
  EXPECT_EQ(rasters, 6);
}

TEST(WaterLevels, EqualTheFilledRasterOfAnotherLibrary) {
  std::istringstream in = data_file("flow_crosscheck.txt");
  std::string word;
  std::int64_t rows = 0;
  std::int64_t cols = 0;
  in >> word >> rows >> cols;
  ASSERT_EQ(word, "ground");
  Ground ground = level_ground(rows, cols, 30.0);
  for (std::int64_t cell = 0; cell < rows * cols; ++cell) in >> ground.height_m[cell];
  Grid<float> filled = ground.height_m;
  std::size_t raised = 0;
  in >> word >> raised;
  ASSERT_EQ(word, "raised");
  for (std::size_t i = 0; i < raised; ++i) {
    std::int64_t row = 0;
    std::int64_t col = 0;
    in >> row >> col;
    in >> filled.at(row, col);
  }
  ASSERT_TRUE(in);
  const Grid<float> levels = water_levels(ground, {}, {}, {});
  expect_same(levels, filled, "whole");
  expect_same(water_levels(ground, {}, {}, {2, 20, 31}), filled, "tiled");
  double raise_m = 0.0;
  for (std::int64_t cell = 0; cell < rows * cols; ++cell) {
    raise_m += static_cast<double>(levels[cell]) - static_cast<double>(ground.height_m[cell]);
  }
  EXPECT_EQ(raised, 89U);
  EXPECT_DOUBLE_EQ(raise_m, 180.0);
}

// Worked by hand: one way out at 3 in a border of 9 fills the inside from 1 to 3; 9 cells · 2 m.
TEST(WaterLevels, APitFillsToTheLowestPlaceOfItsRim) {
  const Ground ground = drawn_ground(R"(
    9 9 9 9 9
    9 1 1 1 9
    9 1 1 1 3
    9 1 1 1 9
    9 9 9 9 9)");
  const Ground filled = drawn_ground(R"(
    9 9 9 9 9
    9 3 3 3 9
    9 3 3 3 3
    9 3 3 3 9
    9 9 9 9 9)");
  const Grid<float> levels = water_levels(ground, {}, {}, {});
  expect_same(levels, filled.height_m, "pit");
  const Depressions found = find_depressions(ground, levels);
  ASSERT_EQ(found.list.size(), 1U);
  EXPECT_EQ(found.list[0].cells, 9);
  EXPECT_DOUBLE_EQ(found.list[0].volume_m3, 18.0);
  EXPECT_DOUBLE_EQ(found.list[0].depth_m, 2.0);
  EXPECT_EQ(found.list[0].spill_level_m, 3.0F);
  EXPECT_EQ(found.list[0].deepest_cell, 6);
}

// Worked by hand: the left pit spills at 6 into the right one, which spills at 4.
TEST(WaterLevels, APitBehindAPitStandsAtTheRidgeBetween) {
  const Ground ground = drawn_ground(R"(
    9 9 9 9 9 9 9
    9 9 9 9 9 9 9
    9 1 1 6 2 2 4
    9 9 9 9 9 9 9
    9 9 9 9 9 9 9)");
  const Ground filled = drawn_ground(R"(
    9 9 9 9 9 9 9
    9 9 9 9 9 9 9
    9 6 6 6 4 4 4
    9 9 9 9 9 9 9
    9 9 9 9 9 9 9)");
  const Grid<float> levels = water_levels(ground, {}, {}, {});
  expect_same(levels, filled.height_m, "nested");
  const Depressions found = find_depressions(ground, levels);
  ASSERT_EQ(found.list.size(), 2U);
  EXPECT_DOUBLE_EQ(found.list[0].volume_m3, 10.0);
  EXPECT_DOUBLE_EQ(found.list[1].volume_m3, 4.0);
}

TEST(WaterLevels, AOneWayWallHoldsWaterOnOneSideOnly) {
  const Ground ground = drawn_ground(R"(
    9 9 9 9 9 9
    9 2 2 1 1 1
    9 9 9 9 9 9)");
  std::vector<Crest> crests;
  for (std::uint8_t bearing = 1; bearing <= 3; ++bearing) {
    for (const std::int64_t row : {0, 1, 2}) crests.push_back({row * 6 + 2, bearing, 2.5F});
  }
  const Walls walls = make_walls(3, 6, crests);
  const Grid<float> levels = water_levels(ground, walls, {}, {});
  EXPECT_EQ(levels.at(1, 1), 2.5F);
  EXPECT_EQ(levels.at(1, 2), 2.5F);
  EXPECT_EQ(levels.at(1, 3), 1.0F);
  // The other way round the same wall is no hindrance.
  const Ground turned = drawn_ground(R"(
    9 9 9 9 9 9
    1 1 1 2 2 9
    9 9 9 9 9 9)");
  EXPECT_EQ(water_levels(turned, walls, {}, {}).at(1, 3), 2.0F);
}

TEST(WaterLevels, AMarkedDrainStandsAtItsHeight) {
  const Ground ground = drawn_ground(R"(
    5 5 5 5 5
    5 3 3 3 5
    5 3 1 3 5
    5 3 3 3 5
    5 5 5 5 5)");
  Grid<std::uint8_t> drains(5, 5, 0);
  drains.at(2, 2) = 1;
  const Grid<float> levels = water_levels(ground, {}, drains, {});
  expect_same(levels, ground.height_m, "drained pit");
}

TEST(WaterLevels, AHoleInTheDataDrains) {
  const Ground ground = drawn_ground(R"(
    5 5 5 5 5
    5 3 3 3 5
    5 3 . 3 5
    5 3 2 3 5
    5 5 5 5 5)");
  EXPECT_EQ(water_levels(ground, {}, {}, {}).at(3, 2), 2.0F);
  EXPECT_EQ(water_levels(ground, {}, {}, {}).at(2, 2), 0.0F);
  EXPECT_TRUE(on_data_edge(ground, 1, 1));
  EXPECT_TRUE(on_data_edge(ground, 0, 2));
  EXPECT_FALSE(on_data_edge(drawn_ground("1 1 1\n1 1 1\n1 1 1"), 1, 1));
}

TEST(WaterLevels, FillingAgainChangesNothingAndNothingSinks) {
  for (std::uint64_t seed = 1; seed <= 300; ++seed) {
    const ThrownWorld world = thrown_world(seed, 20, 20);
    const Grid<float> once = water_levels(world.ground, world.walls, world.drains, {});
    for (std::int64_t cell = 0; cell < once.cells(); ++cell) {
      if (world.ground.valid[cell] == 0) continue;
      ASSERT_GE(once[cell], world.ground.height_m[cell]) << "seed " << seed;
      const bool drain = (!world.drains.empty() && world.drains[cell] != 0) ||
                         on_data_edge(world.ground, cell / once.cols(), cell % once.cols());
      if (drain) {
        ASSERT_EQ(once[cell], world.ground.height_m[cell]) << "seed " << seed;
      }
    }
    Ground again = world.ground;
    again.height_m = once;
    expect_same(water_levels(again, world.walls, world.drains, {}), once, "seed " + std::to_string(seed));
  }
}

/// One of the eight ways to turn and mirror a square: mirrored west to east first if `mirror`, then turned
/// clockwise.
struct Turn {
  bool mirror = false;
  int quarters = 0;
  int bearing(int k) const { return ((mirror ? kBearings - k : k) + 2 * quarters) % kBearings; }
  std::pair<std::int64_t, std::int64_t> place(std::int64_t r, std::int64_t c, std::int64_t rows,
                                              std::int64_t cols) const {
    if (mirror) c = cols - 1 - c;
    for (int q = 0; q < quarters; ++q) {
      const std::int64_t was_row = r;
      r = c;
      c = rows - 1 - was_row;
      std::swap(rows, cols);
    }
    return {r, c};
  }
};

TEST(WaterLevels, TurnWithTheWorld) {
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    const ThrownWorld world = thrown_world(seed, 15, 15);
    const std::int64_t rows = world.ground.frame.rows;
    const std::int64_t cols = world.ground.frame.cols;
    const Grid<float> levels = water_levels(world.ground, world.walls, world.drains, {});
    for (int t = 1; t < 8; ++t) {
      const Turn turn{t >= 4, t % 4};
      const bool on_side = turn.quarters % 2 != 0;
      Ground turned = level_ground(on_side ? cols : rows, on_side ? rows : cols, 1.0);
      Grid<std::uint8_t> drains;
      if (!world.drains.empty()) drains = Grid<std::uint8_t>(turned.frame.rows, turned.frame.cols, 0);
      const auto moved = [&](std::int64_t cell) {
        const auto [r, c] = turn.place(cell / cols, cell % cols, rows, cols);
        return turned.frame.index(r, c);
      };
      for (std::int64_t cell = 0; cell < rows * cols; ++cell) {
        turned.height_m[moved(cell)] = world.ground.height_m[cell];
        turned.valid[moved(cell)] = world.ground.valid[cell];
        if (!drains.empty()) drains[moved(cell)] = world.drains[cell];
      }
      std::vector<Crest> crests;
      for (const Crest& c : world.walls.crests()) {
        crests.push_back({moved(c.cell), static_cast<std::uint8_t>(turn.bearing(c.bearing)), c.height_m});
      }
      const Walls walls = make_walls(turned.frame.rows, turned.frame.cols, crests);
      ASSERT_EQ(walls.crests().size(), world.walls.crests().size());
      const Grid<float> found = water_levels(turned, walls, drains, {});
      for (std::int64_t cell = 0; cell < rows * cols; ++cell) {
        ASSERT_EQ(found[moved(cell)], levels[cell]) << "seed " << seed << ", turn " << t << ", cell " << cell;
      }
    }
  }
}

TEST(WaterLevels, EqualASweepOnEveryRasterThatBreaksSuchCode) {
  for (const NamedGround& named : named_grounds()) {
    const Grid<float> wanted = swept_levels(named.ground, {}, {});
    for (const WorkPlan& plan : many_plans(named.ground.frame.rows, named.ground.frame.cols)) {
      expect_same(water_levels(named.ground, {}, {}, plan), wanted, named.name + ", " + name_of(plan));
    }
  }
}

TEST(WaterLevels, TwentyNestedDepressionsFillToTheOutermostRim) {
  const Ground ground = nested_bowls(20);
  const Grid<float> levels = water_levels(ground, {}, {}, {});
  const Depressions found = find_depressions(ground, levels);
  ASSERT_EQ(found.list.size(), 1U);
  EXPECT_EQ(found.list[0].spill_level_m, ground.height_m.at(0, 0));
}

TEST(WaterLevels, RefuseAHeightThatIsNoNumber) {
  Ground ground = level_ground(3, 3, 1.0);
  ground.height_m.at(1, 1) = std::numeric_limits<float>::quiet_NaN();
  EXPECT_THROW(water_levels(ground, {}, {}, {}), base::InputError);
  ground.valid.at(1, 1) = 0;
  EXPECT_NO_THROW(water_levels(ground, {}, {}, {}));
}

TEST(FindDepressions, PondsAtOneLevelThatTouchAreOneAndOthersAreNot) {
  // The two pits stand at 3 and touch by a corner; the third stands at 3 apart from them.
  const Ground ground = drawn_ground(R"(
    5 5 5 5 5 5 5
    5 1 5 5 2 1 5
    5 5 2 3 5 5 3
    5 5 5 5 5 5 5)");
  const Depressions found = find_depressions(ground, water_levels(ground, {}, {}, {}));
  ASSERT_EQ(found.list.size(), 2U);
  EXPECT_EQ(found.label.at(1, 1), 0);
  EXPECT_EQ(found.label.at(2, 2), 0);
  EXPECT_EQ(found.label.at(2, 3), -1);
  EXPECT_EQ(found.label.at(1, 4), 1);
  EXPECT_EQ(found.list[1].deepest_cell, ground.frame.index(1, 5));
  EXPECT_EQ(found.list[1].label, 1);
}

TEST(FindDepressions, DryGroundHasNone) {
  const Ground ground = drawn_ground("3 2 1\n3 2 1");
  const Depressions found = find_depressions(ground, water_levels(ground, {}, {}, {}));
  EXPECT_TRUE(found.list.empty());
  EXPECT_EQ(std::count(found.label.values().begin(), found.label.values().end(), -1), 6);
}

}  // namespace
}  // namespace curbshed::terrain
