#include "curbshed/terrain/directions.hpp"

#include "support/direction_bias.hpp"
#include "support/drawn_ground.hpp"
#include "support/named_grounds.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

using namespace curbshed::testing;

struct World {
  ThrownWorld thrown;
  Grid<float> levels;

  const GridFrame& frame() const { return thrown.ground.frame; }
  bool permitted(std::int64_t cell, int k) const {
    const std::int64_t r = cell / frame().cols + kRowStep[k];
    const std::int64_t c = cell % frame().cols + kColStep[k];
    if (!frame().inside(r, c) || thrown.ground.valid.at(r, c) == 0) return false;
    return !thrown.walls.walled(cell, k) || thrown.walls.crest_m(cell, k) <= levels[cell];
  }
  std::int64_t beyond(std::int64_t cell, int k) const {
    return cell + kRowStep[k] * frame().cols + kColStep[k];
  }
  double drop(std::int64_t cell, int k) const {
    return static_cast<double>(levels[cell]) - static_cast<double>(levels[beyond(cell, k)]);
  }
  bool marked(std::int64_t cell) const { return !thrown.drains.empty() && thrown.drains[cell] != 0; }
  bool has_lower(std::int64_t cell) const {
    for (int k = 0; k < kBearings; ++k) {
      if (permitted(cell, k) && drop(cell, k) > 0.0) return true;
    }
    return false;
  }
  bool at_edge(std::int64_t cell) const {
    return on_data_edge(thrown.ground, cell / frame().cols, cell % frame().cols);
  }
};

World world_of(std::uint64_t seed, std::int64_t most) {
  World w{thrown_world(seed, most, most), {}};
  // Halves of whole heights, so that not every fall is a tie.
  Chance chance(seed + 7);
  for (std::int64_t cell = 0; cell < w.frame().cells(); ++cell) {
    if (w.thrown.ground.valid[cell] != 0 && seed % 2 == 0) {
      w.thrown.ground.height_m[cell] += static_cast<float>(chance.share());
    }
  }
  w.levels = water_levels(w.thrown.ground, w.thrown.walls, w.thrown.drains, {});
  return w;
}

/// Cost of a step on a flat, from the text of the rule.
std::int64_t flat_cost(const World& w, std::int64_t cell, int bearing) {
  const double depth =
      static_cast<double>(w.levels[cell]) - static_cast<double>(w.thrown.ground.height_m[cell]);
  const double ease = depth < 0.03 ? 0.03 : depth;
  return (bearing % 2 == 0 ? 5 : 7) * (1 + static_cast<std::int64_t>(std::floor(1.0 / (ease * ease))));
}

/// Least cost of a way out of the flat, by sweeping until nothing gets cheaper.
Grid<std::int64_t> swept_costs(const World& w) {
  constexpr std::int64_t kFar = std::int64_t{1} << 50;
  Grid<std::int64_t> costs(w.frame().rows, w.frame().cols, kFar);
  for (bool cheaper = true; cheaper;) {
    cheaper = false;
    for (std::int64_t cell = 0; cell < w.frame().cells(); ++cell) {
      if (w.thrown.ground.valid[cell] == 0) continue;
      std::int64_t least = costs[cell];
      if (w.marked(cell) || w.has_lower(cell) || w.at_edge(cell)) least = 0;
      for (int k = 0; k < kBearings; ++k) {
        if (w.permitted(cell, k) && w.drop(cell, k) == 0.0) {
          least = std::min(least, costs[w.beyond(cell, k)] + flat_cost(w, cell, k));
        }
      }
      if (least < costs[cell]) {
        costs[cell] = least;
        cheaper = true;
      }
    }
  }
  return costs;
}

/// Slope of the fall over one facet, and whether the fall line lies between its two neighbours.
struct Facet {
  int straight = 0;
  int diagonal = 0;
  double slope = 0.0;
  double tangent = 0.0;
};
std::vector<Facet> facets_of(const World& w, std::int64_t cell) {
  std::vector<Facet> all;
  for (int straight = 0; straight < kBearings; straight += 2) {
    for (const int turn : {1, 7}) {
      const int diagonal = (straight + turn) % kBearings;
      if (!w.permitted(cell, straight) || !w.permitted(cell, diagonal)) continue;
      const double s1 = w.drop(cell, straight);
      const double s2 = w.drop(cell, diagonal) - s1;
      if (s1 > 0.0 && s2 > 0.0 && s2 < s1) all.push_back({straight, diagonal, std::hypot(s1, s2), s2 / s1});
    }
  }
  return all;
}

