#include "curbshed/base/error.hpp"
#include "curbshed/street/corners.hpp"

#include "support/drawn_crossing.hpp"

#include <gtest/gtest.h>

namespace curbshed::street {
namespace {

using namespace curbshed::testing;

constexpr base::Point kNorthWest{-7.0, 7.0};
constexpr base::Point kNorthEast{7.0, 7.0};  // gutters lead away from it

CornerPoint point_of(base::Point at, double turns) {
  CornerPoint point;
  point.id = "corner A";
  point.at = at;
  point.turns = turns;
  point.source = "corners.csv";
  return point;
}

/// Water of the north-west block comes down Kiln Street's north gutter; a cut on each of its two ways.
DrawnBlock crossing_with(base::Point at, double turns) {
  Crossing crossing;
  crossing.east_fall = 0.01;
  crossing.north_fall = 0.01;
  DrawnBlock block = draw_crossing(crossing, {});
  block.cut("turned", -5.2, 40.0);
  block.cut("crossed", 40.0, 5.2);
  block.corner_points = {point_of(at, turns)};
  return block;
}

/// Areas arriving, by the network's own edges.
double arriving_m2(const StreetModel& model, const std::string& id) {
  const Network& net = model.network;
  std::vector<double> areas(net.size(), 0.0);
  for (const std::int32_t n : model.first_receiver.values()) {
    if (n >= 0) areas[static_cast<std::size_t>(n)] += 0.25;
  }
  for (std::size_t n = 0; n < net.size(); ++n)
    each_way_down(net, n, [&](const WayDown& way) { areas[way.to] += way.share * areas[n]; });
  return areas[static_cast<std::size_t>(node_of(net, id))];
}

std::string refusal(const DrawnBlock& block) {
  try {
    block.build();
  } catch (const base::InputError& error) {
    return error.what();
  }
  return "nothing was refused";
}

TEST(SharedCorners, BothSidesGetTheirShareOfTheBlocksWater) {
  const StreetModel model = crossing_with(kNorthWest, 0.6).build();
  const Network& net = model.network;
  ASSERT_EQ(net.second_ways.size(), 1U);
  const SecondWay& way = net.second_ways[0];
  const auto corner_node = static_cast<std::size_t>(way.from);
  EXPECT_EQ(net.kind[corner_node], NodeKind::Corner);
  EXPECT_EQ(net.downstream[corner_node], node_of(net, "turned"));
  EXPECT_EQ(way.to, node_of(net, "crossed"));
  EXPECT_DOUBLE_EQ(way.share, 0.4);
  // From the end of the straight gutter to each cut, by the drawing: round the corner 7.1 + 30.5 m, across
  // 49.5 m.
  EXPECT_NEAR(net.reach_length_m[corner_node], 37.6, 1.5);
  EXPECT_NEAR(way.reach_length_m, 49.5, 1.5);
  // What all of the water does, each way, is the oracle; near the corner a few cells belong to no fork.
  const StreetModel turns = crossing_with(kNorthWest, 1.0).build();
  const StreetModel crosses = crossing_with(kNorthWest, 0.0).build();
  for (const char* cut : {"turned", "crossed"}) {
    const double wanted_m2 = 0.6 * arriving_m2(turns, cut) + 0.4 * arriving_m2(crosses, cut);
    EXPECT_NEAR(arriving_m2(model, cut), wanted_m2, 0.04 * wanted_m2) << cut;
    EXPECT_GT(wanted_m2, 500.0);
  }
}

TEST(SharedCorners, ACornerSaysWhatWasAskedAndWhatComes) {
  const StreetModel model = crossing_with(kNorthWest, 0.6).build();
  const auto found = std::find_if(model.corners.begin(), model.corners.end(), [](const Corner& corner) {
    return corner.origin == CornerOrigin::CornerPoint && corner.way == CornerWay::Splits;
  });
  ASSERT_NE(found, model.corners.end());
  EXPECT_EQ(found->id, "corner-kiln-street-north-at-lantern-street-west");
  EXPECT_EQ(found->turns_share, 0.6);
  EXPECT_FALSE(found->uncertain);
  EXPECT_EQ(found->to_turn, node_of(model.network, "turned"));
  EXPECT_EQ(found->to_cross, node_of(model.network, "crossed"));
  EXPECT_EQ(found->cells, cells_of(model, model.network.second_ways[0].from));
  EXPECT_GT(found->cells, 5600);  // 1,400 m2
}

TEST(SharedCorners, AreTheSameForEveryPlanAndOrderOfTheCurbs) {
  DrawnBlock block = crossing_with(kNorthWest, 0.6);
  const auto told = [](const StreetModel& model) {
    std::string text;
    for (const SecondWay& way : model.network.second_ways)
      text +=
          std::to_string(way.from) + " " + std::to_string(way.to) + " " + std::to_string(way.reach_length_m);
    for (const std::string& id : model.network.id) text += " " + id;
    return text;
  };
  const std::string wanted = told(block.build());
  EXPECT_EQ(told(block.build({2, 7, 13})), wanted);
  std::reverse(block.curbs.begin(), block.curbs.end());
  EXPECT_EQ(told(block.build()), wanted);
}

TEST(SharedCorners, AShareThatCannotBeIsAnErrorThatNamesIt) {
  const std::string one_way = refusal(crossing_with(kNorthEast, 0.6));
  EXPECT_NE(one_way.find("corners.csv, corner A: corner point corner A shares the water (share 0.6), but its "
                         "corner has only one way"),
            std::string::npos)
      << one_way;
  DrawnBlock taken = crossing_with(kNorthWest, 0.6);
  const Network net = taken.build().network;
  const base::Point parts = net.at[static_cast<std::size_t>(net.second_ways.at(0).from)];
  taken.cut("in the way", parts.x_m, parts.y_m);
  EXPECT_NE(refusal(taken).find("in the way stands where the water parts"), std::string::npos)
      << refusal(taken);
  // Both gutters fall to this corner: what turns out of one comes back down the other.
  const std::string circle = refusal(crossing_with({-7.0, -7.0}, 0.5));
  EXPECT_NE(circle.find("corner A shares the water (share 0.5), but"), std::string::npos) << circle;
}

}  // namespace
}  // namespace curbshed::street
