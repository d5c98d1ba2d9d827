#include "curbshed/terrain/ways.hpp"

#include "curbshed/terrain/directions.hpp"

#include "support/drawn_ground.hpp"
#include "support/named_grounds.hpp"

#include <cmath>
#include <numbers>
#include <numeric>

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

using namespace curbshed::testing;

/// A thrown world with its directions and some receivers and stops thrown in.
struct Watered {
  ThrownWorld world;
  Grid<std::uint8_t> directions;
  Grid<std::int32_t> receiver_at;
  Grid<std::uint8_t> stop;
  Grid<std::int32_t> value;
};
Watered watered(std::uint64_t seed, std::int64_t most) {
  Watered w;
  w.world = thrown_world(seed, most, most);
  const Ground& ground = w.world.ground;
  const Grid<float> levels = water_levels(ground, w.world.walls, w.world.drains, {});
  w.directions = flow_directions(ground, levels, w.world.walls, w.world.drains, {});
  w.receiver_at = Grid<std::int32_t>(ground.frame.rows, ground.frame.cols, -1);
  w.stop = Grid<std::uint8_t>(ground.frame.rows, ground.frame.cols, 0);
  w.value = Grid<std::int32_t>(ground.frame.rows, ground.frame.cols, 0);
  Chance chance(seed + 1000000);
  for (std::int64_t cell = 0; cell < ground.frame.cells(); ++cell) {
    if (chance.share() < 0.05) w.receiver_at[cell] = static_cast<std::int32_t>(chance.below(4));
    w.stop[cell] = chance.share() < 0.05 ? 1 : 0;
    w.value[cell] = static_cast<std::int32_t>(chance.below(1000));
  }
  return w;
}

template <class T>
void expect_equal(const Grid<T>& found, const Grid<T>& wanted, const std::string& what) {
  ASSERT_EQ(found.cells(), wanted.cells()) << what;
  for (std::int64_t cell = 0; cell < found.cells(); ++cell) {
    ASSERT_EQ(found[cell], wanted[cell]) << what << ", cell " << cell;
  }
}

/// The slow way: from every cell down, one at a time.
struct Walked {
  Grid<std::int64_t> arriving;
  Grid<std::int64_t> longest;
  Grid<std::int32_t> receiver;
  Grid<std::int64_t> sum;
};
Walked walk_all(const Watered& w, double cell_m) {
  const std::int64_t rows = w.directions.rows();
  const std::int64_t cols = w.directions.cols();
  Walked out{Grid<std::int64_t>(rows, cols, 0), Grid<std::int64_t>(rows, cols, 0),
             Grid<std::int32_t>(rows, cols, kNoReceiver), Grid<std::int64_t>(rows, cols, 0)};
  for (std::int64_t from = 0; from < rows * cols; ++from) {
    if (w.directions[from] == kNoGround) continue;
    std::int64_t length = 0;
    std::int64_t steps = 0;
    bool received = false;
    bool stopped = false;
    for (std::int64_t cell = from; cell >= 0; cell = next_cell(w.directions, cell)) {
      if (++steps > rows * cols) throw std::runtime_error("a circle");
      ++out.arriving[cell];
      out.longest[cell] = std::max(out.longest[cell], length);
      length += std::llround(step_m(w.directions[cell], cell_m) * 1024.0);
      received = received || w.receiver_at[cell] >= 0;
      if (received && out.receiver[from] == kNoReceiver) out.receiver[from] = w.receiver_at[cell];
      stopped = stopped || w.stop[cell] != 0;
      if (!stopped) out.sum[from] += w.value[cell];
    }
  }
  return out;
}

