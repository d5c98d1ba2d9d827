#include "study/lateral_inflow.hpp"

#include "curbshed/base/error.hpp"

#include "study/chain_run.hpp"
#include "support/chain_worlds.hpp"

#include <cstring>

#include <gtest/gtest.h>

namespace curbshed::testing {
namespace {

using namespace curbshed::study;
using enum NodeKind;

water::RoofTank small_tank() {
  return {.screen_loss = 0.05,
          .flush_m = 0.0005,
          .flush_reset_s = 43200.0,
          .size_m3 = 2.0,
          .use_m3_s = 0.2 / 86400.0,
          .basin_m3 = 0.5,
          .basin_soaks_m3_s = 5.0 * 0.02 / 3600.0};
}

/// Two cuts on a street with yards; lot A's roof drains to both cuts, lot B's to the second.
ChainModel street_with_tanks(double share = 0.8) {
  ChainBuilder world({Cut, Cut, Outfall});
  for (std::int32_t node = 0; node < 2; ++node) {
    world.patch({.node = node, .loss_class = kPavement, .cells = 400, .time_bin = 2});
    world.patch({.node = node, .loss_class = kYard, .cells = 300, .time_bin = 4});
  }
  world.model.tanks = {{.lot = "A", .roof_share = share, .start_share = 0.25, .tank = small_tank()},
                       {.lot = "B", .roof_share = share, .start_share = 0.25, .tank = small_tank()}};
  world.roof(0, 0, 60, 3);
  world.roof(1, 0, 40, 5);
  world.roof(1, 1, 100, 4);
  return world.build();
}

double sum_of(const std::vector<double>& values) {
  double sum = 0.0;
  for (const double value : values) sum += value;
  return sum;
}

LateralInflow lateral_on(const ChainModel& model, const EventReaches& reaches, const Storm& storm, bool tanks,
                         base::Workers workers) {
  DroppedWater none;
  return lateral_inflow(model, reaches.join_travel_s, storm,
                        tanks ? empty_state(model).tanks : std::vector<water::TankState>(), none, workers);
}

LateralInflow lateral_of(const ChainModel& model, const Storm& storm, bool tanks = true,
                         base::Workers workers = {}) {
  return lateral_on(model, event_reaches(model, storm), storm, tanks, workers);
}

TEST(TanksOnLots, EveryNodesLedgerClosesAndEveryTermIsUsed) {
  const ChainModel model = street_with_tanks();
  const StormComparison c = compare_storm(model, hour_storm(0.05), true);
  for (const StormResult* result : {&c.base, &c.with_cuts, &c.second}) {
    EXPECT_LT(result->ledger.relative_gap(), 1e-12);
    const base::WaterLedger& l = result->ledger;
    for (const double term :
         {l.screened_off_m3, l.first_flush_m3, l.taken_by_trees_and_uses_m3, l.infiltrated_on_lots_m3,
          l.in_tanks_m3, l.in_lot_basins_m3, l.stored_at_start_m3}) {
      EXPECT_GT(term, 0.0);
    }
    EXPECT_NEAR(l.rain_on_cells_m3, 1600 * 0.05, 1e-9);
  }
}

TEST(TanksOnLots, ALotIsWorkedOutByHand) {
  // 100 m² of roof, CN 98 on 50 mm: S = 254 (100/98 − 1) = 5.1837 mm, Q = (50 − 1.0367)² / (50 + 4.1469) mm.
  const ChainModel model = street_with_tanks();
  const double retention = 254.0 * (100.0 / 98.0 - 1.0);
  const double excess_m =
      (50.0 - 0.2 * retention) * (50.0 - 0.2 * retention) / (50.0 + 0.8 * retention) / 1000.0;
  const Storm storm = hour_storm(0.05);
  const LateralInflow lateral = lateral_of(model, storm);
  const LotResult& lot = lateral.lots[1];
  const double led_m3 = 0.8 * 100.0 * excess_m;
  EXPECT_NEAR(lot.led_m3, led_m3, 1e-9);
  EXPECT_NEAR(lot.screened_m3, 0.05 * led_m3, 1e-9);
  EXPECT_NEAR(lot.flushed_m3, 0.0005 * 80.0, 1e-12);
  const double into_m3 = led_m3 * 0.95 - 0.04;
  EXPECT_NEAR(lot.tank_gained_m3 + lot.used_m3 + lot.soaked_m3 + lot.basin_gained_m3 + lot.to_street_m3,
              into_m3, 1e-9);
  EXPECT_NEAR(lot.used_m3, 0.2 / 86400.0 * static_cast<double>(storm.rain_m.size()) * storm.step_s, 1e-9);
  EXPECT_GT(lot.to_street_m3, 0.0);
  EXPECT_NEAR(lot.kept_m3(), led_m3 - lot.to_street_m3, 1e-12);
}

TEST(TanksOnLots, ALotCutUpByReceiversKeepsWhatAWholeOneDoes) {
  const LateralInflow lateral = lateral_of(street_with_tanks(), hour_storm(0.05));
  const LotResult& cut_up = lateral.lots[0];
  const LotResult& whole = lateral.lots[1];
  EXPECT_NEAR(cut_up.led_m3, whole.led_m3, 1e-12);
  EXPECT_NEAR(cut_up.to_street_m3, whole.to_street_m3, 1e-12);
  EXPECT_NEAR(cut_up.tank_gained_m3, whole.tank_gained_m3, 1e-12);
  EXPECT_NEAR(lateral.tanks[0].basin_m3, lateral.tanks[1].basin_m3, 1e-12);
}

TEST(TanksOnLots, NoShareLedIsTheSameAsNoTank) {
  const ChainModel led = street_with_tanks(0.0);
  const Storm storm = hour_storm(0.03);
  const LateralInflow with = lateral_of(led, storm);
  const LateralInflow without = lateral_of(led, storm, false);
  ASSERT_EQ(with.inflow_m3.size(), without.inflow_m3.size());
  for (std::size_t i = 0; i < with.inflow_m3.size(); ++i) {
    ASSERT_NEAR(with.inflow_m3[i], without.inflow_m3[i], 1e-15);
  }
}

TEST(TanksOnLots, RoofsOutsideTanksAreThoseOfAStreetWithoutAny) {
  const ChainModel tanked = street_with_tanks();
  ChainBuilder plain({Cut, Cut, Outfall});
  for (std::int32_t node = 0; node < 2; ++node) {
    plain.patch({.node = node, .loss_class = kPavement, .cells = 400, .time_bin = 2});
    plain.patch({.node = node, .loss_class = kYard, .cells = 300, .time_bin = 4});
  }
  plain.patch({.node = 0, .loss_class = kRoof, .cells = 60, .time_bin = 3});
  plain.patch({.node = 1, .loss_class = kRoof, .cells = 40, .time_bin = 5});
  plain.patch({.node = 1, .loss_class = kRoof, .cells = 100, .time_bin = 4});
  const ChainModel model = plain.build();
  const Storm storm = hour_storm(0.05);
  EXPECT_EQ(own_areas_m2(model), own_areas_m2(tanked));
  const EventReaches reaches = event_reaches(model, storm);
  const LateralInflow a = lateral_on(model, reaches, storm, true, {});
  const LateralInflow b = lateral_on(tanked, reaches, storm, false, {});
  for (std::size_t i = 0; i < a.inflow_m3.size(); ++i) ASSERT_NEAR(a.inflow_m3[i], b.inflow_m3[i], 1e-12);
}

TEST(TanksOnLots, ALargerTankNeverSendsMoreToTheStreet) {
  double before_m3 = 1e9;
  for (const double size_m3 : {0.0, 0.5, 1.0, 2.0, 4.0, 8.0}) {
    ChainModel model = street_with_tanks();
    for (LotTank& lot : model.tanks) {
      lot.tank.size_m3 = size_m3;
      lot.start_share = 0.0;
    }
    const double sent_m3 = sum_of(lateral_of(model, hour_storm(0.05)).inflow_m3);
    EXPECT_LE(sent_m3, before_m3 + 1e-12);
    before_m3 = sent_m3;
  }
}

TEST(TanksOnLots, TheSameBytesForAnyNumberOfThreads) {
  const ChainModel model = street_with_tanks();
  const Storm storm = hour_storm(0.05);
  const LateralInflow one = lateral_of(model, storm, true, {1});
  for (const int threads : {2, 3, 7}) {
    const LateralInflow more = lateral_of(model, storm, true, {threads});
    EXPECT_EQ(one.inflow_m3, more.inflow_m3);
    EXPECT_EQ(std::memcmp(one.tanks.data(), more.tanks.data(), one.tanks.size() * sizeof(water::TankState)),
              0);
  }
}

TEST(TanksOnLots, NewTanksAreNotInTheBaseCase) {
  ChainModel there = street_with_tanks();
  ChainModel later = there;
  later.tanks_are_new = true;
  const StormComparison old_tanks = compare_storm(there, hour_storm(0.03), false);
  const StormComparison new_tanks = compare_storm(later, hour_storm(0.03), false);
  EXPECT_TRUE(new_tanks.base.lots.empty());
  EXPECT_EQ(new_tanks.base.ledger.stored_at_start_m3, 0.0);
  EXPECT_EQ(new_tanks.with_cuts.lots.size(), 2U);
  EXPECT_GT(new_tanks.base.ledger.left_at_outfalls_m3, old_tanks.base.ledger.left_at_outfalls_m3);
}

TEST(TanksOnLots, TheSecondStormFindsFullerTanks) {
  const StormComparison c = compare_storm(street_with_tanks(), hour_storm(0.03), true);
  ASSERT_EQ(c.second.lots.size(), 2U);
  EXPECT_GT(c.second.lots[0].to_street_m3, c.with_cuts.lots[0].to_street_m3);
}

TEST(TanksOnLots, MissesExactlyTheLitreThatAProcessDrops) {
  const ChainModel model = street_with_tanks();
  const Storm storm = hour_storm(0.05);
  const EventReaches reaches = event_reaches(model, storm);
  const std::vector<std::uint8_t> open = all_open(model);
  for (const Process process : {Process::Screen, Process::FirstFlush, Process::TankUse, Process::TankOverflow,
                                Process::LotBasin, Process::LotOverflow}) {
    SCOPED_TRACE(static_cast<int>(process));
    DroppedWater dropped(process, 1.0);
    const LateralInflow lateral = lateral_inflow(model, reaches.join_travel_s, storm, dropped, {});
    const StormResult result =
        run_chain(model, reaches, lateral, storm, open, empty_state(model), dropped, {});
    EXPECT_TRUE(dropped.all_lost());
    EXPECT_NEAR(result.ledger.gap_m3(), 0.001, 1e-11);
    EXPECT_THROW(check_ledgers(model, result), base::BugError);
  }
}

}  // namespace
}  // namespace curbshed::testing
