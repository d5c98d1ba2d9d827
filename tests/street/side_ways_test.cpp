#include "support/drawn_block.hpp"

#include <gtest/gtest.h>

namespace curbshed::street {
namespace {

using namespace curbshed::testing;

TEST(SideWays, LotsThatFallToTheStreetGiveNoWayOverTheCurb) {
  DrawnBlock block = draw_block({});
  block.cut("a", -20.25, 5.2);
  block.cut("b", 20.25, 5.2);
  const Network net = block.build().network;
  for (const SideWay& way : net.side_ways) EXPECT_EQ(way.kind, SideWayKind::OverCrown);
}

TEST(SideWays, WhereLotsFallAwayWaterLeavesOverTheCurbAtItsCrest) {
  StraightStreet street;
  street.lot_slope_at = [](double x) { return x > 0.0 && x < 25.0 ? -0.03 : 0.02; };
  DrawnBlock block = draw_block(street);
  block.cut("a", -10.25, 5.2);
  block.cut("b", 30.25, 5.2);
  const Network net = block.build().network;
  const std::int32_t b = node_of(net, "b");
  const SideWay way = side_way_of(net, b, SideWayKind::OverCurb);
  ASSERT_EQ(way.from, b);
  EXPECT_EQ(way.to, -1);
  EXPECT_NEAR(way.begins_depth_m, 0.15, 0.003);
  EXPECT_GE(way.at.x_m, -0.5);
  EXPECT_LE(way.at.x_m, 25.5);
  EXPECT_EQ(side_way_of(net, node_of(net, "a"), SideWayKind::OverCurb).from, -1);
}

TEST(SideWays, ALowPlaceThatLittleOfTheWaterPassesIsNoWayOut) {
  StraightStreet street;
  street.lot_slope_at = [](double x) { return x > -70.0 && x < -55.0 ? -0.03 : 0.02; };
  DrawnBlock block = draw_block(street);
  block.cut("b", 60.25, 5.2);
  EXPECT_EQ(side_way_of(block.build().network, 0, SideWayKind::OverCurb).from, -1);
}

TEST(SideWays, AcrossFromTheOpeningOfAStreetThereIsNoCrown) {
  // The southern curb opens to another street from x = 0 to 14; the northern curb sees no crown there nor 10
  // m to each side.
  StraightStreet street;
  street.crossfall = 0.02;
  DrawnBlock block = draw_block(street);
  block.curbs[1].line = {{-82.0, -5.0}, {0.0, -5.0}};
  terrain::CurbLine east = block.curbs[1];
  east.id = "s-east";
  east.line = {{14.0, -5.0}, {82.0, -5.0}};
  block.curbs.push_back(east);
  for (std::int64_t cell = 0; cell < block.ground.frame.cells(); ++cell) {
    const base::Point p = block.ground.frame.centre(cell);
    if (p.x_m <= 0.0 || p.x_m >= 14.0 || p.y_m > 0.0) continue;
    block.pavement[cell] = 1;
    block.ground.height_m[cell] = static_cast<float>(100.0 - 0.01 * p.x_m + 0.02 * p.y_m);
  }
  block.cut("a", 30.25, 5.2);
  for (const SideWay& way : block.build().network.side_ways) {
    EXPECT_TRUE(way.at.x_m < -9.0 || way.at.x_m > 23.0) << way.at.x_m;
  }
}

TEST(SideWays, GroundBehindThatStandsAboveTheCrestHoldsTheWaterLonger) {
  StraightStreet street;
  street.lot_slope_at = [](double x) { return x > 0.0 && x < 25.0 ? -0.03 : 0.02; };
  DrawnBlock block = draw_block(street);
  for (std::int64_t cell = 0; cell < block.ground.frame.cells(); ++cell) {
    const base::Point p = block.ground.frame.centre(cell);
    if (p.y_m > 5.0 && p.x_m > 0.0 && p.x_m < 25.0) block.ground.height_m[cell] += 0.10F;
  }
  block.cut("b", 30.25, 5.2);
  const Network net = block.build().network;
  const SideWay way = side_way_of(net, node_of(net, "b"), SideWayKind::OverCurb);
  ASSERT_GE(way.from, 0);
  EXPECT_NEAR(way.begins_depth_m, 0.25, 0.01);
}

TEST(SideWays, ADrivewayLipIsTheLowestWay) {
  StraightStreet street;
  street.lot_slope_at = [](double x) { return x > 0.0 && x < 25.0 ? -0.03 : 0.02; };
  DrawnBlock block = draw_block(street);
  // The curb's northern line is broken by a gap from 10 to 14 m, where the ground behind is flush with the
  // gutter.
  block.curbs[0].line = {{-82.0, 5.0}, {10.0, 5.0}};
  terrain::CurbLine gap = curb_line("gap", "Kiln Street", "north", {{10.0, 5.0}, {14.0, 5.0}});
  gap.kind = terrain::CurbKind::Gap;
  block.curbs.push_back(gap);
  terrain::CurbLine rest = block.curbs[0];
  rest.id = "n2";
  rest.line = {{14.0, 5.0}, {82.0, 5.0}};
  block.curbs.push_back(rest);
  for (std::int64_t cell = 0; cell < block.ground.frame.cells(); ++cell) {
    const base::Point p = block.ground.frame.centre(cell);
    if (p.y_m > 5.0 && p.x_m > 10.0 && p.x_m < 14.0) block.ground.height_m[cell] -= 0.15F;
  }
  block.cut("b", 30.25, 5.2);
  const Network net = block.build().network;
  const SideWay way = side_way_of(net, node_of(net, "b"), SideWayKind::OverLip);
  ASSERT_GE(way.from, 0);
  EXPECT_EQ(way.to, -1);
  EXPECT_NEAR(way.begins_depth_m, 0.025, 0.01);
  EXPECT_GT(side_way_of(net, node_of(net, "b"), SideWayKind::OverCurb).begins_depth_m, 0.12);
}

TEST(SideWays, TwoGuttersOfOneStreetAreAPondPairOverTheCrown) {
  StraightStreet street;
  street.profile = [](double x) {
    return 100.0 - 0.01 * std::abs(x);
  };  // both gutters begin at the summit, x = 0
  DrawnBlock block = draw_block(street);
  block.cut("north", 60.25, 5.2);
  block.cut("south", 60.25, -5.2);
  const Network net = block.build().network;
  const std::int32_t north = node_of(net, "north");
  const std::int32_t south = node_of(net, "south");
  const SideWay there = side_way_of(net, north, SideWayKind::OverCrown);
  const SideWay back = side_way_of(net, south, SideWayKind::OverCrown);
  EXPECT_EQ(there.to, south);
  EXPECT_EQ(back.to, north);
  EXPECT_NEAR(there.begins_depth_m, 0.10,
              0.012);  // 5 m at 2 %; the crown's cells lie a quarter metre off its line
  ASSERT_EQ(net.pond_pairs.size(), 1U);
  EXPECT_EQ(net.pond_pairs[0], (std::array<std::int32_t, 2>{std::min(north, south), std::max(north, south)}));
}

TEST(SideWays, OverTheCrownToAGutterWithNoReceiverLeadsToTheEdgeOfTheData) {
  DrawnBlock block = draw_block({});
  block.cut("a", 20.25, 5.2);
  const Network net = block.build().network;
  const SideWay way = side_way_of(net, node_of(net, "a"), SideWayKind::OverCrown);
  ASSERT_GE(way.from, 0);
  EXPECT_EQ(way.to, node_of(net, "edge"));
}

TEST(SideWays, AWayBackUpTheSameGutterIsLeftOutAndNoted) {
  // The lots fall up the street: water that comes over the curb just below "a" runs back above it.
  StraightStreet street;
  street.grade = 0.002;
  DrawnBlock block = draw_block(street);
  for (std::int64_t cell = 0; cell < block.ground.frame.cells(); ++cell) {
    const base::Point p = block.ground.frame.centre(cell);
    if (p.y_m > street.half_width_m) block.ground.height_m[cell] += static_cast<float>(0.006 * p.x_m);
  }
  block.cut("a", 0.25, 5.2);
  block.cut("b", 10.25, 5.2);
  const StreetModel model = block.build();
  EXPECT_EQ(side_way_of(model.network, node_of(model.network, "b"), SideWayKind::OverCurb).from, -1);
  EXPECT_EQ(model.notes.at(base::NoteId::SideWayDropped).count, 1);
  EXPECT_EQ(model.notes.at(base::NoteId::SideWayDropped).first_feature, "b");
}

}  // namespace
}  // namespace curbshed::street
