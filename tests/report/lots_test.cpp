#include "curbshed/report/lots.hpp"

#include "support/small_facts.hpp"

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

TEST(LotsWithTanks, AreNotSpokenOfWhereThereAreNone) {
  const testing::SmallFacts run;
  EXPECT_TRUE(lots_sheet(run.facts).nodes.empty());
  EXPECT_FALSE(lot_sums(run.facts.storms->front()).has_value());
  EXPECT_EQ(lots_sentence(run.facts, run.facts.storms->front(), Units::Metric), "");
}

TEST(LotsWithTanks, SayWhatTheyKeepAndWhetherTheyAreThereBefore) {
  testing::SmallFacts run;
  run.preparation.model.tanks = {{.lot = "A", .roof_share = 1.0}, {.lot = "B", .roof_share = 1.0}};
  for (study::StormComparison& storm : run.storms) {
    storm.with_cuts.lots = {{.led_m3 = 3.0, .to_street_m3 = 1.0}, {.led_m3 = 1.0, .to_street_m3 = 1.0}};
  }
  const study::StormComparison& storm = run.facts.storms->front();
  EXPECT_DOUBLE_EQ(lot_sums(storm)->kept_m3, 2.0);
  const std::string there = lots_sentence(run.facts, storm, Units::Metric);
  EXPECT_NE(there.find("The 2 rain tanks on lots keep"), std::string::npos) << there;
  EXPECT_NE(there.find("(50 %)"), std::string::npos) << there;
  EXPECT_NE(there.find("stand in the case without cuts"), std::string::npos) << there;
  run.preparation.model.tanks_are_new = true;
  EXPECT_NE(lots_sentence(run.facts, storm, Units::Metric).find("come with the cuts"), std::string::npos);
  const base::Table table = table_of(lots_sheet(run.facts), run.facts);
  EXPECT_EQ(table.rows.size(), 2U);
}

}  // namespace
}  // namespace curbshed::report
