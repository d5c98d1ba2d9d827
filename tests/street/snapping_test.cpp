#include "curbshed/base/error.hpp"

#include "support/drawn_block.hpp"

#include <queue>

#include <gtest/gtest.h>

namespace curbshed::street {
namespace {

using namespace curbshed::testing;

std::string message_of(const DrawnBlock& block) {
  try {
    block.build();
  } catch (const base::InputError& error) {
    return error.what();
  }
  return "no error";
}

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

TEST(Snapping, ACutMovesToItsGutterAndSaysSo) {
  DrawnBlock block = draw_block({});
  block.cut("a", 10.25, 6.5);
  const StreetModel model = block.build();
  const auto n = static_cast<std::size_t>(node_of(model.network, "a"));
  EXPECT_NEAR(model.network.moved_m[n], 1.5, 0.05);
  EXPECT_NEAR(model.network.at[n].y_m, 5.0, 1e-9);
  EXPECT_NEAR(model.network.behind[n].y_m, 1.0, 1e-9);
  EXPECT_NEAR(model.network.along_curb_m[n], 92.25, 0.26);
  EXPECT_NEAR(model.notes.at(base::NoteId::CutSnapped).worst, 1.5, 0.05);
}

TEST(Snapping, ACutFarFromAnyCurbIsNamed) {
  DrawnBlock block = draw_block({});
  block.cut("lost", 10.25, 12.0);
  const std::string text = message_of(block);
  for (const char* part : {"sites.gpkg", "points", "lost", "7.00 m from the nearest gutter", "up to 3.00 m",
                           "move it to its curb"}) {
    EXPECT_TRUE(holds(text, part)) << part << " not in: " << text;
  }
}

TEST(Snapping, ACutOutsideOrOnAHoleIsNamed) {
  DrawnBlock outside = draw_block({});
  outside.cut("far", 500.0, 5.0);
  EXPECT_TRUE(holds(message_of(outside), "outside the elevation model"));
  DrawnBlock hole = draw_block({});
  hole.cut("hole", 10.25, 5.6);
  hole.ground.valid[hole.ground.frame.cell_at({10.25, 5.6})] = 0;
  EXPECT_TRUE(holds(message_of(hole), "has no height"));
}

TEST(Snapping, TwoCutsInOneGutterCellAreNamed) {
  DrawnBlock block = draw_block({});
  block.cut("a", 10.05, 5.2);
  block.cut("b", 10.15, 5.5);
  const std::string text = message_of(block);
  EXPECT_TRUE(holds(text, "cut b") && holds(text, "same gutter cell as cut a")) << text;
}

/// The northern curb is open for a driveway from x = 8 to x = 14.
DrawnBlock block_with_driveway() {
  DrawnBlock block = draw_block({});
  terrain::CurbLine& whole = block.curbs[0];
  terrain::CurbLine gap = curb_line("drive", "Kiln Street", "north", {{8.0, 5.0}, {14.0, 5.0}});
  gap.kind = terrain::CurbKind::Gap;
  terrain::CurbLine east = curb_line("n-east", "Kiln Street", "north", {{14.0, 5.0}, whole.line.back()});
  east.height_m = whole.height_m;
  whole.line.back() = {8.0, 5.0};
  block.curbs.push_back(gap);
  block.curbs.push_back(east);
  return block;
}

TEST(Snapping, ACutAtTheEndOfADrivewayMovesToTheCurbBesideIt) {
  for (const double x : {8.3, 13.7}) {
    DrawnBlock block = block_with_driveway();
    block.cut("a", x, 5.3);
    const StreetModel model = block.build();
    const auto n = static_cast<std::size_t>(node_of(model.network, "a"));
    EXPECT_EQ(block.curbs[static_cast<std::size_t>(model.network.curb[n])].kind, terrain::CurbKind::Vertical);
    EXPECT_NEAR(model.network.at[n].x_m, x < 11.0 ? 8.0 : 14.0, 0.51);
    EXPECT_NEAR(model.network.curb_height_m[n], 0.15, 0.01);
    EXPECT_FALSE(model.notes.has(base::NoteId::CutOnDriveway));
  }
}

TEST(Snapping, ACutInTheMiddleOfADrivewayStaysThereAndIsNoted) {
  DrawnBlock block = block_with_driveway();
  block.cut("a", 11.1, 5.3);
  block.cut("b", 30.25, 5.3);
  const StreetModel model = block.build();
  const auto n = static_cast<std::size_t>(node_of(model.network, "a"));
  EXPECT_NEAR(model.network.at[n].x_m, 11.1, 0.3);
  EXPECT_EQ(model.notes.at(base::NoteId::CutOnDriveway).count, 1);
  EXPECT_EQ(model.notes.at(base::NoteId::CutOnDriveway).first_feature, "a");
}

TEST(Snapping, AnInletInADrivewayHasNoCurbHeight) {
  DrawnBlock block = block_with_driveway();
  block.inlet("drain", 11.1, 5.1);
  block.inlet("other", 30.25, 5.1);
  const Network net = block.build().network;
  EXPECT_EQ(net.curb_height_m[static_cast<std::size_t>(node_of(net, "drain"))], 0.0);
  EXPECT_NEAR(net.curb_height_m[static_cast<std::size_t>(node_of(net, "other"))], 0.15, 0.01);
}

TEST(Snapping, InletsAreSetAsideWithAReason) {
  DrawnBlock block = draw_block({});
  block.inlet("outside", 500.0, 5.0);
  block.inlet("yard", 0.0, 15.0);
  block.inlet("mid", 0.0, 0.2);
  block.inlet("good", 20.25, 5.1);
  const StreetModel model = block.build();
  ASSERT_EQ(model.set_aside_inlets.size(), 2U);
  EXPECT_EQ(model.set_aside_inlets[0], "outside: outside the elevation model");
  EXPECT_EQ(model.set_aside_inlets[1], "yard: farther than 3.00 m from any gutter and not on pavement");
  EXPECT_EQ(model.notes.at(base::NoteId::FeatureSetAside).count, 2);
  const std::int32_t mid = node_of(model.network, "mid");
  ASSERT_GE(mid, 0);  // on pavement away from a gutter: keeps its place
  EXPECT_EQ(model.network.curb[static_cast<std::size_t>(mid)], -1);
  EXPECT_GE(node_of(model.network, "good"), 0);
}

TEST(Snapping, AnInletInATakenGutterCellMovesToTheNextFreeOne) {
  DrawnBlock block = draw_block({});
  block.cut("a", 10.25, 5.2);
  block.inlet("drain", 10.25, 5.1);
  const StreetModel model = block.build();
  const std::int32_t drain = node_of(model.network, "drain");
  ASSERT_GE(drain, 0);
  EXPECT_NEAR(std::abs(model.network.at[static_cast<std::size_t>(drain)].x_m - 10.25), 0.5, 0.3);
}

TEST(Snapping, AnOutfallAwayFromCurbsTakesTheCellThatMostWaterReaches) {
  // A channel along y = 2 on bare ground.
  DrawnBlock block;
  block.ground = ground_by(80, 80, 0.5,
                           [](base::Point p) { return 100.0 - 0.01 * p.x_m + 0.1 * std::abs(p.y_m - 2.25); });
  block.outfall("wash", 10.0, 3.5);
  const StreetModel model = block.build();
  const auto n = static_cast<std::size_t>(node_of(model.network, "wash"));
  EXPECT_NEAR(model.network.at[n].y_m, 2.25, 0.01);
  EXPECT_EQ(model.network.downstream[n], -1);
  EXPECT_GT(area_of(model, block, "wash"), 300.0);
}

TEST(Snapping, NoWayAlongTheGutterSlipsThroughATransect) {
  for (const double degrees : {0.0, 10.0, 22.5, 30.0, 45.0, 63.0, 80.0}) {
    const double a = degrees * 3.14159265358979323846 / 180.0;
    const base::Point along{std::cos(a), std::sin(a)};
    const auto s_of = [&](base::Point p) { return p.x_m * along.x_m + p.y_m * along.y_m; };
    const auto t_of = [&](base::Point p) {
      return along.y_m * p.x_m - along.x_m * p.y_m;
    };  // > 0: street, right of the line
    DrawnBlock block;
    block.ground = ground_by(80, 80, 0.5, [&](base::Point p) {
      return 100.0 - 0.01 * s_of(p) + (t_of(p) > 0.0 ? 0.02 * t_of(p) : 0.15 - 0.02 * t_of(p));
    });
    block.curbs.push_back(
        curb_line("k", "Kiln Street", "",
                  {{-16.0 * along.x_m, -16.0 * along.y_m}, {16.0 * along.x_m, 16.0 * along.y_m}}));
    block.curbs[0].street_side = terrain::StreetSide::Right;
    block.cut("c", 0.13, 0.07);
    const StreetModel model = block.build();
    const GridFrame& f = block.ground.frame;
    const double reach = 0.9;
    const auto corridor = [&](std::int64_t cell) {
      const base::Point p = f.centre(cell);
      return t_of(p) > 0.0 && t_of(p) < reach && std::abs(s_of(p)) < 8.0 && model.receiver_at[cell] < 0;
    };
    std::vector<std::uint8_t> seen(static_cast<std::size_t>(f.cells()), 0);
    std::queue<std::int64_t> open;
    for (std::int64_t cell = 0; cell < f.cells(); ++cell) {
      if (corridor(cell) && s_of(f.centre(cell)) < -6.0) {
        open.push(cell);
        seen[static_cast<std::size_t>(cell)] = 1;
      }
    }
    ASSERT_FALSE(open.empty());
    bool through = false;
    while (!open.empty()) {
      const std::int64_t cell = open.front();
      open.pop();
      through = through || s_of(f.centre(cell)) > 6.0;
      for (int k = 0; k < terrain::kBearings; ++k) {
        const std::int64_t r = cell / f.cols + terrain::kRowStep[k];
        const std::int64_t c = cell % f.cols + terrain::kColStep[k];
        if (!f.inside(r, c) || seen[static_cast<std::size_t>(f.index(r, c))] != 0 || !corridor(f.index(r, c)))
          continue;
        seen[static_cast<std::size_t>(f.index(r, c))] = 1;
        open.push(f.index(r, c));
      }
    }
    EXPECT_FALSE(through) << degrees << " degrees";
  }
}

}  // namespace
}  // namespace curbshed::street
