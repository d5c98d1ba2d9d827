#include "curbshed/terrain/yard_walls.hpp"

#include "curbshed/terrain/levels.hpp"
#include "curbshed/terrain/ways.hpp"

#include "support/drawn_ground.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

using testing::Chance;
using testing::level_ground;

/// Cells that water on `from` reaches without passing a wall.
std::vector<char> reachable(const Ground& ground, const Walls& walls, std::int64_t from) {
  std::vector<char> start(static_cast<std::size_t>(ground.frame.cells()), 0);
  start[static_cast<std::size_t>(from)] = 1;
  return testing::reachable(ground, walls, start);
}

YardWall box(double west, double south, double east, double north, std::optional<double> height_m = {}) {
  return {"w", {{west, south}, {east, south}, {east, north}, {west, north}, {west, south}}, height_m};
}

bool inside(const base::Polyline& ring, base::Point p) {
  bool in = false;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    const base::Point a = ring[i];
    const base::Point b = ring[i + 1];
    if ((a.y_m > p.y_m) != (b.y_m > p.y_m) &&
        p.x_m < a.x_m + (p.y_m - a.y_m) / (b.y_m - a.y_m) * (b.x_m - a.x_m)) {
      in = !in;
    }
  }
  return in;
}

TEST(YardWalls, AClosedYardLeaksNeitherInNorOut) {
  const Ground ground = level_ground(24, 24, 1.0);
  Chance chance(11);
  for (int trial = 0; trial < 200; ++trial) {
    base::Polyline ring;
    const std::int64_t corners = 5 + chance.below(8);
    for (std::int64_t i = 0; i < corners; ++i) {
      const double turn = 2.0 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(corners);
      const double far = 3.0 + 0.05 * static_cast<double>(chance.below(140));
      ring.push_back({far * std::cos(turn), far * std::sin(turn)});
    }
    ring.push_back(ring.front());
    const Walls walls = with_yard_walls(ground, {}, {}, {{"ring", ring, {}}}, 1.5);
    const std::vector<char> out = reachable(ground, walls, 0);
    const std::vector<char> in = reachable(ground, walls, ground.frame.cell_at({0.2, 0.2}));
    for (std::int64_t cell = 0; cell < ground.frame.cells(); ++cell) {
      const bool within = inside(ring, ground.frame.centre(cell));
      EXPECT_EQ(out[static_cast<std::size_t>(cell)], within ? 0 : 1) << "seed 11, trial " << trial;
      EXPECT_EQ(in[static_cast<std::size_t>(cell)], within ? 1 : 0) << "seed 11, trial " << trial;
    }
  }
}

TEST(YardWalls, WaterStandsInAClosedYardUpToTheTopOfItsWall) {
  const Ground ground = level_ground(12, 12, 1.0, 10.0F);
  const Walls walls = with_yard_walls(ground, {}, {}, {box(-2, -2, 2, 2, 0.4)}, 1.5);
  const Grid<float> levels = water_levels(ground, walls, {}, {});
  EXPECT_FLOAT_EQ(levels[ground.frame.cell_at({0.5, 0.5})], 10.4F);
  EXPECT_FLOAT_EQ(levels[ground.frame.cell_at({4.5, 0.5})], 10.0F);
  const Walls usual = with_yard_walls(ground, {}, {}, {box(-2, -2, 2, 2)}, 1.5);
  EXPECT_FLOAT_EQ(water_levels(ground, usual, {}, {})[ground.frame.cell_at({0.5, 0.5})], 11.5F);
}

TEST(YardWalls, AreAsHighAboveTheHigherGround) {
  Ground ground = level_ground(4, 4, 1.0, 10.0F);
  for (std::int64_t col = 2; col < 4; ++col) {
    for (std::int64_t row = 0; row < 4; ++row) ground.height_m.at(row, col) = 11.0F;
  }
  const Walls walls = with_yard_walls(ground, {}, {}, {{"w", {{0.0, -3.0}, {0.0, 3.0}}, 0.5}}, 1.5);
  const std::int64_t low = ground.frame.cell_at({-0.5, 0.5});
  const std::int64_t high = ground.frame.cell_at({0.5, 0.5});
  EXPECT_FLOAT_EQ(walls.crest_m(low, 2), 11.5F);   // to the east
  EXPECT_FLOAT_EQ(walls.crest_m(high, 6), 11.5F);  // and back
}

TEST(YardWalls, OfSeveralOnAStepTheHighestCounts) {
  const Ground ground = level_ground(4, 4, 1.0, 10.0F);
  const std::int64_t cell = ground.frame.cell_at({-0.5, 0.5});
  const YardWall low{"low", {{0.0, -3.0}, {0.0, 3.0}}, 0.3};
  const YardWall high{"high", {{0.0, 3.0}, {0.0, -3.0}}, 0.6};
  const Walls curb = make_walls(4, 4, {{cell, 2, 10.15F}});
  EXPECT_FLOAT_EQ(with_yard_walls(ground, {}, curb, {low}, 1.5).crest_m(cell, 2), 10.3F);
  EXPECT_FLOAT_EQ(with_yard_walls(ground, {}, curb, {low, high}, 1.5).crest_m(cell, 2), 10.6F);
  const Walls tall_curb = make_walls(4, 4, {{cell, 2, 12.0F}});
  EXPECT_FLOAT_EQ(with_yard_walls(ground, {}, tall_curb, {low}, 1.5).crest_m(cell, 2), 12.0F);
}

TEST(YardWalls, NoneStandOnTheStreetOrWithoutGround) {
  Ground ground = level_ground(4, 4, 1.0, 10.0F);
  Grid<std::uint8_t> street(4, 4, 0);
  for (std::int64_t col = 0; col < 4; ++col) street.at(0, col) = 1;
  ground.valid.at(1, 2) = 0;
  const Walls walls = with_yard_walls(ground, street, {}, {{"w", {{0.0, -3.0}, {0.0, 3.0}}, {}}}, 1.5);
  EXPECT_FALSE(walls.walled(ground.frame.index(0, 1), 2));
  EXPECT_FALSE(walls.walled(ground.frame.index(1, 1), 2));
  EXPECT_TRUE(walls.walled(ground.frame.index(2, 1), 2));
  EXPECT_TRUE(walls.walled(ground.frame.index(2, 2), 6));
}

TEST(YardWalls, LinesOfOnePlaceAreNone) {
  const Ground ground = level_ground(4, 4, 1.0);
  EXPECT_EQ(with_yard_walls(ground, {}, {}, {{"w", {{0.0, 0.0}, {0.0, 0.0}}, {}}}, 1.5).crest_count(), 0);
  EXPECT_EQ(with_yard_walls(ground, {}, {}, {}, 1.5).crest_count(), 0);
}

}  // namespace
}  // namespace curbshed::terrain
