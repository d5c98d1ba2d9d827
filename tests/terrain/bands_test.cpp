// Bands of every height against the whole raster in memory.
#include "curbshed/terrain/bands.hpp"

#include "curbshed/terrain/directions.hpp"

#include "support/byte_list.hpp"
#include "support/named_grounds.hpp"

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

using namespace curbshed::testing;

struct Whole {
  std::vector<std::uint8_t> directions;
  std::vector<float> standing_m;
  std::vector<std::int64_t> counts;
};

Whole in_memory(const Ground& ground) {
  const Grid<float> levels = water_levels(ground, {}, {}, {});
  const Grid<std::uint8_t> directions = flow_directions(ground, levels, {}, {}, {});
  Whole whole;
  const Grid<std::int64_t> counts = cells_arriving(directions, {});
  whole.directions.assign(directions.values().begin(), directions.values().end());
  whole.counts.assign(counts.values().begin(), counts.values().end());
  for (std::int64_t cell = 0; cell < ground.frame.cells(); ++cell) {
    whole.standing_m.push_back(ground.valid[cell] != 0 ? levels[cell] - ground.height_m[cell] : 0.0F);
  }
  return whole;
}

struct Banded {
  Whole whole;
  BandFacts facts;
};

Banded in_bands(const Ground& ground, std::int64_t band_rows, int threads) {
  GroundInMemory source(ground);
  ByteList directions;
  ByteList standing;
  ByteList counts;
  ByteList notes;
  Banded banded;
  banded.facts = follow_water_in_bands(ground.frame, source, {directions, standing, counts, notes},
                                       {band_rows, threads});
  banded.whole.directions = directions.as<std::uint8_t>();
  banded.whole.standing_m = standing.as<float>();
  for (const std::uint32_t count : counts.as<std::uint32_t>()) banded.whole.counts.push_back(count);
  return banded;
}

void expect_equal_in_bands(const Ground& ground, const std::vector<std::int64_t>& heights, int threads,
                           const std::string& name) {
  const Whole whole = in_memory(ground);
  for (const std::int64_t rows : heights) {
    const Whole banded = in_bands(ground, rows, threads).whole;
    ASSERT_EQ(banded.standing_m, whole.standing_m) << name << ", bands of " << rows;
    ASSERT_EQ(banded.directions, whole.directions) << name << ", bands of " << rows;
    ASSERT_EQ(banded.counts, whole.counts) << name << ", bands of " << rows;
  }
}

TEST(Bands, NamedGroundsAreAsInMemoryForEveryBandHeight) {
  for (const NamedGround& named : named_grounds()) {
    const std::int64_t rows = named.ground.frame.rows;
    expect_equal_in_bands(named.ground, {1, 2, 3, 7, 13, 256, rows + 100}, 1, named.name);
    expect_equal_in_bands(named.ground, {7}, 2, named.name);
    expect_equal_in_bands(named.ground, {13}, 4, named.name);
  }
}

TEST(Bands, AThousandThrownGroundsAreAsInMemory) {
  for (std::uint64_t seed = 1; seed <= 1000; ++seed) {
    const Ground ground = thrown_world(seed, 14, 14).ground;
    expect_equal_in_bands(ground, {1, 2, 3, 5, 100}, 1, "seed " + std::to_string(seed));
  }
}

/// A rough slope, in steps of `step_m` when that is not 0.
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

TEST(Bands, RoughSlopesAreAsInMemory) {
  for (const double step_m : {0.0, 0.01, 0.1, 1.0}) {
    const Ground ground = rough_slope(311, 170, step_m, 5);
    expect_equal_in_bands(ground, {1, 7, 64, 101, 256, 1000}, 1, std::to_string(step_m));
    expect_equal_in_bands(ground, {64, 256}, 2, std::to_string(step_m));
    expect_equal_in_bands(ground, {101}, 4, std::to_string(step_m));
  }
}

