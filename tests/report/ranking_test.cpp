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

}  // namespace
}  // namespace curbshed::report