TEST(Ways, EqualANaiveWalkFromEveryCellForEveryPlan) {
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    const Watered w = watered(seed, seed % 10 == 0 ? 60 : 12);
    const Walked wanted = walk_all(w, 0.5);
    for (const WorkPlan& plan : many_plans(w.directions.rows(), w.directions.cols())) {
      if (plan.threads != 1 && seed % 10 != 0) continue;
      const std::string what = "seed " + std::to_string(seed) + ", " + name_of(plan);
      expect_equal(cells_arriving(w.directions, plan), wanted.arriving, what);
      expect_equal(longest_way_above(w.directions, 0.5, plan), wanted.longest, what);
      expect_equal(first_receivers(w.directions, w.receiver_at, plan), wanted.receiver, what);
      expect_equal(sum_along(w.directions, w.value, w.stop, plan), wanted.sum, what);
    }
  }
}

TEST(Ways, EveryValidCellBelongsToOneEndOnEveryRasterThatBreaksSuchCode) {
  for (const NamedGround& named : named_grounds()) {
    const Ground& ground = named.ground;
    const Grid<float> levels = water_levels(ground, {}, {}, {});
    const Grid<std::uint8_t> directions = flow_directions(ground, levels, {}, {}, {});
    const Grid<std::int64_t> arriving = cells_arriving(directions, {});
    std::int64_t valid = 0;
    std::int64_t leaving = 0;
    for (std::int64_t cell = 0; cell < ground.frame.cells(); ++cell) {
      valid += ground.valid[cell];
      if (directions[cell] == kStops) leaving += arriving[cell];
      EXPECT_EQ(directions[cell] == kNoGround, ground.valid[cell] == 0) << named.name;
    }
    EXPECT_EQ(leaving, valid) << named.name;
  }
}

TEST(FirstReceivers, CellsSumToTheValidCellsAndWalkersAgree) {
  Ground ground = ground_by(200, 300, 0.5, [](base::Point p) {
    return 50.0 - 0.01 * p.x_m + 0.3 * std::sin(p.x_m / 9.0) * std::cos(p.y_m / 7.0);
  });
  add_noise(ground, 0.02, 11);
  for (std::int64_t r = 90; r < 110; ++r) {
    for (std::int64_t c = 200; c < 220; ++c) ground.valid.at(r, c) = 0;
  }
  const Grid<float> levels = water_levels(ground, {}, {}, {});
  const Grid<std::uint8_t> directions = flow_directions(ground, levels, {}, {}, {});
  Grid<std::int32_t> receiver_at(200, 300, -1);
  Chance chance(12);
  for (std::int32_t i = 0; i < 300; ++i) receiver_at[chance.below(60000)] = i;
  const Grid<std::int32_t> found = first_receivers(directions, receiver_at, {2, 64, 64});

  std::vector<std::int64_t> cells(301, 0);
  std::int64_t valid = 0;
  for (std::int64_t cell = 0; cell < 60000; ++cell) {
    if (ground.valid[cell] == 0) {
      ASSERT_EQ(found[cell], kNoReceiver);
      continue;
    }
    ++valid;
    ++cells[static_cast<std::size_t>(found[cell] + 1)];
  }
  EXPECT_EQ(std::accumulate(cells.begin(), cells.end(), std::int64_t{0}), valid);
  EXPECT_GT(cells[0], 0);
  for (int walker = 0; walker < 200; ++walker) {
    const std::int64_t from = chance.below(60000);
    std::int32_t met = kNoReceiver;
    for (std::int64_t cell = from; ground.valid[from] != 0 && cell >= 0; cell = next_cell(directions, cell)) {
      if (receiver_at[cell] >= 0) {
        met = receiver_at[cell];
        break;
      }
    }
    ASSERT_EQ(found[from], met) << "from cell " << from;
  }
}

TEST(CellsArriving, CountPastTheReachOfSingleFloats) {
  constexpr std::int64_t kCells = (std::int64_t{1} << 24) + 1001;
  Grid<std::uint8_t> directions(1, kCells, 6);
  directions[0] = kStops;
  EXPECT_EQ(cells_arriving(directions, {})[0], kCells);
  EXPECT_EQ(cells_arriving(directions, {2, 1, 100003})[0], kCells);
}

