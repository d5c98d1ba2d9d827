// Levels, directions and accumulation together, on rasters large enough that work is handed from stripe to
// stripe.
#include "curbshed/terrain/directions.hpp"

#include "support/drawn_ground.hpp"
#include "terrain/tiles.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

using namespace curbshed::testing;

/// A rough slope with pits and, in steps of `step_m`, flats.
Ground rough_slope(std::int64_t rows, std::int64_t cols, double step_m, std::uint64_t seed) {
  Ground ground = ground_by(rows, cols, 0.5, [](base::Point p) {
    return 50.0 - 0.01 * p.x_m - 0.004 * p.y_m + 0.2 * std::sin(p.x_m / 5.0) * std::cos(p.y_m / 6.0);
  });
  add_noise(ground, 0.02, seed);
  for (std::int64_t cell = 0; cell < ground.frame.cells() && step_m > 0.0; ++cell) {
    ground.height_m[cell] =
        static_cast<float>(step_m * std::round(static_cast<double>(ground.height_m[cell]) / step_m));
  }
  return ground;
}

Walls walls_below_the_ground(const GridFrame& frame) {
  std::vector<Crest> crests;
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    for (std::uint8_t k = 0; k < kBearings; ++k) crests.push_back({cell, k, -1000.0F});
  }
  return make_walls(frame.rows, frame.cols, std::move(crests));
}

// Beside a wall every cell is looked at by itself and is a basin of its own; elsewhere whole rows are and
// basins are large. Both must give the same.
TEST(TerrainCore, WallsBelowTheGroundChangeNothing) {
  for (const double step_m : {0.0, 0.01, 0.1}) {
    for (std::uint64_t seed = 1; seed <= 3; ++seed) {
      const Ground ground = rough_slope(150, 170, step_m, seed);
      const Walls walls = walls_below_the_ground(ground.frame);
      const Grid<float> levels = water_levels(ground, {}, {}, {});
      ASSERT_EQ(water_levels(ground, walls, {}, {}).values(), levels.values()) << step_m << ", seed " << seed;
      ASSERT_EQ(flow_directions(ground, levels, walls, {}, {}).values(),
                flow_directions(ground, levels, {}, {}, {}).values())
          << step_m << ", seed " << seed;
    }
  }
}

TEST(TerrainCore, EqualForEveryPlanOnRastersOfManyStripes) {
  for (const double step_m : {0.0, 0.01, 0.1}) {
    const Ground ground = rough_slope(700, 90, step_m, 8);
    const Grid<float> levels = water_levels(ground, {}, {}, {});
    const Grid<std::uint8_t> directions = flow_directions(ground, levels, {}, {}, {});
    const Grid<std::int64_t> arriving = cells_arriving(directions, {});
    for (const WorkPlan& plan : {WorkPlan{2, 0, 0}, WorkPlan{4, 0, 0}, WorkPlan{4, 64, 64}, WorkPlan{2, 1, 0},
                                 WorkPlan{3, 101, 7}}) {
      ASSERT_EQ(water_levels(ground, {}, {}, plan).values(), levels.values()) << name_of(plan);
      ASSERT_EQ(flow_directions(ground, levels, {}, {}, plan).values(), directions.values()) << name_of(plan);
      ASSERT_EQ(cells_arriving(directions, plan).values(), arriving.values()) << name_of(plan);
    }
  }
}

TEST(TerrainCore, CountsIn32BitsAsIn64) {
  const Ground ground = rough_slope(120, 130, 0.01, 3);
  const Grid<std::uint8_t> directions = flow_directions(ground, water_levels(ground, {}, {}, {}), {}, {}, {});
  const Grid<std::int64_t> wide = cells_arriving(directions, {2, 0, 0});
  const Grid<std::uint32_t> narrow = cells_arriving_in_32_bits(directions, {2, 0, 0});
  for (std::int64_t cell = 0; cell < wide.cells(); ++cell) ASSERT_EQ(narrow[cell], wide[cell]) << cell;
}

TEST(TerrainCore, ACircleIsFound) {
  Grid<std::uint8_t> directions(3, 3, kStops);
  directions.at(1, 0) = 2;
  directions.at(1, 1) = 6;
  EXPECT_THROW(cells_arriving(directions, {}), base::BugError);
}

TEST(Tiling, TilesOfRastersPast2To32CellsAreCountedIn64BitsAndStaySmall) {
  constexpr std::int64_t kSide = 100000;  // 10^10 cells
  for (const WorkPlan& plan : {WorkPlan{1, 0, 0}, WorkPlan{2, kSide, kSide}, WorkPlan{2, 4096, 4096}}) {
    const Tiling tiling(kSide, kSide, plan);
    std::int64_t cells = 0;
    for (std::int64_t i = 0; i < tiling.size(); ++i) {
      const Tile tile = tiling.tile(i);
      ASSERT_LE(tile.rows * tile.cols, Tiling::kMostCells);
      ASSERT_EQ(tiling.of_cell(tile.row0 + tile.rows - 1, tile.col0 + tile.cols - 1), i);
      cells += tile.rows * tile.cols;
    }
    EXPECT_EQ(cells, kSide * kSide) << name_of(plan);
  }
}

}  // namespace
}  // namespace curbshed::terrain
