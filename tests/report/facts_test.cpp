#include "curbshed/report/facts.hpp"

#include "support/small_facts.hpp"

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

using testing::SmallFacts;

TEST(Facts, WaterThatTwoCutsSeeIsCountedOnce) {
  const SmallFacts run;
  const StormSums sums = sums_of(run.facts, run.storms[0]);
  EXPECT_DOUBLE_EQ(sums.reaching_m3, 5.0);  // 3 at K1, of which all passes on, and 2 more at K2
  EXPECT_DOUBLE_EQ(sums.taken_m3, 2.0);
  EXPECT_DOUBLE_EQ(sums.second_taken_m3, 1.0);
}

TEST(Facts, DownstreamPeakIsThatOfTheEndsBelowCuts) {
  const SmallFacts run;
  const StormSums sums = sums_of(run.facts, run.storms[0]);
  ASSERT_EQ(sums.ends, std::vector<std::int32_t>{SmallFacts::kEnd});
  EXPECT_NEAR(sums.downstream.before_m3_s, 0.1, 1e-7);
  EXPECT_NEAR(sums.downstream.after_m3_s, 0.08, 1e-7);
  EXPECT_TRUE(sums.downstream.useful());
  EXPECT_TRUE(sums.rises.empty());
}

TEST(Facts, SeveralEndsAreAddedStepByStep) {
  SmallFacts run;
  run.preparation.model.network.downstream[SmallFacts::kK1] = SmallFacts::kEdge;
  run.storms[0].base.leaving_m3_s[SmallFacts::kEdge] = {0.5F, 0.0F};
  run.storms[0].base.leaving_m3_s[SmallFacts::kEnd] = {0.0F, 0.4F};
  const StormSums sums = sums_of(run.facts, run.storms[0]);
  EXPECT_EQ(sums.ends.size(), 2U);
  EXPECT_EQ(sums.downstream.node, -1);
  EXPECT_NEAR(sums.downstream.before_m3_s, 0.5, 1e-7);
}

TEST(Facts, EveryRiseIsNamedEvenWhereTheEndFalls) {
  SmallFacts run;
  SmallFacts::set_leaving(run.storms[0].with_cuts, SmallFacts::kK2, 0.11F);
  const StormSums sums = sums_of(run.facts, run.storms[0]);
  ASSERT_EQ(sums.rises.size(), 1U);
  EXPECT_EQ(sums.rises[0].node, SmallFacts::kK2);
  EXPECT_TRUE(sums.downstream.useful());
}

TEST(Facts, UnderTwoPercentIsNoUsefulChange) {
  EXPECT_FALSE((PeakChange{0, 1.0, 0.981}).useful());
  EXPECT_TRUE((PeakChange{0, 1.0, 0.98}).useful());
  EXPECT_FALSE((PeakChange{0, 1.0, 1.0005}).rises());
  EXPECT_TRUE((PeakChange{0, 1.0, 1.002}).rises());
  EXPECT_TRUE((PeakChange{0, 0.0, 0.1}).rises());
}

TEST(Facts, PlacesReadAsPeopleSayThem) {
  const SmallFacts run;
  EXPECT_EQ(place_words(run.facts, SmallFacts::kK1, Units::Us),
            "Kiln Street, north side, 78 ft 9 in from Lantern Street toward east end");
  EXPECT_EQ(place_words(run.facts, SmallFacts::kK1, Units::Metric),
            "Kiln Street, north side, 24.0 m from Lantern Street toward east end");
  EXPECT_EQ(place_words(run.facts, SmallFacts::kS1, Units::Metric), "at 0.0, 5.0 m");
}

TEST(Facts, FullBasinsSayWhereTheirWaterGoes) {
  const SmallFacts run;
  EXPECT_EQ(when_full_words(run.facts, SmallFacts::kK1), "on to cut K2");
  EXPECT_EQ(when_full_words(run.facts, SmallFacts::kK2), "over its rim to lots, lost to the street");
}

TEST(Facts, AreasAddUpDownTheChain) {
  const SmallFacts run;
  const std::vector<double> own = own_areas_m2(run.preparation.model);
  const std::vector<double> all = areas_arriving_m2(run.preparation.model);
  EXPECT_DOUBLE_EQ(own[SmallFacts::kK2], 60.0);
  EXPECT_DOUBLE_EQ(all[SmallFacts::kK2], 20.0 + 40.0 + 60.0);
  EXPECT_DOUBLE_EQ(all[SmallFacts::kEnd], 20.0 + 40.0 + 60.0 + 80.0 + 100.0);
}

}  // namespace
}  // namespace curbshed::report
