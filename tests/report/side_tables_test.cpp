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

TEST(SideTables, CornersSayWhatTheWaterDoesAndHowSureThatIs) {
  SmallFacts run;
  street::Corner corner;
  corner.id = "corner-kiln-street-north-at-lantern-street";
  corner.words = "Kiln Street, north side, at Lantern Street";
  corner.way = street::CornerWay::Turns;
  corner.difference_m = 0.02;
  corner.doubt_m = 0.05;
  corner.uncertain = true;
  corner.to_turn = SmallFacts::kK1;
  corner.to_cross = SmallFacts::kS1;
  corner.cells = 7;  // of 2 m2
  run.preparation.maps.street.corners = {corner};
  const base::Table table = corners_table(run.facts);
  ASSERT_EQ(table.rows.size(), 1U);
  const auto cell = [&](const char* column) { return table.rows[0][*table.column(column)]; };
  EXPECT_EQ(cell("way"), base::Cell(std::string("turns")));
  EXPECT_EQ(cell("decided_by"), base::Cell(std::string("heights")));
  EXPECT_EQ(cell("uncertain"), base::Cell(std::int64_t{1}));
  EXPECT_EQ(cell("area_m2"), base::Cell(14.0));
  EXPECT_EQ(cell("turns_to"), base::Cell(std::string("cut K1")));
  EXPECT_EQ(cell("crosses_to"), base::Cell(std::string("sag S1")));
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
