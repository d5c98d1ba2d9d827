#include "curbshed/report/full.hpp"

#include "curbshed/report/layers.hpp"
#include "curbshed/report/page.hpp"
#include "curbshed/report/sheets.hpp"
#include "curbshed/report/terminal.hpp"

#include "support/small_facts.hpp"

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

using curbshed::testing::SmallFacts;
using siting::LevelFrom;

/// K1's rim was shot and lies 60 mm over the pool; K2's lies 20 mm under it, by heights, and a house beside
/// it lies 10 mm under the pool.
struct Full {
  SmallFacts small;
  siting::FullLevels levels;

  Full() {
    levels.storm_id = "two_year";
    levels.storm_title = "2-year hour: 22 mm in 1 h";
    levels.buildings_known = true;
    siting::FullSite one;
    one.node = SmallFacts::kK1;
    one.water = {100.0, 0.05};
    one.pool = {100.05, 0.005, LevelFrom::Measured, "levels.csv, line 2"};
    one.rim = {100.11, 0.005, LevelFrom::Measured, "levels.csv, line 3"};
    one.rim_freeboard = {0.06, 0.007};
    one.path = {one.node,    study::RimKind::Street, {{0.0, 0.0}, {30.0, 0.0}}, 30.0, 99.7,
                {30.0, 0.0}, SmallFacts::kK2};
    siting::FullSite two;
    two.node = SmallFacts::kK2;
    two.water = {99.7, 0.08};
    two.pool = {99.78, 0.03, LevelFrom::Surface, ""};
    two.rim = {99.76, 0.03, LevelFrom::Surface, ""};
    two.rim_freeboard = {-0.02, 0.03};
    two.doorway = siting::DoorwaySide{{99.77, 0.03, LevelFrom::Surface, ""}, base::Point{30.0, 9.0}, "h 12"};
    two.doorway_freeboard = siting::Freeboard{-0.01, 0.04};
    two.path = {two.node, study::RimKind::Ground, {{30.0, 2.0}, {30.0, 40.0}}, 38.0, 98.0, {30.0, 40.0}, -1};
    two.path_to_building_m = 2.0;
    two.path_building = "h 12";
    levels.sites = {one, two};
    small.facts.full = &levels;
  }
  base::Cell cell(std::int32_t node, const std::string& column) const {
    for (const NodeColumn& one : basins_sheet(small.facts).columns) {
      if (one.column.name == column) return one.value(node);
    }
    ADD_FAILURE() << column;
    return {};
  }
};

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

TEST(Full, BasinsCarryLevelsDoubtsAndOrigins) {
  const Full full;
  EXPECT_EQ(full.cell(SmallFacts::kK1, "pool_full_level_m"), base::Cell(100.05));
  EXPECT_EQ(full.cell(SmallFacts::kK1, "pool_full_above_gutter_m"), base::Cell(0.05));
  EXPECT_EQ(full.cell(SmallFacts::kK1, "pool_full_origin"),
            base::Cell(std::string("measured (levels.csv, line 2)")));
  EXPECT_EQ(full.cell(SmallFacts::kK1, "rim_freeboard_m"), base::Cell(0.06));
  EXPECT_EQ(full.cell(SmallFacts::kK1, "rim_freeboard_doubt_m"), base::Cell(0.007));
  EXPECT_EQ(full.cell(SmallFacts::kK1, "doorway_freeboard_m"), base::Cell());
  EXPECT_EQ(full.cell(SmallFacts::kK2, "pool_full_origin"), base::Cell(std::string("surface")));
  EXPECT_EQ(full.cell(SmallFacts::kK2, "doorway_level_m"), base::Cell(99.77));
  EXPECT_EQ(full.cell(SmallFacts::kK2, "doorway_freeboard_m"), base::Cell(-0.01));
  EXPECT_EQ(full.cell(SmallFacts::kK2, "doorway_building"), base::Cell(std::string("h 12")));
  EXPECT_EQ(full.cell(SmallFacts::kK2, "overflow_into"), base::Cell(std::string("lots, lost to the street")));
  EXPECT_EQ(full.cell(SmallFacts::kK1, "overflow_into"), base::Cell(std::string("cut K2")));
  EXPECT_EQ(full.cell(SmallFacts::kK1, "full_storm"), base::Cell(std::string("two_year")));
}

TEST(Full, WithoutLevelsTheCellsAreEmptyAndNothingIsSaid) {
  const SmallFacts small;
  for (const NodeColumn& one : full_columns(small.facts)) {
    EXPECT_EQ(one.value(SmallFacts::kK1), base::Cell()) << one.column.name;
  }
  EXPECT_EQ(full_sentence(small.facts), "");
  EXPECT_TRUE(full_lines(small.facts, Units::Metric, 5).empty());
  EXPECT_EQ(full_section(small.facts, Units::Metric), "");
  EXPECT_TRUE(overflow_layer(small.facts).table.rows.empty());
}

TEST(Full, TheSentenceCountsAndSaysTheState) {
  const Full full;
  EXPECT_EQ(
      full_sentence(full.small.facts),
      "When all is full (the 2-year hour on wet soil, with drains blocked, every basin full at the start "
      "and no other cut taking water: the high end), the pool can rise over the lowest ground around it "
      "at 1 of 2 basins, over the lowest doorway side near it at 1. At 1 the doubt of the heights "
      "decides: shoot gutter, curb top, walk and doorway there ([street.levels]).");
}

TEST(Full, LinesBeginWithTheLeastFreeboardAndSayTheWay) {
  const Full full;
  const std::vector<std::string> lines = full_lines(full.small.facts, Units::Metric, 5);
  ASSERT_EQ(lines.size(), 2U);
  EXPECT_EQ(
      lines[0],
      "K2: the pool can stand 8 cm over the gutter; the lowest ground around it lies 2 cm LOWER "
      "(± 6 cm, from heights), the lowest doorway side near it 1 cm LOWER (± 8 cm, from heights); "
      "over the ground beside it it runs 38 m to lots, lost to the street, past building h 12 within 2 m");
  EXPECT_TRUE(has(lines[1], "6 cm higher (± 1 cm, measured)")) << lines[1];
  EXPECT_TRUE(has(lines[1], "over its side toward the street it runs 30 m to cut K2")) << lines[1];
  EXPECT_EQ(full_lines(full.small.facts, Units::Metric, 1).size(), 1U);
}

TEST(Full, ThePathsAreALayerAndLinesOnTheMap) {
  const Full full;
  const base::MapLayer layer = overflow_layer(full.small.facts);
  base::check(layer);
  ASSERT_EQ(layer.shapes.size(), 2U);
  EXPECT_EQ(layer.shapes[1].lines.front(), full.levels.sites[1].path.line);
  EXPECT_EQ(layer.table.rows[1][*layer.table.column("building_within_m")], base::Cell(2.0));
  EXPECT_EQ(layer.table.rows[0][*layer.table.column("building_within_m")], base::Cell());
  bool found = false;
  for (const base::MapLayer& one : map_layers(full.small.facts)) {
    found = found || one.table.name == "overflow_paths";
  }
  EXPECT_TRUE(found);
  const std::string page = page_html(full.small.facts, {}, Units::Metric);
  EXPECT_TRUE(has(page, "<h2>When the basins are full</h2>"));
  EXPECT_TRUE(has(page, "class=\"overflow\""));
  EXPECT_TRUE(has(terminal_text(full.small.facts, {}), "When the basins are full"));
}

}  // namespace
}  // namespace curbshed::report
