#include "curbshed/report/corner_lines.hpp"

#include "support/small_facts.hpp"

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

using testing::SmallFacts;

street::Corner corner(const std::string& id, std::int32_t turn, std::int32_t cross, std::int64_t cells) {
  street::Corner one;
  one.id = id;
  one.uncertain = true;
  one.to_turn = turn;
  one.to_cross = cross;
  one.cells = cells;
  return one;
}

TEST(CornerLines, TheCornerThatChangesMostIsFirstAndTheRestAreCounted) {
  SmallFacts run;
  run.preparation.maps.street.corners = {corner("small", SmallFacts::kK1, SmallFacts::kS1, 5),
                                         corner("large", SmallFacts::kK1, SmallFacts::kS1, 7)};
  const CornerLines all = corner_lines(run.facts, Units::Metric, 5);
  ASSERT_EQ(all.lines.size(), 2U);
  EXPECT_EQ(all.lines[0].substr(0, 6), "large ");
  EXPECT_EQ(all.more, 0U);
  const CornerLines one = corner_lines(run.facts, Units::Metric, 1);
  ASSERT_EQ(one.lines.size(), 1U);
  EXPECT_EQ(one.lines[0], all.lines[0]);
  EXPECT_EQ(one.more, 1U);
}

TEST(CornerLines, LessThanATenthIsOnlyCounted) {
  SmallFacts run;
  run.preparation.maps.street.corners = {corner("little", SmallFacts::kK1, SmallFacts::kS1, 1)};
  const CornerLines none = corner_lines(run.facts, Units::Metric, 5);
  EXPECT_TRUE(none.lines.empty());
  EXPECT_EQ(none.more, 1U);
  EXPECT_FALSE(below_uncertain_corners(run.facts)[SmallFacts::kK1]);
}

TEST(CornerLines, ACertainCornerIsNotListed) {
  SmallFacts run;
  run.preparation.maps.street.corners = {corner("sure", SmallFacts::kK1, SmallFacts::kS1, 7)};
  run.preparation.maps.street.corners[0].uncertain = false;
  EXPECT_TRUE(corner_lines(run.facts, Units::Metric, 5).lines.empty());
  for (const bool below : below_uncertain_corners(run.facts)) EXPECT_FALSE(below);
}

}  // namespace
}  // namespace curbshed::report
