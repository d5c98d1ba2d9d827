#include "curbshed/report/side_tables.hpp"

#include "support/small_facts.hpp"

#include <algorithm>

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

using testing::SmallFacts;

TEST(SideTables, PassedHollowsSayOverWhatAndIntoWhat) {
  const SmallFacts run;
  const base::Table table = passed_table(run.facts);
  ASSERT_EQ(table.rows.size(), 1U);
  EXPECT_EQ(table.rows[0][*table.column("over")], base::Cell(std::string("surface")));
  EXPECT_EQ(table.rows[0][*table.column("into")], base::Cell(std::string("K1")));
}

TEST(SideTables, SetAsideFeaturesSayWhy) {
  const SmallFacts run;
  const base::Table table = set_aside_table(run.facts);
  ASSERT_EQ(table.rows.size(), 1U);
  EXPECT_EQ(table.rows[0][*table.column("reason")], base::Cell(std::string("the shape is empty")));
}

TEST(SideTables, DigitsFollowTheUnit) {
  const SmallFacts run;
  const auto digits = digits_of(passed_table(run.facts));
  const auto of = [&](const std::string& name) {
    return std::find_if(digits.begin(), digits.end(), [&](const auto& rule) { return rule.first == name; })
        ->second;
  };
  EXPECT_EQ(of("volume_m3"), 4);
  EXPECT_EQ(of("area_m2"), 2);
}

}  // namespace
}  // namespace curbshed::report
