#include "curbshed/report/sheets.hpp"

#include "curbshed/report/side_tables.hpp"

#include "support/small_facts.hpp"

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

using testing::SmallFacts;

base::Cell cell(const base::Table& table, std::size_t row, const char* column) {
  const std::optional<std::size_t> at = table.column(column);
  EXPECT_TRUE(at.has_value()) << column;
  return at ? table.rows[row][*at] : base::Cell();
}

TEST(Sheets, EveryNumberCarriesItsUnitInItsName) {
  const SmallFacts run;
  const std::pair<std::string, std::string> endings[] = {{"m", "_m"},      {"m2", "_m2"},     {"m3", "_m3"},
                                                         {"L/s", "_l_s"},  {"%", "_percent"}, {"min", "_min"},
                                                         {"mm/h", "_mm_h"}};
  for (const Sheet& sheet : {cuts_sheet(run.facts), basins_sheet(run.facts), outfalls_sheet(run.facts),
                             inlets_sheet(run.facts), sags_sheet(run.facts)}) {
    for (const base::Column& column : table_of(sheet, run.facts).columns) {
      EXPECT_FALSE(column.title.empty()) << column.name;
      for (const auto& [unit, ending] : endings) {
        if (column.unit == unit) {
          EXPECT_EQ(column.name.substr(column.name.size() - ending.size()), ending) << column.name;
        }
      }
    }
  }
}

TEST(Sheets, YearIsEmptyWithoutMonthsAndNamesWhatCaps) {
  SmallFacts run;
  const base::Table without = table_of(basins_sheet(run.facts), run.facts);
  EXPECT_TRUE(std::holds_alternative<std::monostate>(cell(without, 0, "year_m3")));
  study::YearlyWater year = run.year();
  run.facts.year = &year;
  const base::Table with = table_of(basins_sheet(run.facts), run.facts);
  EXPECT_EQ(std::get<double>(cell(with, 0, "year_m3")), 12.0);
  EXPECT_EQ(std::get<double>(cell(with, 1, "canopy_bound_m2")), 28.0);
  EXPECT_EQ(std::get<std::string>(cell(with, 0, "canopy_limit")), "water");
  EXPECT_EQ(std::get<std::string>(cell(with, 1, "canopy_limit")), "room");
}

TEST(Sheets, CutsCompareWithoutAndWith) {
  SmallFacts run;
  run.base(0, SmallFacts::kK1).peak_arriving_m3_s = 0.1;
  run.with(0, SmallFacts::kK1).peak_arriving_m3_s = 0.09;
  run.with(0, SmallFacts::kK1).filled_minute = 12.0;
  run.with(0, SmallFacts::kK1).filled_before_peak = true;
  const base::Table table = table_of(cuts_sheet(run.facts), run.facts);
  ASSERT_EQ(table.rows.size(), 2U);
  EXPECT_EQ(cell(table, 0, "id"), base::Cell(std::string("K1")));
  EXPECT_EQ(cell(table, 0, "peak_before_common_l_s"), base::Cell(100.0));
  EXPECT_EQ(cell(table, 0, "peak_after_common_l_s"), base::Cell(90.0));
  EXPECT_EQ(cell(table, 0, "filled_common_min"), base::Cell(12.0));
  EXPECT_EQ(cell(table, 0, "filled_before_peak_common"), base::Cell(std::int64_t{1}));
  EXPECT_EQ(cell(table, 1, "filled_common_min"), base::Cell());
  EXPECT_EQ(cell(table, 0, "at_least"), base::Cell(std::int64_t{1}));
  EXPECT_EQ(cell(table, 0, "own_area_m2"), base::Cell(40.0));
  EXPECT_EQ(cell(table, 0, "result_common"),
            base::Cell(std::string("takes 33 % of what comes; full before the peak")));
}

TEST(Sheets, CutsBelowAnUncertainCornerHaveBothAreas) {
  SmallFacts run;
  street::Corner corner;
  corner.id = "corner-kiln-street-north-at-lantern-street";
  corner.words = "Kiln Street, north side, at Lantern Street";
  corner.uncertain = true;
  corner.to_turn = SmallFacts::kK1;
  corner.to_cross = SmallFacts::kS1;
  corner.cells = 7;  // of 2 m2
  run.preparation.maps.street.corners = {corner};
  const base::Table cuts = table_of(cuts_sheet(run.facts), run.facts);
  const auto cell = [&](std::size_t row, const char* column) { return cuts.rows[row][*cuts.column(column)]; };
  // K1: 20 + 10 cells of its own and of D1; K2: 30 more.
  EXPECT_EQ(cell(0, "uncertain_corners"), base::Cell(corner.id));
  EXPECT_EQ(cell(0, "area_if_turns_m2"), base::Cell(60.0));
  EXPECT_EQ(cell(0, "area_if_crosses_m2"), base::Cell(46.0));
  EXPECT_EQ(cell(1, "area_if_turns_m2"), base::Cell(120.0));
  EXPECT_EQ(cell(1, "area_if_crosses_m2"), base::Cell(106.0));
  run.preparation.maps.street.corners[0].uncertain = false;
  const base::Table sure = table_of(cuts_sheet(run.facts), run.facts);
  EXPECT_EQ(sure.rows[0][*sure.column("uncertain_corners")], base::Cell());
  EXPECT_EQ(sure.rows[0][*sure.column("area_if_turns_m2")], base::Cell());
}

TEST(Sheets, SpillOverTheRimIsOverTheLimit) {
  SmallFacts run;
  run.with(0, SmallFacts::kK2).over_rim_m3 = 0.5;
  run.with(0, SmallFacts::kK2).over_rim_first_minute = 17.0;
  EXPECT_EQ(result_words(run.facts, run.storms[0], SmallFacts::kK2),
            "takes 20 % of what comes; spills over its rim from minute 17: over the limit");
}

TEST(Sheets, OutfallsSayWhatChanged) {
  SmallFacts run;
  SmallFacts::set_leaving(run.storms[1].with_cuts, SmallFacts::kEnd, 0.15F);
  const base::Table table = table_of(outfalls_sheet(run.facts), run.facts);
  EXPECT_EQ(cell(table, 0, "kind"), base::Cell(std::string("outfall")));
  EXPECT_EQ(cell(table, 1, "kind"), base::Cell(std::string("edge of the data")));
  EXPECT_EQ(cell(table, 0, "result_common"), base::Cell(std::string("lower")));
  EXPECT_EQ(cell(table, 0, "result_two_year"), base::Cell(std::string("higher")));
  EXPECT_EQ(cell(table, 1, "result_common"), base::Cell(std::string("no useful change")));
}

TEST(Sheets, StormNamesGoIntoColumnNames) {
  EXPECT_EQ(storm_column_name("arriving_{}_m3", "common"), "arriving_common_m3");
  EXPECT_EQ(storm_column_name("arriving_{}_m3", ""), "arriving_m3");
  EXPECT_EQ(storm_column_name("result_{}", ""), "result");
  EXPECT_EQ(storm_column_name("id", "common"), "id");
}

}  // namespace
}  // namespace curbshed::report
