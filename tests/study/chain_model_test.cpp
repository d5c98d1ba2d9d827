#include "curbshed/study/chain_model.hpp"

#include "curbshed/base/error.hpp"

#include "support/chain_worlds.hpp"
#include "support/drawn_crossing.hpp"
#include "support/study_block.hpp"

#include <gtest/gtest.h>

namespace curbshed::testing {
namespace {

using namespace curbshed::study;

TEST(ChainModel, AWholeOneIsAccepted) { EXPECT_NO_THROW(check(busy_chain())); }

/// A shared corner (0) above two cuts on their own ways (1 and 2) to one outfall (3), with no time between.
ChainModel shared_chain(double crosses) {
  using enum NodeKind;
  ChainBuilder world({Corner, Cut, Cut, Outfall}, 0.0);
  world.model.network.downstream = {1, 3, 3, -1, -1};
  world.model.network.second_ways = {{.from = 0, .to = 2, .share = crosses, .reach_length_m = 0.0}};
  world.patch({0, kPavement, 1000, 0, 0});
  return world.build();
}

TEST(SharedCornerStorm, EachWayGetsItsShareOfVolumePeakAndArea) {
  const ChainModel model = shared_chain(0.4);
  const Storm storm = hour_storm(0.02);
  const StormComparison got = compare_storm(model, storm, true, {});
  const StormResult& base = got.base;
  const double all_m3 = base.nodes[0].passed_on_m3;
  EXPECT_NEAR(all_m3, base.nodes[0].own_runoff_m3, 1e-9);
  EXPECT_NEAR(base.nodes[1].arriving_m3, 0.6 * all_m3, 1e-9);
  EXPECT_NEAR(base.nodes[2].arriving_m3, 0.4 * all_m3, 1e-9);
  EXPECT_NEAR(base.nodes[2].peak_arriving_m3_s, 0.4 * base.nodes[0].peak_leaving_m3_s, 1e-9);
  EXPECT_NEAR(base.nodes[3].arriving_m3, all_m3, 1e-9);
  for (const StormResult* result : {&got.base, &got.with_cuts, &got.second}) {
    EXPECT_TRUE(result->ledger.closes());
    for (const base::WaterLedger& own : result->node_ledgers) EXPECT_TRUE(own.closes());
  }
  EXPECT_GT(got.with_cuts.nodes[1].captured_m3, 0.0);
  EXPECT_GT(got.with_cuts.nodes[2].captured_m3, 0.0);
  const std::vector<double> areas = areas_arriving_m2(model);
  EXPECT_DOUBLE_EQ(areas[1], 600.0);
  EXPECT_DOUBLE_EQ(areas[2], 400.0);
  EXPECT_DOUBLE_EQ(areas[3], 1000.0);
  // Both ways come to the outfall: its second opinion counts all of the ground, once.
  EXPECT_NEAR(got.rational[3].area_m2, 1000.0, 1e-9);
}

TEST(SharedCornerStorm, WaterOnItsWayWhenTheRunEndsIsBooked) {
  ChainModel model = shared_chain(0.4);
  model.network.reach_length_m = {400.0, 50.0, 50.0, 0.0, 0.0};
  model.network.second_ways[0].reach_length_m = 900.0;
  const StormComparison got = compare_storm(model, hour_storm(0.03, 5.0, 0.0), true, {});
  EXPECT_GT(got.base.ledger.in_gutters_m3, 0.0);
  EXPECT_TRUE(got.base.ledger.closes());
  EXPECT_TRUE(got.with_cuts.ledger.closes());
}

/// The drawn four-way corner, taken through the preparation.
TEST(SharedCornerStorm, ADrawnCornerSharesABlocksWaterAndThreadsChangeNoByte) {
  Crossing crossing;
  crossing.east_fall = 0.01;
  crossing.north_fall = 0.01;
  DrawnBlock block = draw_crossing(crossing, {});
  block.cut("turned", -5.2, 40.0);
  block.cut("crossed", 40.0, 5.2);
  const auto storms_at = [&](double turns, int threads) {
    StudyInputs inputs = inputs_of(block);
    street::CornerPoint point;
    point.id = "A";
    point.at = {-7.0, 7.0};
    point.turns = turns;
    inputs.corner_points = {point};
    const Preparation p = prepare(inputs, usual_settings(), {threads, 0, 0});
    return std::pair(p.model, compare_storm(p.model, hour_storm(0.02), true, {threads}));
  };
  const auto arriving = [](const auto& run, const std::string& id) {
    return run.second.base.nodes[static_cast<std::size_t>(node_of(run.first.network, id))].arriving_m3;
  };
  const auto shared = storms_at(0.6, 1);
  const auto turns = storms_at(1.0, 1);
  const auto crosses = storms_at(0.0, 1);
  for (const char* cut : {"turned", "crossed"}) {
    const double wanted_m3 = 0.6 * arriving(turns, cut) + 0.4 * arriving(crosses, cut);
    EXPECT_NEAR(arriving(shared, cut), wanted_m3, 0.05 * wanted_m3) << cut;
  }
  EXPECT_TRUE(shared.second.base.ledger.closes());
  EXPECT_TRUE(shared.second.with_cuts.ledger.closes());
  for (const int threads : {2, 3, 7}) {
    const auto other = storms_at(0.6, threads);
    EXPECT_EQ(other.first.network.id, shared.first.network.id);
    EXPECT_EQ(other.second.base.leaving_m3_s, shared.second.base.leaving_m3_s) << threads;
    EXPECT_EQ(other.second.with_cuts.leaving_m3_s, shared.second.with_cuts.leaving_m3_s) << threads;
    EXPECT_EQ(other.second.with_cuts.end.basin_m3, shared.second.with_cuts.end.basin_m3) << threads;
  }
}

TEST(ChainModel, WhatAStormCouldNotRunOnIsOurBug) {
  const ChainModel good = busy_chain();
  ChainModel bad = good;
  bad.params.pop_back();
  EXPECT_THROW(check(bad), base::BugError);
  bad = good;
  bad.params[0].grade = 0.0;
  EXPECT_THROW(check(bad), base::BugError);
  bad = good;
  bad.params[1].clogging = 1.5;
  EXPECT_THROW(check(bad), base::BugError);
  bad = good;
  bad.network.downstream[2] = -1;
  EXPECT_THROW(check(bad), base::BugError);
  bad = good;
  bad.loss_classes.pop_back();
  EXPECT_THROW(check(bad), base::BugError);
  bad = good;
  bad.contribution.first.pop_back();
  EXPECT_THROW(check(bad), base::BugError);
  bad = good;
  bad.loss_classes[1].connected = -0.1;
  EXPECT_THROW(check(bad), base::BugError);
}

TEST(ChainModel, ABasinWhoseRimIsUnderTheInvertSaysSo) {
  BasinParams basin;
  basin.invert_m = 100.0;
  basin.rim_m = 100.0;
  EXPECT_FALSE(basin.rim_below_invert());
  basin.rim_m = 99.99;
  EXPECT_TRUE(basin.rim_below_invert());
}

}  // namespace
}  // namespace curbshed::testing
