#include "street/chain_order.hpp"

#include "curbshed/base/error.hpp"

#include "support/drawn_ground.hpp"

#include <gtest/gtest.h>

namespace curbshed::street::detail {
namespace {

/// Nodes named by letters; the last one is the edge of the data.
Network letters(std::size_t n) {
  Network net;
  for (std::size_t i = 0; i < n; ++i) {
    net.kind.push_back(i + 1 == n ? NodeKind::DataEdge : NodeKind::Cut);
    net.id.push_back(std::string(1, static_cast<char>('a' + i)));
    net.downstream.push_back(i + 1 == n ? -1 : static_cast<std::int32_t>(n) - 1);
    net.in_sag.push_back(-1);
  }
  return net;
}

void way(Network& net, std::int32_t from, std::int32_t to, double depth,
         SideWayKind kind = SideWayKind::OverCrown) {
  SideWay w;
  w.from = from;
  w.to = to;
  w.kind = kind;
  w.begins_depth_m = depth;
  net.side_ways.push_back(w);
}

TEST(ChainOrder, DownstreamAndSideWaysComeLater) {
  Network net = letters(5);
  net.downstream[3] = 0;
  way(net, 2, 3, 0.1, SideWayKind::OverCurb);
  way(net, 1, -1, 0.1, SideWayKind::OverCurb);
  const ChainOrder order = order_chain(net);
  EXPECT_EQ(order.nodes, (std::vector<std::int32_t>{1, 2, 3, 0, 4}));
  EXPECT_EQ(order.side_ways.size(), 2U);
}

TEST(ChainOrder, ACircleOfGuttersIsNamed) {
  Network net = letters(4);
  net.downstream[0] = 1;
  net.downstream[1] = 2;
  net.downstream[2] = 0;
  try {
    order_chain(net);
    FAIL() << "no error";
  } catch (const base::BugError& error) {
    EXPECT_STREQ(error.what(), "gutters run in a circle: a, b, c");
  }
}

TEST(ChainOrder, TwoThatOverflowIntoEachOtherAreOnePond) {
  Network net = letters(4);
  way(net, 0, 2, 0.10);
  way(net, 2, 0, 0.12);
  const ChainOrder order = order_chain(net);
  ASSERT_EQ(order.pond_pairs.size(), 1U);
  EXPECT_EQ(order.pond_pairs[0], (std::array<std::int32_t, 2>{0, 2}));
  EXPECT_EQ(order.nodes, (std::vector<std::int32_t>{0, 2, 1, 3}));
  EXPECT_TRUE(order.dropped.empty());
}

TEST(ChainOrder, NoPondOfASagAndAGutterOrOfANodeAndItsDownstream) {
  Network net = letters(3);
  net.kind[0] = NodeKind::Sag;
  way(net, 0, 1, 0.10);
  way(net, 1, 0, 0.12);
  ChainOrder order = order_chain(net);
  EXPECT_TRUE(order.pond_pairs.empty());
  ASSERT_EQ(order.dropped.size(), 1U);
  EXPECT_EQ(order.dropped[0].from, 1);

  net = letters(3);
  net.downstream[0] = 1;
  way(net, 0, 1, 0.10);
  way(net, 1, 0, 0.05);
  order = order_chain(net);
  EXPECT_TRUE(order.pond_pairs.empty());
  ASSERT_EQ(order.nodes.size(), 3U);
  EXPECT_EQ(order.nodes[0], 0);
}

TEST(ChainOrder, LargerCirclesLoseTheirHighestWayUntilOnlyPairsAreLeft) {
  Network net = letters(5);
  way(net, 0, 1, 0.10);
  way(net, 1, 0, 0.11);
  way(net, 1, 2, 0.14);
  way(net, 2, 1, 0.13);
  const ChainOrder order = order_chain(net);
  ASSERT_EQ(order.dropped.size(), 1U);
  EXPECT_DOUBLE_EQ(order.dropped[0].begins_depth_m, 0.14);
  ASSERT_EQ(order.pond_pairs.size(), 1U);
  EXPECT_EQ(order.pond_pairs[0], (std::array<std::int32_t, 2>{0, 1}));
  EXPECT_EQ(order.nodes, (std::vector<std::int32_t>{2, 0, 1, 3, 4}));
}

TEST(ChainOrder, WhatStandsInASagFollowsIt) {
  Network net = letters(4);
  net.kind[2] = NodeKind::Sag;
  net.in_sag[0] = 2;
  const ChainOrder order = order_chain(net);
  EXPECT_EQ(order.nodes, (std::vector<std::int32_t>{1, 2, 0, 3}));
}

TEST(ChainOrder, SeededNetworksAreAlwaysInOrder) {
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    testing::Chance chance(seed);
    const auto n = static_cast<std::size_t>(3 + chance.below(12));
    Network net = letters(n);
    for (std::size_t i = 0; i + 1 < n; ++i) {  // downstream always has a greater number: no circle
      net.downstream[i] = static_cast<std::int32_t>(i + 1) +
                          static_cast<std::int32_t>(chance.below(static_cast<std::int64_t>(n - i) - 1));
    }
    for (int k = 0; k < 12; ++k) {
      const auto a = static_cast<std::int32_t>(chance.below(static_cast<std::int64_t>(n) - 1));
      const auto b = static_cast<std::int32_t>(chance.below(static_cast<std::int64_t>(n)));
      if (a != b)
        way(net, a, b, 0.01 * static_cast<double>(1 + k),
            chance.below(2) == 0 ? SideWayKind::OverCrown : SideWayKind::OverCurb);
    }
    const ChainOrder order = order_chain(net);
    std::vector<std::int32_t> place(n);
    for (std::size_t k = 0; k < n; ++k)
      place[static_cast<std::size_t>(order.nodes[k])] = static_cast<std::int32_t>(k);
    const auto pair = [&](std::int32_t a, std::int32_t b) {
      for (const auto& p : order.pond_pairs) {
        if ((p[0] == a && p[1] == b) || (p[0] == b && p[1] == a)) return true;
      }
      return false;
    };
    for (std::size_t i = 0; i + 1 < n; ++i)
      EXPECT_LT(place[i], place[static_cast<std::size_t>(net.downstream[i])]) << "seed " << seed;
    for (const SideWay& w : order.side_ways) {
      if (pair(w.from, w.to)) continue;
      EXPECT_LT(place[static_cast<std::size_t>(w.from)], place[static_cast<std::size_t>(w.to)])
          << "seed " << seed;
    }
    EXPECT_EQ(order.side_ways.size() + order.dropped.size(), net.side_ways.size());
  }
}

}  // namespace
}  // namespace curbshed::street::detail
