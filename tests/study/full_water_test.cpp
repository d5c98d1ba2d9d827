#include "curbshed/study/full_water.hpp"

#include "curbshed/base/error.hpp"

#include "support/chain_worlds.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace curbshed::testing {
namespace {

using namespace curbshed::study;
using enum NodeKind;

StormResult dry_run(const ChainModel& model, const Storm& storm) {
  return run_storm(model, event_reaches(model, storm), storm, all_closed(model), empty_state(model));
}

// The table of the handbook's chapter 10, from memory, prints whole numbers.
TEST(FullWater, WetNumbersAreCloseToTheHandbooksTable) {
  const std::pair<double, double> rows[] = {{100, 100}, {98, 99}, {95, 98}, {90, 96}, {85, 94}, {80, 91},
                                            {75, 88},   {70, 85}, {65, 82}, {60, 78}, {50, 70}, {40, 60}};
  for (const auto& [average, wet] : rows) {
    EXPECT_NEAR(wet_curve_number(average), wet, 1.2) << average;
    EXPECT_GE(wet_curve_number(average), average);
  }
  EXPECT_EQ(wet_curve_number(100.0), 100.0);
}

TEST(FullWater, ASteadyFlowStandsAsDeepAsByHand) {
  Storm storm;
  ChainModel model = steady_world({Cut, Outfall}, 0.010, storm);
  model.network.gutter_level_m[0] = 612.40;
  const FullWater water = full_water(model, {storm});
  // HEC-22: T = (Q n / (0.376 Sx^1.67 S^0.5))^0.375 = (0.010 × 0.016 / (0.376 × 0.02^1.67 × 0.1))^0.375
  //       = 1.495 m, depth 0.02 T = 29.9 mm
  EXPECT_NEAR(water.levels[0].depth_m, 0.0299, 0.0003);
  EXPECT_NEAR(water.levels[0].level_m(), 612.4299, 0.0003);
  EXPECT_EQ(water.levels[0].gutter_m, 612.40);
  EXPECT_EQ(water.storm_id, "steady");
}

TEST(FullWater, TheWetRunHasMoreWaterThanTheDryAtEveryPlace) {
  const ChainModel model = busy_chain();
  const Storm storm = hour_storm(0.035);
  const StormResult dry = dry_run(model, storm);
  const ChainModel full = when_all_is_full(model);
  const StormResult wet = dry_run(full, storm);
  const FullWater water = full_water(model, {storm});
  ASSERT_EQ(water.levels.size(), model.network.size());
  for (std::size_t n = 0; n < model.network.size(); ++n) {
    EXPECT_GT(wet.nodes[n].own_runoff_m3, dry.nodes[n].own_runoff_m3) << n;
    EXPECT_GE(water.levels[n].depth_m, dry.nodes[n].max_depth_m) << n;
  }
  EXPECT_NEAR(water.levels[0].depth_m, 0.035, 1e-12) << "its side way begins there";
  EXPECT_GT(water.levels[8].depth_m, dry.nodes[8].max_depth_m);
}

TEST(FullWater, BlockedInletsAndFullBasinsTakeNothing) {
  Storm storm;
  ChainModel model = steady_world({Inlet, Basin, Cut, Cut, Outfall}, 0.010, storm);
  const FullWater water = full_water(model, {storm});
  for (std::size_t n = 1; n < 4; ++n) {
    EXPECT_NEAR(water.levels[n].depth_m, water.levels[0].depth_m, 1e-6) << n;
  }
  EXPECT_LT(dry_run(model, storm).nodes[2].max_depth_m, water.levels[2].depth_m - 0.001);
}

TEST(FullWater, SoilsAreAtTheirFinalRateFromTheFirstDrop) {
  for (const auto law : {water::RawInfiltration::Law::GreenAmpt, water::RawInfiltration::Law::Horton}) {
    ChainBuilder world({Cut, Outfall});
    LossClass& yard = world.model.loss_classes[kYard];
    yard.rule = LossRule::Infiltration;
    yard.infiltration = water::RawInfiltration{.law = law,
                                               .conductivity_m_s = 0.010 / 3600.0,
                                               .suction_deficit_m = 0.05,
                                               .initial_m_s = 0.080 / 3600.0,
                                               .decay_per_s = 1.0 / 1800.0};
    world.patch({0, kYard, 1000, 0, 0});
    const ChainModel model = world.build();
    const Storm storm = {
        .id = "even", .title = "", .step_s = 10.0, .rain_m = std::vector<double>(360, 0.030 / 360.0)};
    EXPECT_NEAR(dry_run(when_all_is_full(model), storm).nodes[0].own_runoff_m3, 20.0, 0.2)
        << "30 mm less 10 mm on 1000 m2";
    EXPECT_LT(dry_run(model, storm).nodes[0].own_runoff_m3, 10.0);
  }
}

TEST(FullWater, TheLargestStormHasTheMostRainInAQuarterOfAnHour) {
  Storm day{.id = "day", .title = "", .step_s = 60.0, .rain_m = std::vector<double>(1440, 0.060 / 1440.0)};
  const Storm hour = hour_storm(0.035);
  EXPECT_EQ(largest_storm({day, hour}), 1U);
  EXPECT_EQ(largest_storm({hour, hour}), 0U);
  Storm longer = hour;
  longer.rain_m.push_back(0.001);
  EXPECT_EQ(largest_storm({hour, longer}), 1U);
  EXPECT_THROW(largest_storm({}), base::BugError);
}

TEST(FullWater, ThreadsChangeNoBit) {
  const ChainModel model = busy_chain();
  const Storm storm = hour_storm(0.035);
  const FullWater one = full_water(model, {storm}, {1});
  const FullWater four = full_water(model, {storm}, {4});
  for (std::size_t n = 0; n < model.network.size(); ++n) {
    EXPECT_EQ(one.levels[n].depth_m, four.levels[n].depth_m) << n;
  }
}

}  // namespace
}  // namespace curbshed::testing
