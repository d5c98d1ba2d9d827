#include "curbshed/report/candidate_tables.hpp"

#include "curbshed/report/sheets.hpp"

#include "support/small_facts.hpp"

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

using testing::SmallFacts;

/// Basins of 3 m × 1.5 m at 2:1, 0.15 m deep.
void give_basins(SmallFacts& run) {
  for (const std::int32_t node : {SmallFacts::kK1, SmallFacts::kK2}) {
    study::NodeParams& params = run.preparation.model.params[static_cast<std::size_t>(node)];
    params.basin.length_m = 3.0;
    params.basin.width_m = 1.5;
    params.basin.side_slope = 2.0;
    params.basin.ponding_m = 0.15;
    params.opening_m = 0.5;
    run.preparation.model.network.curb_height_m[static_cast<std::size_t>(node)] = 0.15;
    run.preparation.model.network.gutter_level_m[static_cast<std::size_t>(node)] = params.basin.invert_m;
  }
  run.settings.room.drop_m = 0.05;
  run.settings.room.mulch_m = 0.075;
}

TEST(CandidateTables, WorkOfTwoBasinsByHand) {
  SmallFacts run;
  give_basins(run);
  const Work work = work_of(run.facts);
  EXPECT_EQ(work.basins, 2);
  const double dug_m3 = (2.16 + 4.0 * 2.8 * 1.3 + 5.44) * 0.20 / 6.0 + 2.16 * 0.075 + 5.44 * 0.10;
  EXPECT_NEAR(work.materials.soil_dug_m3, 2.0 * dug_m3, 1e-9);
  EXPECT_EQ(work.materials.plants, 18);
  EXPECT_FALSE(work.cost.total);
  const std::string sentence = work_sentence(run.facts, Units::Metric);
  EXPECT_NE(sentence.find("To dig for the 2 basins: "), std::string::npos) << sentence;
  EXPECT_NE(sentence.find("cost: no price given."), std::string::npos) << sentence;
}

TEST(CandidateTables, PricesOfTheStudyAreAdded) {
  SmallFacts run;
  give_basins(run);
  run.settings.money.currency = "dollars";
  run.settings.money.site = 100.0;
  EXPECT_NEAR(work_of(run.facts).cost.total.value(), 200.0, 1e-9);
  const base::Table table = table_of(basins_sheet(run.facts), run.facts);
  const std::size_t words = table.column("cost_words").value();
  EXPECT_EQ(std::get<std::string>(table.rows.front()[words]),
            "at least 100 dollars: no price given for soil carted away, stone, mulch, plants, curb cut");
}

TEST(CandidateTables, NoCandidatesNoTableAndNoWord) {
  SmallFacts run;
  EXPECT_EQ(candidates_sentence(run.facts, Units::Metric), "");
  EXPECT_TRUE(candidates_table(run.facts).rows.empty());
}

TEST(CandidateTables, EachCandidateHasARowAndThreeOutlines) {
  SmallFacts run;
  give_basins(run);
  siting::CandidateResults results;
  siting::CandidateModel& model = results.model;
  model.model = run.preparation.model;
  siting::CandidateSpot spot;
  spot.place = siting::CandidatePlace::BehindWalk;
  spot.basin = {.length_m = 3.0, .width_m = 1.5, .ponding_m = 0.15};
  spot.channel_m = 1.8;
  spot.on_lot = true;
  spot.words = "on a lot: its owner decides";
  run.settings.basin.side_slope = 2.0;
  model.found.spots = {spot};
  model.found.stretches = 3;
  model.found.without[static_cast<std::size_t>(siting::WhyNone::Driveway)] = 2;
  model.node = {SmallFacts::kK2};
  model.place.resize(1);
  model.water_line = {{{{{0, 0}, {3, 0}, {3, 1.5}, {0, 1.5}, {0, 0}}}}};
  model.area_m2 = {420.0};
  model.at_least = {1};
  model.materials = {siting::materials_of(siting::dug_basin(spot, run.settings), {.opening_m = 0.5},
                                          siting::material_rules(run.settings))};
  results.storms = {{"common", {{1.25, 0.5, 0.75}}, 3.0}};
  results.ranked = {0};
  run.facts.candidates = &results;
  const base::MapLayer layer = candidates_layer(run.facts);
  base::check(layer);
  ASSERT_EQ(layer.table.rows.size(), 1U);
  const auto cell = [&](const char* name) {
    return layer.table.rows.front()[layer.table.column(name).value()];
  };
  EXPECT_EQ(std::get<std::string>(cell("where")), "behind_walk");
  EXPECT_EQ(std::get<double>(cell("kept_common_m3")), 1.25);
  EXPECT_EQ(std::get<double>(cell("over_rim_common_m3")), 0.5);
  EXPECT_EQ(std::get<double>(cell("gain_m3")), 0.75);
  EXPECT_EQ(std::get<std::int64_t>(cell("at_least")), 1);
  EXPECT_EQ(std::get<std::string>(cell("cost_words")), "no price given");
  const base::MapLayer outlines = basin_outlines_layer(run.facts);
  base::check(outlines);
  ASSERT_GE(outlines.table.rows.size(), 3U);
  EXPECT_EQ(std::get<std::string>(outlines.table.rows.back()[2]), "floor");
  EXPECT_NEAR(std::get<double>(outlines.table.rows.back()[4]), 2.4 * 0.9, 1e-9);
  EXPECT_EQ(
      candidates_sentence(run.facts, Units::Metric),
      "Further places along the curbs: 1 on 3 stretches of 15 m (0 in the strip, 1 behind a walk, 0 in a "
      "parking lane), closed in this run; candidates.csv has them. None on the rest: 2 at a driveway, ramp "
      "or end of a curb.");
}

}  // namespace
}  // namespace curbshed::report
