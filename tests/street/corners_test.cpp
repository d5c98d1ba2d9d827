#include "curbshed/street/corners.hpp"

#include "curbshed/base/error.hpp"

#include "support/drawn_crossing.hpp"

#include <gtest/gtest.h>

namespace curbshed::street {
namespace {

using namespace curbshed::testing;

constexpr base::Point kNorthWest{-9.5, 5.0};  // where the gutter on the north side of Kiln Street ends
constexpr base::Point kSouthWest{-9.5, -5.0};

/// Both streets fall by 1 %; a cut on each way that the water of the north-west block may take.
DrawnBlock crossing_with_cuts(double crown_m, const HeightError& error = {}) {
  Crossing crossing;
  crossing.crown_m = crown_m;
  crossing.east_fall = 0.01;
  crossing.north_fall = 0.01;
  DrawnBlock block = draw_crossing(crossing, error);
  block.cut("turned", -5.2, 40.0);
  block.cut("crossed", 40.0, 5.2);
  return block;
}

FlowLine line_of(base::Polyline line, bool hump = false) {
  FlowLine flow;
  flow.id = "valley 1";
  flow.line = std::move(line);
  flow.hump = hump;
  flow.source = "lines.gpkg:lines";
  return flow;
}
const base::Polyline kAcross = {{-9.5, 4.6}, {9.5, 4.6}};
const base::Polyline kRound = {{-9.5, 4.6}, {-6.2, 6.2}, {-4.6, 9.5}};

CornerPoint point_of(base::Point at, double turns) {
  CornerPoint point;
  point.id = "corner A";
  point.at = at;
  point.turns = turns;
  point.source = "corners.csv";
  return point;
}

const Corner& corner_at(const StreetModel& model, base::Point p) {
  for (const Corner& corner : model.corners) {
    if (base::distance_m(corner.at, p) < 2.0) return corner;
  }
  throw std::runtime_error("no corner there");
}

std::string refusal(const DrawnBlock& block) {
  try {
    block.build();
  } catch (const base::InputError& error) {
    return error.what();
  }
  return "nothing was refused";
}

TEST(Corners, AreWhereGuttersComeToASideStreet) {
  const StreetModel model = crossing_with_cuts(0.10).build();
  ASSERT_EQ(model.corners.size(), 4U);  // six gutters lead away from the crossing or have nothing to cross to
  const Corner& corner = corner_at(model, kNorthWest);
  EXPECT_EQ(corner.id, "corner-kiln-street-north-at-lantern-street-west");
  EXPECT_EQ(corner.words, "Kiln Street, north side, at Lantern Street");
  EXPECT_EQ(corner.way, CornerWay::Turns);
  EXPECT_EQ(corner.origin, CornerOrigin::Ground);
  EXPECT_EQ(corner.turns_share, 1.0);
  EXPECT_EQ(corner.to_turn, node_of(model.network, "turned"));
  EXPECT_EQ(corner.to_cross, node_of(model.network, "crossed"));
  EXPECT_EQ(corner_at(model, kSouthWest).way, CornerWay::Crosses);
}

// By hand, heights against the plane's at the crossing's middle, at the gutter line y = 5 of the north side:
// across, the crown at x = 0 stands 10 cm over the gutter, whose own fall from 3 m after the fork (x = −6) to
// there is 6 cm; round, the highest place is 3 m after the fork: 6 cm less about 0.5 cm over the crown's
// foot. The mean over 1 m of ground takes about 1 cm off the crown.
TEST(Corners, TheHeightThatDecidesIsThatOfTheCrownToCross) {
  const Corner corner = corner_at(crossing_with_cuts(0.10).build(), kNorthWest);
  EXPECT_NEAR(corner.difference_m, 0.045, 0.01);
  // Twice 3 cm · √(2 (1 − exp(−d / 5 m))) for the 6 m between both places.
  EXPECT_NEAR(corner.doubt_m, 2.0 * 0.03 * std::sqrt(2.0 * (1.0 - std::exp(-6.0 / 5.0))), 0.005);
}

TEST(Corners, TheHeightThatDecidesIsReadFromTheGroundAsItIs) {
  DrawnBlock block = crossing_with_cuts(0.10);
  block.curb_settings.lowering_m = 0.0;
  const Corner none = corner_at(block.build(), kNorthWest);
  block.curb_settings.lowering_m = 0.20;
  const Corner deep = corner_at(block.build(), kNorthWest);
  EXPECT_EQ(none.difference_m, deep.difference_m);
  EXPECT_EQ(none.doubt_m, deep.doubt_m);
}

TEST(Corners, AnElevationErrorThatCannotHideTheDifferenceMakesTheCornerCertain) {
  DrawnBlock block = crossing_with_cuts(0.10);
  block.settings.elevation_error_m = 0.01;
  const StreetModel model = block.build();
  EXPECT_FALSE(corner_at(model, kNorthWest).uncertain);
  EXPECT_FALSE(model.notes.has(base::NoteId::CornerUncertain));
  block.settings.elevation_error_m = 0.03;
  const StreetModel unsure = block.build();
  EXPECT_TRUE(corner_at(unsure, kNorthWest).uncertain);
  EXPECT_TRUE(unsure.notes.has(base::NoteId::CornerUncertain));
}

TEST(Corners, AValleyGutterSendsTheBlocksWaterAcross) {
  for (const HeightError& error : {HeightError{}, HeightError{0.03, 5.0, 4}}) {
    DrawnBlock block = crossing_with_cuts(0.10, error);
    const StreetModel without = block.build();
    const double block_m2 = static_cast<double>(corner_at(without, kNorthWest).cells) * 0.25;
    EXPECT_GT(block_m2, 1400.0);
    const double turned_m2 = area_of(without, block, "turned");
    EXPECT_GT(turned_m2, block_m2);
    block.flow_lines = {line_of(kAcross)};
    const StreetModel with = block.build();
    EXPECT_EQ(corner_at(with, kNorthWest).way, CornerWay::Crosses);
    EXPECT_EQ(corner_at(with, kNorthWest).origin, CornerOrigin::FlowLine);
    EXPECT_FALSE(corner_at(with, kNorthWest).uncertain);
    EXPECT_GT(area_of(with, block, "crossed"), block_m2);
    EXPECT_NEAR(area_of(with, block, "turned"), turned_m2 - block_m2,
                0.08 * block_m2);  // the return's own lots stay
  }
}

TEST(Corners, AValleyGutterRoundTheCornerKeepsTheWaterOnItsSide) {
  DrawnBlock block = crossing_with_cuts(0.0);
  block.curb_settings.lowering_m = 0.0;
  block.flow_lines = {line_of(kRound)};
  const StreetModel model = block.build();
  EXPECT_EQ(corner_at(model, kNorthWest).way, CornerWay::Turns);
  EXPECT_GT(area_of(model, block, "turned"), 1400.0);
}

TEST(Corners, AHumpAcrossTheGutterPastTheCornerKeepsTheWaterFromIt) {
  DrawnBlock block = crossing_with_cuts(0.03);
  const double without_m2 = area_of(block.build(), block, "turned");
  EXPECT_GT(without_m2, 1400.0);
  block.flow_lines = {line_of({{-5.2, 11.0}, {2.0, 11.0}}, true)};
  block.flow_lines[0].height_m = 0.30;
  EXPECT_LT(area_of(block.build(), block, "turned"), without_m2 - 1300.0);
}

TEST(Corners, WithNoiseAndNoLineTheCornerIsUncertainAndBothAreasAreGiven) {
  int uncertain = 0;
  constexpr int kSeeds = 20;
  for (std::uint64_t seed = 1; seed <= kSeeds; ++seed) {
    DrawnBlock block = crossing_with_cuts(0.03, {0.03, 5.0, seed});
    const StreetModel model = block.build();
    const Network& net = model.network;
    const auto found = std::find_if(model.corners.begin(), model.corners.end(),
                                    [](const Corner& c) { return base::distance_m(c.at, kNorthWest) < 2.0; });
    if (found == model.corners.end() || !found->uncertain || found->cells < 3000) continue;
    if (found->to_turn != node_of(net, "turned") || found->to_cross != node_of(net, "crossed")) continue;
    ++uncertain;
    const auto turned = static_cast<std::size_t>(node_of(net, "turned"));
    const auto crossed = static_cast<std::size_t>(node_of(net, "crossed"));
    std::vector<double> areas(net.size(), 0.0);
    for (std::size_t n = 0; n < net.size(); ++n)
      areas[n] = static_cast<double>(cells_of(model, static_cast<std::int32_t>(n))) * 0.25;
    const auto effects = corner_effects(net, model.corners, areas, 0.25);
    ASSERT_FALSE(effects[turned].empty()) << "seed " << seed;
    ASSERT_FALSE(effects[crossed].empty()) << "seed " << seed;
    const auto effect = [&](std::size_t node) {
      for (const CornerEffect& one : effects[node]) {
        if (&model.corners[static_cast<std::size_t>(one.corner)] == &*found) return one;
      }
      throw std::runtime_error("the corner has no effect there");
    };
    const CornerEffect there = effect(turned);
    const CornerEffect here = effect(crossed);
    // What one loses the other gets, and one of the two is what was decided.
    EXPECT_NEAR(there.area_if_turns_m2 - there.area_if_crosses_m2,
                here.area_if_crosses_m2 - here.area_if_turns_m2, 1e-9);
    if (found->way == CornerWay::Splits) continue;
    const bool turns = found->way == CornerWay::Turns;
    EXPECT_EQ(turns ? there.area_if_turns_m2 : there.area_if_crosses_m2, areas[turned]);
    EXPECT_EQ(turns ? here.area_if_turns_m2 : here.area_if_crosses_m2, areas[crossed]);
    EXPECT_GT(there.area_if_turns_m2, there.area_if_crosses_m2 + 700.0);
  }
  // The rest have no gutter that leads there (a sag of noise on the way) or a crown that noise has raised.
  EXPECT_GE(uncertain, kSeeds * 3 / 4);
  RecordProperty("uncertain", uncertain);
}

/// The area that the effect foretells is the one that a line brings about.
TEST(Corners, TheOtherAreaIsTheOneThatAFlowLineBringsAbout) {
  DrawnBlock block = crossing_with_cuts(0.10);
  const StreetModel model = block.build();
  const auto crossed = static_cast<std::size_t>(node_of(model.network, "crossed"));
  std::vector<double> areas(model.network.size(), 0.0);
  for (std::size_t n = 0; n < areas.size(); ++n)
    areas[n] = static_cast<double>(cells_of(model, static_cast<std::int32_t>(n))) * 0.25;
  const auto effects = corner_effects(model.network, model.corners, areas, 0.25);
  ASSERT_FALSE(effects[crossed].empty());
  block.flow_lines = {line_of(kAcross)};
  const double brought_m2 = area_of(block.build(), block, "crossed");
  EXPECT_NEAR(effects[crossed].front().area_if_crosses_m2, brought_m2, 0.04 * brought_m2);
}

TEST(Corners, ACornerPointDecides) {
  for (const double crown : {0.03, 0.10}) {
    DrawnBlock block = crossing_with_cuts(crown);
    block.corner_points = {point_of({-7.0, 7.0}, 0.0)};
    const StreetModel across = block.build();
    EXPECT_EQ(corner_at(across, kNorthWest).way, CornerWay::Crosses);
    EXPECT_EQ(corner_at(across, kNorthWest).origin, CornerOrigin::CornerPoint);
    EXPECT_FALSE(corner_at(across, kNorthWest).uncertain);
    EXPECT_GT(area_of(across, block, "crossed"), 1400.0);
    block.corner_points = {point_of({-7.0, 7.0}, 1.0)};
    const StreetModel round = block.build();
    EXPECT_EQ(corner_at(round, kNorthWest).way, CornerWay::Turns);
    EXPECT_GT(area_of(round, block, "turned"), 1400.0);
  }
}

TEST(Corners, AWrongLineOrPointIsAnErrorThatNamesIt) {
  DrawnBlock block = crossing_with_cuts(0.10);
  block.corner_points = {point_of({-7.0, -7.0}, 1.0)};  // both gutters fall to this corner
  EXPECT_NE(refusal(block).find("corners.csv, corner A: corner point corner A says that the water turns"),
            std::string::npos)
      << refusal(block);
  block.corner_points = {point_of({-45.0, 45.0}, 1.0)};
  EXPECT_NE(refusal(block).find("from the nearest corner"), std::string::npos) << refusal(block);
  block.corner_points = {point_of({-7.0, 7.0}, 1.0), point_of({-6.0, 7.0}, 0.0)};
  EXPECT_NE(refusal(block).find("stands at the same corner as corner A"), std::string::npos)
      << refusal(block);
  block.corner_points.clear();
  block.flow_lines = {line_of({{0.0, 4.6}, {500.0, 4.6}})};
  EXPECT_NE(refusal(block).find("lines.gpkg, lines, valley 1: flow line valley 1 leaves the elevation"),
            std::string::npos)
      << refusal(block);
}

TEST(Corners, AreTheSameForEveryPlanAndOrderOfTheCurbs) {
  DrawnBlock block = crossing_with_cuts(0.03, {0.03, 5.0, 4});
  const auto told = [](const StreetModel& model) {
    std::string text;
    for (const Corner& c : model.corners) {
      text += c.id + " " + std::to_string(c.difference_m) + " " + std::to_string(c.cells) + " " +
              std::to_string(c.to_turn) + " " + std::to_string(c.to_cross) + " " +
              std::to_string(c.turns_share) + "\n";
    }
    return text;
  };
  const std::string wanted = told(block.build());
  EXPECT_EQ(told(block.build({2, 7, 13})), wanted);
  std::reverse(block.curbs.begin(), block.curbs.end());
  EXPECT_EQ(told(block.build()), wanted);
  for (terrain::CurbLine& curb : block.curbs) std::reverse(curb.line.begin(), curb.line.end());
  const StreetModel turned = block.build();
  ASSERT_EQ(turned.corners.size(), block.build().corners.size());
}

}  // namespace
}  // namespace curbshed::street
