#include "curbshed/report/summary.hpp"

#include "support/small_facts.hpp"
#include "support/summary_schema.hpp"

#include <limits>

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

using testing::SmallFacts;

TEST(Summary, FollowsTheSchema) {
  SmallFacts run;
  run.preparation.model.notes.add(base::NoteId::EdgeCutsArea, 0.0, "K1");
  SmallFacts::set_leaving(run.storms[1].with_cuts, SmallFacts::kK2, 0.12F);
  EXPECT_EQ(testing::schema_faults(summary_json(run.facts)), "");
}

TEST(Summary, MeanYearFollowsTheSchema) {
  SmallFacts run;
  EXPECT_TRUE(nlohmann::json::parse(summary_json(run.facts))["year"].is_null());
  const study::YearlyWater year = SmallFacts::year();
  run.facts.year = &year;
  const std::string text = summary_json(run.facts);
  EXPECT_EQ(testing::schema_faults(text), "");
  const nlohmann::json json = nlohmann::json::parse(text);
  EXPECT_DOUBLE_EQ(json["year"]["captured_m3"], 72.0);
  EXPECT_DOUBLE_EQ(json["year"]["captured_by_month_m3"][11], 6.0);
  EXPECT_DOUBLE_EQ(json["year"]["canopy_bound_m2"], 42.0);
}

TEST(Summary, TheSchemaNoticesWhatIsMissingOrNew) {
  const SmallFacts run;
  nlohmann::json json = nlohmann::json::parse(summary_json(run.facts));
  nlohmann::json less = json;
  less["cuts"][0].erase("opening_m");
  EXPECT_NE(testing::schema_faults(less.dump()), "");
  nlohmann::json more = json;
  more["cuts"][0]["storms"]["common"]["new_m3"] = 1.0;
  EXPECT_NE(testing::schema_faults(more.dump()), "");
}

TEST(Summary, HoldsTheNumbersOfEachCutByStorm) {
  const SmallFacts run;
  const nlohmann::json json = nlohmann::json::parse(summary_json(run.facts));
  ASSERT_EQ(json["cuts"].size(), 2U);
  EXPECT_EQ(json["cuts"][0]["id"], "K1");
  EXPECT_EQ(json["cuts"][0]["words"], "by the old kiln");
  EXPECT_DOUBLE_EQ(json["cuts"][0]["storms"]["common"]["captured_m3"], 1.0);
  EXPECT_TRUE(json["cuts"][0]["storms"]["common"]["filled_min"].is_null());
  EXPECT_EQ(json["storms"][0]["downstream_peak"]["result"], "lower");
  EXPECT_EQ(json["outfalls"].size(), 2U);
}

TEST(Summary, RefusesANumberThatIsNotFinite) {
  SmallFacts run;
  run.with(0, SmallFacts::kK1).captured_m3 = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(summary_json(run.facts), base::BugError);
}

}  // namespace
}  // namespace curbshed::report
