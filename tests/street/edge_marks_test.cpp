#include "support/drawn_block.hpp"

#include <set>

#include <gtest/gtest.h>

namespace curbshed::street {
namespace {

using namespace curbshed::testing;

/// Falls both ways from a summit at x = 0; lots have their ridge inside the data.
DrawnBlock summit_street() {
  StraightStreet street;
  street.profile = [](double x) { return 100.0 - 0.012 * std::abs(x); };
  DrawnBlock block = draw_block(street);
  block.cut("e1", 30.25, 5.2);
  block.cut("e2", 60.25, 5.2);
  block.cut("s1", 40.25, -5.2);
  block.cut("s2", 65.25, -5.2);
  return block;
}

/// Columns from `first` on.
DrawnBlock clipped(const DrawnBlock& block, std::int64_t first) {
  DrawnBlock part = block;
  const GridFrame& f = block.ground.frame;
  part.ground.frame.west_m += static_cast<double>(first) * f.cell_m;
  part.ground.frame.cols -= first;
  part.ground.height_m = Grid<float>(f.rows, f.cols - first);
  part.ground.valid = Grid<std::uint8_t>(f.rows, f.cols - first);
  part.pavement = Grid<std::uint8_t>(f.rows, f.cols - first);
  for (std::int64_t r = 0; r < f.rows; ++r) {
    for (std::int64_t c = first; c < f.cols; ++c) {
      part.ground.height_m.at(r, c - first) = block.ground.height_m.at(r, c);
      part.ground.valid.at(r, c - first) = block.ground.valid.at(r, c);
      part.pavement.at(r, c - first) = block.pavement.at(r, c);
    }
  }
  return part;
}

std::set<std::string> marked(const Network& net, const std::vector<std::uint8_t>& marks) {
  std::set<std::string> ids;
  for (std::size_t n = 0; n < net.size(); ++n) {
    if (marks[n] != 0) ids.insert(net.id[n]);
  }
  return ids;
}

TEST(EdgeMarks, AWholeStreetHasNone) {
  const StreetModel model = summit_street().build();
  EXPECT_TRUE(marked(model.network, model.network.edge_cuts_area).empty());
  EXPECT_TRUE(marked(model.network, model.network.edge_cuts_above).empty());
}

TEST(EdgeMarks, ClippingMarksExactlyTheReceiversWhoseAreaWasCut) {
  const DrawnBlock whole = summit_street();
  const StreetModel before = whole.build();
  for (const double clip_x : {10.0, 25.0}) {
    const std::int64_t first = whole.ground.frame.col_of(clip_x);
    std::set<std::string> cut_away;
    for (std::int64_t r = 0; r < whole.ground.frame.rows; ++r) {
      for (std::int64_t c = 0; c < first; ++c) {
        const std::string& id = before.network.id[static_cast<std::size_t>(before.first_receiver.at(r, c))];
        if (id != "edge") cut_away.insert(id);
      }
    }
    const StreetModel after = clipped(whole, first).build();
    EXPECT_EQ(marked(after.network, after.network.edge_cuts_area), cut_away) << clip_x;
    EXPECT_EQ(marked(after.network, after.network.edge_cuts_above),
              (std::set<std::string>{"e1", "e2", "s1", "s2"}));
    EXPECT_EQ(after.notes.at(base::NoteId::EdgeCutsArea).count, static_cast<std::int64_t>(cut_away.size()));
  }
}

TEST(EdgeMarks, AHoleUpTheSlopeMarksUnlessARoofStandsOnIt) {
  DrawnBlock block = summit_street();
  const GridFrame& f = block.ground.frame;
  block.roof = Grid<std::uint8_t>(f.rows, f.cols, 0);
  for (std::int64_t cell = 0; cell < f.cells(); ++cell) {
    const base::Point p = f.centre(cell);
    if (p.x_m > 45.0 && p.x_m < 52.0 && p.y_m > 14.0 && p.y_m < 20.0) {
      block.ground.valid[cell] = 0;
      block.ground.height_m[cell] = 0.0F;
      block.roof[cell] = 1;
    }
  }
  StreetModel model = block.build();
  EXPECT_TRUE(marked(model.network, model.network.edge_cuts_area).empty());
  block.roof = {};
  model = block.build();
  EXPECT_EQ(marked(model.network, model.network.edge_cuts_area), (std::set<std::string>{"e2"}));
}

}  // namespace
}  // namespace curbshed::street