// Worked by hand: z = 10 |c − 2| + (4 − r); sides go straight to the middle column, the middle column goes
// down.
TEST(CellsArriving, HandValley) {
  Ground ground = level_ground(5, 5, 1.0);
  for (std::int64_t r = 0; r < 5; ++r) {
    for (std::int64_t c = 0; c < 5; ++c)
      ground.height_m.at(r, c) = static_cast<float>(10 * std::abs(c - 2) + 4 - r);
  }
  const Grid<std::uint8_t> directions =
      flow_directions_steepest_neighbour(ground, ground.height_m, {}, {}, {});
  const Grid<std::int64_t> arriving = cells_arriving(directions, {});
  for (std::int64_t r = 0; r < 5; ++r) {
    EXPECT_EQ(arriving.at(r, 0), 1);
    EXPECT_EQ(arriving.at(r, 1), 2);
    EXPECT_EQ(arriving.at(r, 2), 5 * (r + 1));
    EXPECT_EQ(arriving.at(r, 3), 2);
    EXPECT_EQ(arriving.at(r, 4), 1);
  }
  // By facets a tenth of the water leans down the valley; it still all leaves at its foot.
  EXPECT_EQ(cells_arriving(flow_directions(ground, ground.height_m, {}, {}, {}), {}).at(4, 2), 25);
}

TEST(Ways, ACircleIsOurBug) {
  Grid<std::uint8_t> directions(1, 4, 2);
  directions[3] = 6;
  const Grid<std::int32_t> nowhere(1, 4, -1);
  const Grid<std::int32_t> ones(1, 4, 1);
  const Grid<std::uint8_t> go(1, 4, 0);
  for (const WorkPlan& plan : {WorkPlan{}, WorkPlan{1, 1, 1}, WorkPlan{2, 1, 3}}) {
    EXPECT_THROW(cells_arriving(directions, plan), base::BugError) << name_of(plan);
    EXPECT_THROW(first_receivers(directions, nowhere, plan), base::BugError) << name_of(plan);
    EXPECT_THROW(sum_along(directions, ones, go, plan), base::BugError) << name_of(plan);
  }
}

TEST(SumAlong, LeavesOutTheStopAndKeepsTheEnd) {
  Grid<std::uint8_t> directions(1, 5, 2);
  directions[4] = kStops;
  Grid<std::int32_t> value(1, 5, 0);
  for (std::int64_t c = 0; c < 5; ++c) value[c] = static_cast<std::int32_t>(std::pow(10, c));
  Grid<std::uint8_t> stop(1, 5, 0);
  EXPECT_EQ(sum_along(directions, value, stop, {})[0], 11111);
  stop[2] = 1;
  const Grid<std::int64_t> sum = sum_along(directions, value, stop, {});
  EXPECT_EQ(sum[0], 11);
  EXPECT_EQ(sum[2], 0);
  EXPECT_EQ(sum[3], 11000);
}

TEST(SumAlong, CarriesSumsPastThirtyTwoBits) {
  Grid<std::uint8_t> directions(1, 5000, 2);
  directions[4999] = kStops;
  const Grid<std::int32_t> value(1, 5000, std::numeric_limits<std::int32_t>::max());
  const Grid<std::uint8_t> stop(1, 5000, 0);
  EXPECT_EQ(sum_along(directions, value, stop, {1, 1, 77})[0], 5000 * std::int64_t{2147483647});
}

TEST(LongestWayAbove, RoundsEachStepOnce) {
  Grid<std::uint8_t> directions(3, 3, kStops);
  directions.at(0, 0) = 3;
  directions.at(1, 1) = 3;
  directions.at(1, 2) = 4;
  const Grid<std::int64_t> way = longest_way_above(directions, 0.5, {});
  EXPECT_EQ(way.at(0, 0), 0);
  EXPECT_EQ(way.at(1, 1), 724);   // 0.5 m · √2 · 1024 = 724.08
  EXPECT_EQ(way.at(2, 2), 1448);  // the longer of 2 · 724 and 512
}