TEST(Bands, EightTurnedAndMirroredGroundsAreAsInMemory) {
  Ground ground = rough_slope(60, 47, 0.05, 11);
  for (int turn = 0; turn < 4; ++turn) {
    for (const bool mirrored : {false, true}) {
      Ground other = level_ground(turn % 2 == 0 ? 60 : 47, turn % 2 == 0 ? 47 : 60, 0.5);
      for (std::int64_t r = 0; r < 60; ++r) {
        for (std::int64_t c = 0; c < 47; ++c) {
          const std::int64_t from_c = mirrored ? 46 - c : c;
          const std::int64_t row[] = {r, c, 59 - r, 46 - c};
          const std::int64_t col[] = {c, 59 - r, 46 - c, r};
          other.height_m.at(row[turn], col[turn]) = ground.height_m.at(r, from_c);
        }
      }
      expect_equal_in_bands(other, {1, 7, 23}, 1, std::to_string(turn) + (mirrored ? " mirrored" : ""));
    }
  }
}

/// One flat channel between walls, up and down through all rows `turns` times, with its only end in the last
/// column.
Ground folded_channel(std::int64_t rows, std::int64_t turns) {
  Ground ground = level_ground(rows, 2 * turns + 1, 1.0, 9.0F);
  for (std::int64_t i = 0; i < turns; ++i) {
    for (std::int64_t r = 1; r < rows - 1; ++r) ground.height_m.at(r, 2 * i + 1) = 1.0F;
    if (i > 0) ground.height_m.at(i % 2 == 0 ? 1 : rows - 2, 2 * i) = 1.0F;
  }
  ground.height_m.at(rows / 2, 2 * turns) = 1.0F;
  return ground;
}

TEST(Bands, AFlatThatTurnsBackAgainAndAgainIsSweptUntilNothingChanges) {
  const Ground ground = folded_channel(40, 15);
  expect_equal_in_bands(ground, {1, 3, 7, 20}, 1, "folded channel");
  const BandFacts facts = in_bands(ground, 7, 1).facts;
  EXPECT_GT(facts.pond_sweeps, 10);
  EXPECT_LT(facts.pond_sweeps, 20);
}

TEST(Bands, APondWithAStraightWayOutTakesFewSweeps) {
  Ground bowl = ground_by(90, 80, 1.0, [](base::Point p) { return 0.01 * (p.x_m * p.x_m + p.y_m * p.y_m); });
  for (std::int64_t r = 60; r < 90; ++r) bowl.height_m.at(r, 40) = std::min(bowl.height_m.at(r, 40), 5.0F);
  expect_equal_in_bands(bowl, {1, 7, 30}, 1, "bowl");
  const BandFacts facts = in_bands(bowl, 7, 1).facts;
  EXPECT_GT(facts.cells_across, 100);
  EXPECT_LE(facts.pond_sweeps, 4);
}

TEST(Bands, ThreadsChangeNothingAndTheSumsDoNotDependOnTheBands) {
  const Ground ground = rough_slope(200, 90, 0.01, 3);
  const BandFacts one = in_bands(ground, 200, 1).facts;
  EXPECT_GT(one.wet_cells, 0);
  EXPECT_GT(one.deepest_m, 0.0F);
  for (const std::int64_t rows : {7, 64}) {
    const BandFacts facts = in_bands(ground, rows, 2).facts;
    EXPECT_EQ(facts.wet_cells, one.wet_cells);
    EXPECT_EQ(facts.standing_m, one.standing_m);
    EXPECT_EQ(facts.deepest_m, one.deepest_m);
    EXPECT_EQ(facts.bands, (200 + rows - 1) / rows);
  }
}

TEST(Bands, ProgressRisesToOne) {
  const Ground ground = rough_slope(50, 20, 0.01, 3);
  GroundInMemory source(ground);
  ByteList lists[4];
  double last = 0.0;
  follow_water_in_bands(ground.frame, source, {lists[0], lists[1], lists[2], lists[3]},
                        {7, 1, [&](double share) {
                           EXPECT_GT(share, last);
                           last = share;
                         }});
  EXPECT_EQ(last, 1.0);
}

}  // namespace
}  // namespace curbshed::terrain
