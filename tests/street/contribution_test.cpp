#include "curbshed/street/contribution.hpp"

#include "curbshed/base/error.hpp"

#include "support/drawn_ground.hpp"

#include <map>
#include <tuple>

#include <gtest/gtest.h>

namespace curbshed::street {
namespace {

using testing::Grid;

struct Grids {
  terrain::GridFrame frame;
  Grid<std::int32_t> receiver;
  Grid<std::uint16_t> loss;
  Grid<std::int64_t> travel;
  Grid<std::int64_t> gutter;
};

Grids thrown(std::uint64_t seed, std::int64_t rows, std::int64_t cols, std::int64_t nodes) {
  testing::Chance chance(seed);
  Grids g;
  g.frame = {0.0, 0.0, 0.5, rows, cols};
  g.receiver = Grid<std::int32_t>(rows, cols);
  g.loss = Grid<std::uint16_t>(rows, cols);
  g.travel = Grid<std::int64_t>(rows, cols);
  g.gutter = Grid<std::int64_t>(rows, cols);
  for (std::int64_t i = 0; i < rows * cols; ++i) {
    g.receiver[i] = static_cast<std::int32_t>(chance.below(nodes + 1) - 1);
    g.loss[i] = static_cast<std::uint16_t>(chance.below(4));
    g.travel[i] = chance.below(900 * 1024);
    g.gutter[i] = chance.below(80 * 1024);
  }
  return g;
}

TEST(Contributions, EveryCellIsCountedOnceUnderItsOwnKey) {
  constexpr std::uint64_t kSeed = 77;
  constexpr std::int64_t kNodes = 6;
  const Grids g = thrown(kSeed, 60, 70, kNodes);
  const Contribution c = contributions(g.frame, g.receiver, g.loss, g.travel, g.gutter, kNodes, 10.0);
  std::vector<std::int64_t> longest(kNodes, 0);
  for (std::int64_t i = 0; i < g.frame.cells(); ++i) {
    if (g.receiver[i] >= 0)
      longest[static_cast<std::size_t>(g.receiver[i])] =
          std::max(longest[static_cast<std::size_t>(g.receiver[i])], g.gutter[i]);
  }
  std::map<std::tuple<std::int64_t, int, int, int>, std::int64_t> want;
  for (std::int64_t i = 0; i < g.frame.cells(); ++i) {
    if (g.receiver[i] < 0) continue;
    const std::int64_t most = longest[static_cast<std::size_t>(g.receiver[i])];
    const auto part = static_cast<int>(std::min<std::int64_t>(7, g.gutter[i] * 8 / most));
    ++want[{g.receiver[i], g.loss[i], static_cast<int>(g.travel[i] / 10240), part}];
  }
  std::size_t e = 0;
  for (const auto& [key, cells] : want) {
    ASSERT_LT(e, c.entries.size());
    const auto node = static_cast<std::size_t>(std::get<0>(key));
    EXPECT_LE(c.first[node], static_cast<std::int64_t>(e)) << "seed " << kSeed;
    EXPECT_GT(c.first[node + 1], static_cast<std::int64_t>(e));
    EXPECT_EQ(c.entries[e].loss_class, std::get<1>(key));
    EXPECT_EQ(c.entries[e].time_bin, std::get<2>(key));
    EXPECT_EQ(c.entries[e].join_part, std::get<3>(key));
    EXPECT_EQ(c.entries[e].cells, cells);
    ++e;
  }
  EXPECT_EQ(e, c.entries.size());
  std::int64_t all = 0;
  for (const std::int64_t cells : cells_of_nodes(c)) all += cells;
  std::int64_t received = 0;
  for (const std::int32_t n : g.receiver.values()) received += n >= 0 ? 1 : 0;
  EXPECT_EQ(all, received);
}

TEST(Contributions, PartsDivideTheLongestWayInTheGutter) {
  Grids g = thrown(3, 1, 9, 1);
  for (std::int64_t i = 0; i < 9; ++i) {
    g.receiver[i] = 0;
    g.loss[i] = 0;
    g.travel[i] = 0;
    g.gutter[i] = i * 10 * 1024;
  }
  const Contribution c = contributions(g.frame, g.receiver, g.loss, g.travel, g.gutter, 1, 10.0);
  EXPECT_DOUBLE_EQ(c.join_length_m[0], 80.0);
  ASSERT_EQ(c.entries.size(), 8U);
  EXPECT_EQ(c.entries[0].cells, 1);
  EXPECT_EQ(c.entries[7].cells, 2);  // 70 m and 80 m
}

TEST(Contributions, NodesWithoutCellsOwnNoEntries) {
  Grids g = thrown(3, 4, 4, 1);
  for (std::int64_t i = 0; i < 16; ++i) g.receiver[i] = i == 5 ? -1 : 1;
  const Contribution c = contributions(g.frame, g.receiver, g.loss, g.travel, g.gutter, 3, 10.0);
  const std::vector<std::int64_t> cells = cells_of_nodes(c);
  EXPECT_EQ(cells, (std::vector<std::int64_t>{0, 15, 0}));
  EXPECT_DOUBLE_EQ(c.join_length_m[0], 0.0);
}

TEST(Contributions, ThreadsChangeNothing) {
  const Grids g = thrown(5, 70, 50, 4);
  const auto with = [&](int threads) {
    return contributions(g.frame, g.receiver, g.loss, g.travel, g.gutter, 4, 10.0, {threads});
  };
  const Contribution one = with(1);
  for (const int threads : {2, 3}) {
    const Contribution other = with(threads);
    EXPECT_EQ(one.first, other.first);
    ASSERT_EQ(one.entries.size(), other.entries.size());
    for (std::size_t i = 0; i < one.entries.size(); ++i) {
      EXPECT_EQ(one.entries[i].cells, other.entries[i].cells);
      EXPECT_EQ(one.entries[i].time_bin, other.entries[i].time_bin);
      EXPECT_EQ(one.entries[i].join_part, other.entries[i].join_part);
    }
    EXPECT_EQ(one.join_length_m, other.join_length_m);
  }
}

TEST(Contributions, CellsUnderBasinsStandByThemselvesAndStillCount) {
  const Grids g = thrown(9, 40, 30, 5);
  std::vector<CellUnder> under;
  for (std::int64_t cell = 7; cell < g.frame.cells(); cell += 31) {
    under.push_back({cell, static_cast<std::int32_t>(cell % 3)});
  }
  const Contribution all = contributions(g.frame, g.receiver, g.loss, g.travel, g.gutter, 5, 10.0);
  for (const int threads : {1, 3}) {
    const Contribution c =
        contributions(g.frame, g.receiver, g.loss, g.travel, g.gutter, 5, 10.0, {threads}, {}, under);
    EXPECT_EQ(cells_of_nodes(c), cells_of_nodes(all));
    std::int64_t cells = 0;
    for (std::size_t node = 0; node < 5; ++node) {
      std::int32_t last = -1;
      for (auto i = static_cast<std::size_t>(c.first_place[node]);
           i < static_cast<std::size_t>(c.first_place[node + 1]); ++i) {
        EXPECT_GE(c.places[i].basin, last) << "by basin";
        last = c.places[i].basin;
        cells += c.places[i].cells;
      }
    }
    std::int64_t received = 0;
    for (const CellUnder& one : under) received += g.receiver[one.cell] >= 0 ? 1 : 0;
    EXPECT_EQ(cells, received);
  }
}

TEST(Contributions, AReceiverThatIsNoNodeIsABug) {
  Grids g = thrown(3, 4, 4, 3);
  g.receiver[7] = 2;
  EXPECT_THROW(contributions(g.frame, g.receiver, g.loss, g.travel, g.gutter, 2, 10.0), base::BugError);
}

}  // namespace
}  // namespace curbshed::street