/// Twelve cells in a row that fall by 3 cm each, then two that rise.
struct Chute {
  Grid<std::uint8_t> directions{1, 15, 2};
  Grid<float> surface_m{1, 15, 0.0F};
  Grid<std::uint8_t> stop{1, 15, 0};
  Chute() {
    directions[14] = kStops;
    for (std::int64_t c = 0; c < 15; ++c) {
      surface_m[c] =
          c < 12 ? 10.0F - 0.03F * static_cast<float>(c) : 9.67F + 0.02F * static_cast<float>(c - 11);
    }
  }
  Grid<float> slope(double least_way_m) const {
    return slope_along(directions, surface_m, stop, 1.0, least_way_m, {});
  }
};

TEST(SlopeAlong, IsTheFallOverAtLeastTheAskedWay) {
  const Chute chute;
  EXPECT_NEAR(chute.slope(10.0)[0], 0.03F, 1e-6F);
  EXPECT_NEAR(chute.slope(13.5)[0], 0.27F / 14.0F, 1e-6F);  // 0.33 m down, 0.06 m up
  EXPECT_NEAR(chute.slope(0.5)[0], 0.03F, 1e-6F);           // never less than one step
}

TEST(SlopeAlong, TakesTheWayThatThereIsAndKeepsRises) {
  const Chute chute;
  EXPECT_NEAR(chute.slope(10.0)[11], -0.02F, 1e-6F);
  EXPECT_EQ(chute.slope(10.0)[14], 0.0F);
}

TEST(SlopeAlong, EndsAtTheHeightOfTheStop) {
  Chute chute;
  chute.stop[3] = 1;
  chute.surface_m[3] = 9.0F;
  const Grid<float> slope = chute.slope(10.0);
  EXPECT_NEAR(slope[0], 1.0F / 3.0F, 1e-6F);
  EXPECT_EQ(slope[3], 0.0F);
}

TEST(SlopeAlong, CountsDiagonalStepsAtTheirLength) {
  Grid<std::uint8_t> directions(4, 4, kStops);
  Grid<float> surface(4, 4, 0.0F);
  for (std::int64_t c = 0; c < 4; ++c) {
    surface.at(c, c) = 3.0F - static_cast<float>(c);
    if (c < 3) directions.at(c, c) = 3;
  }
  const Grid<std::uint8_t> go(4, 4, 0);
  EXPECT_NEAR(slope_along(directions, surface, go, 2.0, 5.0, {}).at(0, 0), 1.0 / (2.0 * std::numbers::sqrt2),
              1e-6);
}

TEST(SlopeAlong, EqualForEveryPlan) {
  const Watered w = watered(77, 60);
  const Grid<float> wanted = slope_along(w.directions, w.world.ground.height_m, w.stop, 1.0, 10.0, {});
  for (const WorkPlan& plan : many_plans(w.directions.rows(), w.directions.cols())) {
    expect_equal(slope_along(w.directions, w.world.ground.height_m, w.stop, 1.0, 10.0, plan), wanted,
                 name_of(plan));
  }
}

TEST(StepM, IsLongerOnDiagonalsAndNothingWhereWaterStops) {
  EXPECT_DOUBLE_EQ(step_m(2, 0.5), 0.5);
  EXPECT_DOUBLE_EQ(step_m(3, 0.5), 0.5 * std::numbers::sqrt2);
  EXPECT_DOUBLE_EQ(step_m(kStops, 0.5), 0.0);
  EXPECT_DOUBLE_EQ(step_m(kNoGround, 0.5), 0.0);
}

}  // namespace
}  // namespace curbshed::terrain
