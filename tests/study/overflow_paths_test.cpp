#include "curbshed/study/overflow_paths.hpp"

#include "support/study_block.hpp"

#include <gtest/gtest.h>

namespace curbshed::testing {
namespace {

using namespace curbshed::study;
using street::NodeKind;

/// Kiln Street, one cut in the middle of its north side, another cut 30 m below it.
DrawnBlock two_cuts(const StraightStreet& street) {
  DrawnBlock block = draw_block(street);
  block.cut("upper", 0.0, 5.0);
  block.cut("lower", 30.0, 5.0);
  block.outfall("out", 60.0, 5.0);
  return block;
}

struct Found {
  StudyInputs inputs;
  Preparation made;
  std::vector<OverflowPath> paths;
  const OverflowPath& of(const std::string& id) const {
    const std::int32_t node = node_of(made.model.network, id);
    for (const OverflowPath& path : paths) {
      if (path.node == node) return path;
    }
    ADD_FAILURE() << id;
    return paths.front();
  }
  std::string into(const OverflowPath& path) const {
    return path.into < 0 ? "lots" : made.model.network.id[static_cast<std::size_t>(path.into)];
  }
};

Found find(const DrawnBlock& block, const terrain::WorkPlan& plan = {}) {
  Found found;
  found.inputs = inputs_of(block);
  found.made = prepare(found.inputs, usual_settings(), plan);
  found.paths = overflow_paths(found.inputs, found.made);
  return found;
}

TEST(OverflowPaths, WhereTheLotLiesHigherTheExcessGoesTowardTheStreetToTheNextCut) {
  const Found found = find(two_cuts({}));
  ASSERT_EQ(found.paths.size(), 2U);
  const OverflowPath& path = found.of("upper");
  EXPECT_EQ(path.over, RimKind::Street);
  EXPECT_EQ(found.into(path), "lower");
  EXPECT_EQ(found.into(found.of("lower")), "out");
  ASSERT_GE(path.line.size(), 2U);
  EXPECT_LT(base::distance_m(path.line.front(), {0.0, 5.0}), 4.0) << "begins at the rim";
  EXPECT_NEAR(path.line.back().x_m, 30.0, 1.5) << "ends at the next cut";
  EXPECT_NEAR(path.length_m, base::length_m(path.line), 1e-12);
  EXPECT_GT(path.length_m, 25.0);
  EXPECT_LT(path.line.size(), 20U) << "a straight gutter takes few points";
}

TEST(OverflowPaths, WhereTheLotLiesLowerTheExcessRunsOverItAndIsLostToTheStreet) {
  StraightStreet street;
  street.lot_slope = -0.04;
  const Found found = find(two_cuts(street));
  const OverflowPath& path = found.of("upper");
  EXPECT_EQ(path.over, RimKind::Ground);
  EXPECT_EQ(found.into(path), "lots");
  EXPECT_GT(path.line.back().y_m, 30.0) << "off the north side";
  EXPECT_EQ(path.lowest_at, path.line.back());
  EXPECT_NEAR(path.lowest_m, street.height_m(path.lowest_at), 0.001);
}

TEST(OverflowPaths, EveryPathIsAWalkDownTheDirections) {
  StraightStreet street;
  street.lot_slope = -0.01;
  DrawnBlock block = two_cuts(street);
  add_noise(block.ground, 0.02, 11);
  const Found found = find(block);
  const terrain::GridFrame& frame = found.inputs.ground.frame;
  for (const OverflowPath& path : found.paths) {
    const base::Point rim = found.made.model.params[static_cast<std::size_t>(path.node)].basin.rim_at;
    std::int64_t cell = frame.index(frame.row_of(rim.y_m), frame.col_of(rim.x_m));
    std::size_t met = 0;
    double way_m = 0.0;
    std::int32_t into = -1;
    while (cell >= 0) {
      if (met < path.line.size() && frame.centre(cell) == path.line[met]) ++met;
      const std::int32_t here = found.made.maps.street.receiver_at[cell];
      if (here >= 0 && here != path.node) {
        into = here;
        break;
      }
      const std::int64_t next = terrain::next_cell(found.made.maps.street.directions, cell);
      if (next >= 0) way_m += base::distance_m(frame.centre(cell), frame.centre(next));
      cell = next;
    }
    EXPECT_EQ(met, path.line.size());
    EXPECT_NEAR(path.length_m, way_m, 1e-9);
    const bool edge =
        into >= 0 && found.made.model.network.kind[static_cast<std::size_t>(into)] == NodeKind::DataEdge;
    EXPECT_EQ(path.into, edge ? -1 : into);
  }
}

TEST(OverflowPaths, ThreadsAndTilesChangeNothing) {
  DrawnBlock block = two_cuts({});
  add_noise(block.ground, 0.02, 5);
  const Found one = find(block);
  const Found two = find(block, {2, 60, 90});
  ASSERT_EQ(one.paths.size(), two.paths.size());
  for (std::size_t i = 0; i < one.paths.size(); ++i) {
    EXPECT_EQ(one.paths[i].line, two.paths[i].line);
    EXPECT_EQ(one.paths[i].into, two.paths[i].into);
  }
}

}  // namespace
}  // namespace curbshed::testing