void expect_a_right_choice(const World& w, std::int64_t cell, int chosen, const std::string& what) {
  double steepest = 0.0;
  for (int k = 0; k < kBearings; ++k) {
    if (w.permitted(cell, k))
      steepest = std::max(steepest, w.drop(cell, k) / (k % 2 == 0 ? 1.0 : std::numbers::sqrt2));
  }
  const std::vector<Facet> facets = facets_of(w, cell);
  for (const Facet& facet : facets) steepest = std::max(steepest, facet.slope);
  ASSERT_TRUE(w.permitted(cell, chosen)) << what;
  ASSERT_GT(w.drop(cell, chosen), 0.0) << what;
  const double alone = w.drop(cell, chosen) / (chosen % 2 == 0 ? 1.0 : std::numbers::sqrt2);
  bool right = alone >= steepest * (1.0 - 1e-12);
  for (const Facet& facet : facets) {
    if (facet.slope < steepest * (1.0 - 1e-12)) continue;
    const std::int64_t k = kColStep[facet.straight] != 0 ? cell % w.frame().cols : cell / w.frame().cols;
    const double spread = std::fmod(static_cast<double>(k) * (std::numbers::phi - 1.0), 1.0);
    right =
        right || chosen == (spread < facet.tangent ? facet.diagonal : facet.straight) ||
        (std::abs(spread - facet.tangent) < 1e-9 && (chosen == facet.diagonal || chosen == facet.straight));
  }
  EXPECT_TRUE(right) << what << ", chosen " << chosen;
}

TEST(FlowDirections, FollowTheStatedRuleOnThrownWorlds) {
  for (std::uint64_t seed = 1; seed <= 400; ++seed) {
    const World w = world_of(seed, 14);
    const Grid<std::uint8_t> facets =
        flow_directions(w.thrown.ground, w.levels, w.thrown.walls, w.thrown.drains, {});
    const Grid<std::uint8_t> steepest =
        flow_directions_steepest_neighbour(w.thrown.ground, w.levels, w.thrown.walls, w.thrown.drains, {});
    const Grid<std::int64_t> costs = swept_costs(w);
    for (std::int64_t cell = 0; cell < w.frame().cells(); ++cell) {
      const std::string what = "seed " + std::to_string(seed) + ", cell " + std::to_string(cell);
      int wanted = -1;
      if (w.thrown.ground.valid[cell] == 0) {
        wanted = kNoGround;
      } else if (w.marked(cell)) {
        wanted = kStops;
      } else if (w.has_lower(cell)) {
        double best = 0.0;
        for (int k = 0; k < kBearings; ++k) {
          const double slope2 =
              w.permitted(cell, k) ? w.drop(cell, k) * w.drop(cell, k) / (k % 2 == 0 ? 1.0 : 2.0) : 0.0;
          if (w.permitted(cell, k) && w.drop(cell, k) > 0.0 && slope2 > best) {
            best = slope2;
            wanted = k;
          }
        }
        ASSERT_EQ(steepest[cell], wanted) << what;
        ASSERT_NO_FATAL_FAILURE(expect_a_right_choice(w, cell, facets[cell], what));
        continue;
      } else if (w.at_edge(cell)) {
        wanted = kStops;
      } else {
        for (int k = kBearings - 1; k >= 0; --k) {
          if (!w.permitted(cell, k) || w.drop(cell, k) != 0.0) continue;
          if (costs[w.beyond(cell, k)] + flat_cost(w, cell, k) == costs[cell]) wanted = k;
        }
      }
      ASSERT_EQ(facets[cell], wanted) << what;
      ASSERT_EQ(steepest[cell], wanted) << what;
    }
  }
}

TEST(FlowDirections, EqualForEveryPlan) {
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    const World w = world_of(seed, seed % 6 == 0 ? 80 : 14);
    const Grid<std::uint8_t> wanted =
        flow_directions(w.thrown.ground, w.levels, w.thrown.walls, w.thrown.drains, {});
    for (const WorkPlan& plan : many_plans(w.frame().rows, w.frame().cols)) {
      ASSERT_EQ(flow_directions(w.thrown.ground, w.levels, w.thrown.walls, w.thrown.drains, plan).values(),
                wanted.values())
          << "seed " << seed << ", " << name_of(plan);
    }
  }
  for (const NamedGround& named : named_grounds()) {
    const Grid<float> levels = water_levels(named.ground, {}, {}, {});
    const Grid<std::uint8_t> wanted = flow_directions(named.ground, levels, {}, {}, {});
    for (const WorkPlan& plan : many_plans(named.ground.frame.rows, named.ground.frame.cols)) {
      ASSERT_EQ(flow_directions(named.ground, levels, {}, {}, plan).values(), wanted.values())
          << named.name << ", " << name_of(plan);
    }
  }
}

