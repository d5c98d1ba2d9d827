// Bands of every height against the whole raster in memory.
#include "curbshed/terrain/bands.hpp"

#include "curbshed/terrain/directions.hpp"
#include "curbshed/terrain/ways.hpp"

#include "support/byte_list.hpp"
#include "support/named_grounds.hpp"
#include "terrain/banded_counts.hpp"
#include "terrain/falls.hpp"

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

constexpr std::int64_t k2To31 = std::int64_t{1} << 31;
constexpr std::int64_t k2To32 = std::int64_t{1} << 32;

TEST(BandsOfHugeRasters, CellsAreNumberedIn64Bits) {
  const GridFrame frame{0.0, 0.0, 1.0, 100000, 100000};  // 10^10 cells
  EXPECT_EQ(frame.index(99999, 99999), frame.cells() - 1);
  EXPECT_EQ(frame.centre(frame.index(60000, 7)).x_m, frame.centre(60000, 7).x_m);
  EXPECT_EQ(frame.centre(frame.index(60000, 7)).y_m, -60000.5);
  EXPECT_EQ(frame.cell_at(frame.centre(60000, 7)), std::int64_t{6000000007});
  EXPECT_GT(std::int64_t{6000000007}, k2To32);
  for (const std::int64_t band_rows : {std::int64_t{1}, std::int64_t{7}, std::int64_t{257}}) {
    const Bands bands{frame, band_rows};
    std::int64_t cells = 0;
    for (std::int64_t band = 0; band < bands.count(); ++band) {
      ASSERT_EQ(bands.cell0(band), cells);
      cells += bands.cells(band);
    }
    EXPECT_EQ(cells, frame.cells());
  }
  EXPECT_EQ(bytes_a_count({0.0, 0.0, 1.0, 1, k2To32 - 1}), 4);
  EXPECT_EQ(bytes_a_count({0.0, 0.0, 1.0, 1, k2To32}), 8);
}

TEST(BandsOfHugeRasters, WindowsKeepTheirOriginPast2To32) {
  Grid<float> tile(3, 4, 0.0F);
  tile.at(2, 3) = 5.0F;
  GridView<float> view = tile.whole();
  view.row0 = k2To32 + 5;
  view.col0 = k2To31 + 6;
  const GridView<const float> same = view;
  EXPECT_EQ(same.row0 + 2, k2To32 + 7);
  EXPECT_EQ(same.col0 + 3, k2To31 + 9);
  EXPECT_EQ(same.at(2, 3), 5.0F);
}

TEST(BandsOfHugeRasters, TheSequenceOfDiagonalsGoesOnPast2To32Rows) {
  for (const std::int64_t far : {k2To31 - 1, k2To31, k2To32 - 1, k2To32, k2To32 * 3 + 12345}) {
    EXPECT_EQ(golden_turn(far + 17), golden_turn(far) + golden_turn(17));
    EXPECT_NE(golden_turn(k2To32 + far), golden_turn(far));
  }
  // A plane that falls by 1 in 4 off south: a quarter of its steps is diagonal, wherever the rows begin.
  constexpr std::int64_t kSide = 66;
  const Ground plane =
      ground_by(kSide, kSide, 1.0, [](base::Point p) { return 100.0 + p.y_m + 0.25 * p.x_m; });
  const Grid<std::uint8_t> no_drains;
  const Walls no_walls;
  for (const std::int64_t row0 : {std::int64_t{0}, k2To31 - 30, k2To32 - 30, k2To32 * 5}) {
    Grid<std::uint8_t> directions(kSide, kSide, kNoGround);
    decide_falls({plane, plane.height_m, no_walls, no_drains, row0}, {1, 1, kSide - 2, kSide - 2},
                 directions);
    std::int64_t diagonal = 0;
    for (std::int64_t r = 1; r < kSide - 1; ++r) {
      for (std::int64_t c = 1; c < kSide - 1; ++c) {
        ASSERT_TRUE(directions.at(r, c) == 4 || directions.at(r, c) == 5);
        ASSERT_EQ(directions.at(r, c) == 5,
                  golden_turn(row0 + r) < static_cast<std::uint64_t>(0.25 * kTwo64));
        diagonal += directions.at(r, c) == 5 ? 1 : 0;
      }
    }
    EXPECT_NEAR(static_cast<double>(diagonal) / ((kSide - 2.0) * (kSide - 2.0)), 0.25, 0.03);
  }
}

