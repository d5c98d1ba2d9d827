#include "curbshed/report/ranking.hpp"

#include "support/small_facts.hpp"

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

TEST(Ranking, MostWaterFirst) {
  const testing::SmallFacts run;
  const std::vector<std::int32_t> cuts = ranked_cuts(run.facts);
  const study::StormComparison& common = run.facts.storms->front();
  ASSERT_EQ(common.storm.id, "common");
  ASSERT_GE(cuts.size(), 2U);
  for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
    EXPECT_GE(kept_m3(common.with_cuts.nodes[static_cast<std::size_t>(cuts[i])]),
              kept_m3(common.with_cuts.nodes[static_cast<std::size_t>(cuts[i + 1])]));
  }
}

TEST(Ranking, ShortCutsGoByTheLesserOfTheTwoRelations) {
  testing::SmallFacts run;
  const std::vector<std::int32_t> before = ranked_cuts(run.facts);
  study::StormComparison& common = run.storms.front();
  EXPECT_FALSE(sums_of(run.facts, common).other_taken_m3.has_value());
  common.by_second_relation.resize(common.with_cuts.nodes.size());
  for (std::size_t n = 0; n < common.with_cuts.nodes.size(); ++n) {
    common.by_second_relation[n].captured_m3 = 100.0;  // more: changes nothing
  }
  EXPECT_EQ(ranked_cuts(run.facts), before);
  common.by_second_relation[static_cast<std::size_t>(before.front())].captured_m3 = 0.0;
  const std::vector<std::int32_t> after = ranked_cuts(run.facts);
  EXPECT_EQ(after.back(), before.front());
  EXPECT_EQ(*sums_of(run.facts, common).other_taken_m3, 100.0 * static_cast<double>(before.size() - 1));
}

}  // namespace
}  // namespace curbshed::report