TEST(FlowDirections, AFilledHollowDrainsAlongItsDeepGround) {
  // A street of hollows: the gutter along the south lies deeper than the pavement; the only way out is in the
  // north-east.
  const Ground ground = drawn_ground(R"(
    9 9   9   9   9   9   9   9
    9 3.9 3.9 3.9 3.9 3.9 4   1
    9 3.9 3.9 3.9 3.9 3.9 3.9 9
    9 3   3   3   3   3   3   9
    9 9   9   9   9   9   9   9)");
  const Grid<std::uint8_t> directions = flow_directions(ground, water_levels(ground, {}, {}, {}), {}, {}, {});
  for (std::int64_t col = 1; col < 5; ++col) EXPECT_EQ(directions.at(3, col), 2) << col;
  EXPECT_NE(directions.at(2, 1), 1);
  EXPECT_NE(directions.at(2, 1), 2);
}

TEST(FlowDirections, AWallTurnsWaterUntilItStandsAtTheCrest) {
  const Ground ground = drawn_ground(R"(
    9 9 9 9 9
    9 5 5 1 1
    9 4 9 9 9
    9 3 9 9 9)");
  std::vector<Crest> crests;
  for (const int k : {1, 2, 3})
    crests.push_back({ground.frame.index(1, 2), static_cast<std::uint8_t>(k), 5.1F});
  Walls walls = make_walls(4, 5, crests);
  const Grid<float> levels = water_levels(ground, walls, {}, {});
  EXPECT_EQ(flow_directions(ground, levels, walls, {}, {}).at(1, 2), 5);
  for (Crest& c : crests) c.height_m = 5.0F;  // a crest at the level no longer holds it
  walls = make_walls(4, 5, crests);
  EXPECT_EQ(flow_directions(ground, water_levels(ground, walls, {}, {}), walls, {}, {}).at(1, 2), 2);
}

TEST(FlowDirections, EdgesLetWaterOutOnlyWhereNothingIsLowerAndMarkedDrainsAlways) {
  const Ground ground = drawn_ground("3 2 1 2\n4 3 2 3");
  Grid<std::uint8_t> drains(2, 4, 0);
  drains.at(0, 1) = 1;
  const Grid<std::uint8_t> directions = flow_directions(ground, ground.height_m, {}, drains, {});
  EXPECT_EQ(directions.at(0, 0), 2);
  EXPECT_EQ(directions.at(0, 1), kStops);
  EXPECT_EQ(directions.at(0, 2), kStops);
  EXPECT_EQ(directions.at(0, 3), 6);
}

// The figures that the choice of this rule hangs on: docs/methods.md, "Directions", made by
// tests/bench/bias/bias_table.cpp, which has the other rules beside them.
TEST(FlowDirections, KeepToTheFallLineOnPlanesAtEveryBearing) {
  Drift facets;
  Drift steepest;
  for (int bearing = 0; bearing < 360; bearing += 5) {
    const Drift f = drift_on_plane(product_rule, bearing, 40.0, 0.5);
    const Drift s = drift_on_plane(steepest_rule, bearing, 40.0, 0.5);
    EXPECT_LE(f.worst_m, 1.15) << bearing << " degrees";
    if (bearing % 45 == 0) {
      EXPECT_LE(f.worst_m, 1e-9) << bearing << " degrees";
    }
    facets = {facets.mean_m + f.mean_m / 72.0, std::max(facets.worst_m, f.worst_m)};
    steepest = {steepest.mean_m + s.mean_m / 72.0, std::max(steepest.worst_m, s.worst_m)};
  }
  EXPECT_LE(facets.mean_m, 0.25);
  EXPECT_NEAR(steepest.mean_m, 8.0, 0.5);
  EXPECT_NEAR(steepest.worst_m, 14.8, 0.5);
}

TEST(FlowDirections, DriftDoesNotGrowWithTheWayOnAPlane) {
  for (int bearing = 5; bearing < 360; bearing += 25) {
    EXPECT_LE(drift_on_plane(product_rule, bearing, 400.0, 1.0).worst_m, 2.5) << bearing << " degrees";
  }
}

TEST(FlowDirections, SpreadTheWaterOfConesAndASaddleOverAllBearings) {
  for (const bool outward : {true, false}) {
    const PartsError facets = cone_error(product_rule, outward);
    EXPECT_LE(facets.mean, 0.045) << (outward ? "outward" : "inward");
    EXPECT_LE(facets.worst, 0.12) << (outward ? "outward" : "inward");
    EXPECT_GE(cone_error(steepest_rule, outward).mean, 0.4) << "the comparison is no longer what it was";
  }
  const PartsError saddle = saddle_error(product_rule);
  EXPECT_LE(saddle.mean, 0.075);
  EXPECT_LE(saddle.worst, 0.22);
  EXPECT_GE(saddle_error(steepest_rule).mean, 0.25) << "the comparison is no longer what it was";
}

}  // namespace
}  // namespace curbshed::terrain