TEST(BandsOfHugeRasters, ArrivingCellsAreCountedPast2To32ByHandOver) {
  // Down the first column, up the second, down the third; 6 billion cells come in at the top left.
  constexpr std::int64_t kMany = 6'000'000'000;
  Grid<std::uint8_t> directions(3, 3, 4);
  directions.at(2, 0) = 2;
  directions.at(2, 1) = 0;
  directions.at(1, 1) = 0;
  directions.at(0, 1) = 2;
  directions.at(2, 2) = kStops;
  const Grid<std::int64_t> counts = cells_arriving(directions, {{0, kMany}}, {2, 1, 0});
  EXPECT_EQ(counts.at(2, 0), kMany + 3);
  EXPECT_EQ(counts.at(2, 2), kMany + 9);

  FlowAbove above{{{kMany, 0}, {0, -1}, {7, 2}}, {-1, 2, -1}};
  BandFlow band;
  band.up = {{0, -1}, {30, 1}, {0, -1}};
  band.down = {{0, -1}, {0, -1}, {100, 1}};
  band.from_first = {1, -1, 3 + 2};  // in at the left: out at the top again, from there down on the right
  band.from_last = {-1, 1, -1};
  const JoinedFlow joined = join_flows(above, band, {0, k2To32, 0});
  EXPECT_EQ(joined.into_first[0], kMany);
  EXPECT_EQ(joined.into_last_above[1], kMany + 30 + k2To32);
  EXPECT_EQ(joined.into_first[2], kMany + 30 + k2To32 + 7);
  EXPECT_EQ(joined.flow.down[2].cells, kMany + 30 + k2To32 + 7 + 100);
  EXPECT_EQ(joined.flow.from_last[1], 2);
  EXPECT_EQ(joined.flow.from_last[0], -1);
}

TEST(BandsOfHugeRasters, AWayThatRunsInACircleThroughBandsIsFound) {
  const FlowAbove above{{{1, 0}}, {0}};
  BandFlow band;
  band.up = {{1, 0}};
  band.down = {{0, -1}};
  band.from_first = {0};
  band.from_last = {-1};
  EXPECT_THROW(join_flows(above, band, {}), base::BugError);
}

/// A valley: water runs to the middle column and down it.
class ValleyDirections : public ByteStore {
 public:
  explicit ValleyDirections(std::int64_t side) : side_(side) {}
  void write(std::int64_t, const void*, std::int64_t) override {}
  void read(std::int64_t at, void* bytes, std::int64_t count) override {
    for (std::int64_t i = 0; i < count; ++i) {
      const std::int64_t row = (at + i) / side_;
      const std::int64_t col = (at + i) % side_;
      const std::uint8_t down = row + 1 < side_ ? 4 : kStops;
      static_cast<std::uint8_t*>(bytes)[i] = col < side_ / 2 ? 2 : col > side_ / 2 ? 6 : down;
    }
  }

 private:
  std::int64_t side_;
};

TEST(BandsOfHugeRasters, MoreThan2To24CellsThroughOne) {
  constexpr std::int64_t kSide = 4100;
  static_assert(kSide * kSide > 1 << 24);
  const Bands bands{{0.0, 0.0, 1.0, kSide, kSide}, 997};
  ValleyDirections directions(kSide);
  ByteList counts;
  ByteList store;
  Notes notes(store);
  BandedCounts counting(bands, directions, counts, notes, 1);
  for (std::int64_t band = 0; band < bands.count(); ++band) counting.down(band);
  for (std::int64_t band = bands.count() - 1; band >= 0; --band) counting.up(band);
  std::uint32_t outlet = 0;
  counts.read(4 * bands.frame.index(kSide - 1, kSide / 2), &outlet, 4);
  EXPECT_EQ(outlet, kSide * kSide);
  std::uint32_t half_way = 0;
  counts.read(4 * bands.frame.index(kSide / 2, kSide / 2), &half_way, 4);
  EXPECT_EQ(half_way, (kSide / 2 + 1) * kSide);
}

}  // namespace
}  // namespace curbshed::terrain
