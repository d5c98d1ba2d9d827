#include "curbshed/water/tank.hpp"

#include <random>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

RoofTank tank_of_100_m2() {
  return {.roof_m2 = 100.0,
          .screen_loss = 0.1,
          .flush_m = 0.0005,
          .flush_reset_s = 43200.0,
          .size_m3 = 1.0,
          .use_m3_s = 0.0,
          .basin_m3 = 0.3,
          .basin_soaks_m3_s = 0.0001};
}

double stored(const TankState& state) { return state.tank_m3 + state.basin_m3; }

TEST(RoofTank, HalfAMillimetreOverAHundredSquareMetresFlushesFiftyLitres) {
  // Hand: 20 mm × 100 m² = 2000 L; a tenth over the screen 200; flush 0.5 mm × 100 m² = 50; 1750 on.
  RoofTank tank = tank_of_100_m2();
  TankState state;
  const LedToTank led = lead_to_tank(tank, state, 2.0, 300.0);
  EXPECT_DOUBLE_EQ(led.screened_m3, 0.2);
  EXPECT_DOUBLE_EQ(led.flushed_m3, 0.05);
  EXPECT_DOUBLE_EQ(led.on_m3, 1.75);
}

TEST(RoofTank, WorkedByHandFromRoofToStreet) {
  // 1750 L into a tank of 1000: 750 over; the lot's basin soaks 0.1 L/s × 300 s = 30, keeps 300, 420 go on.
  RoofTank tank = tank_of_100_m2();
  TankState state;
  const TankStep step = tank_step(tank, state, 2.0, 300.0);
  EXPECT_DOUBLE_EQ(state.tank_m3, 1.0);
  EXPECT_DOUBLE_EQ(state.basin_m3, 0.3);
  EXPECT_NEAR(step.soaked_m3, 0.03, 1e-15);
  EXPECT_NEAR(step.to_street_m3, 0.42, 1e-15);
}

TEST(RoofTank, UseInAStepMakesRoomOnlyForTheNext) {
  // Yield after spill: V0 = S = 1000 L, D = 100 L, Q = 100 L: 100 used, 100 over, 900 left.
  RoofTank tank{.roof_m2 = 100.0, .flush_reset_s = 1.0, .size_m3 = 1.0, .use_m3_s = 0.1};
  TankState state{.tank_m3 = 1.0};
  const TankFill fill = fill_tank(tank, state, 0.1, 1.0);
  EXPECT_DOUBLE_EQ(fill.used_m3, 0.1);
  EXPECT_NEAR(fill.over_m3, 0.1, 1e-15);
  EXPECT_DOUBLE_EQ(state.tank_m3, 0.9);
}

TEST(RoofTank, DrawsNoMoreThanStoodAtTheStepsBeginning) {
  RoofTank tank{.roof_m2 = 100.0, .flush_reset_s = 1.0, .size_m3 = 1.0, .use_m3_s = 0.1};
  TankState state{.tank_m3 = 0.02};
  EXPECT_DOUBLE_EQ(fill_tank(tank, state, 0.0, 1.0).used_m3, 0.02);
  EXPECT_DOUBLE_EQ(state.tank_m3, 0.0);
}

TEST(RoofTank, FlushesAgainOnlyAfterTheDryTime) {
  RoofTank tank = tank_of_100_m2();
  TankState state;
  lead_to_tank(tank, state, 1.0, 60.0);
  lead_to_tank(tank, state, 0.0, 43140.0);
  EXPECT_DOUBLE_EQ(lead_to_tank(tank, state, 1.0, 60.0).flushed_m3, 0.0);
  stand_dry(tank, state, 43200.0);
  EXPECT_DOUBLE_EQ(lead_to_tank(tank, state, 1.0, 60.0).flushed_m3, 0.05);
}

TEST(RoofTank, WithoutTankAndBasinAllGoesToTheStreet) {
  RoofTank tank{.roof_m2 = 100.0, .flush_reset_s = 1.0, .basin_soaks_m3_s = 1.0};
  TankState state;
  EXPECT_DOUBLE_EQ(tank_step(tank, state, 1.5, 60.0).to_street_m3, 1.5);
  EXPECT_DOUBLE_EQ(stored(state), 0.0);
}

TEST(RoofTank, KeepsEveryDropOnSeededStorms) {
  std::mt19937 random(7);
  const auto pick = [&](double most) { return most * static_cast<double>(random() >> 8) / (1 << 24); };
  for (int trial = 0; trial < 200; ++trial) {
    const RoofTank tank{.roof_m2 = pick(300.0),
                        .screen_loss = pick(0.3),
                        .flush_m = pick(0.002),
                        .flush_reset_s = 100.0 + pick(1000.0),
                        .size_m3 = pick(5.0),
                        .use_m3_s = pick(0.001),
                        .basin_m3 = pick(2.0),
                        .basin_soaks_m3_s = pick(0.001)};
    TankState state{.tank_m3 = tank.size_m3 * pick(1.0)};
    double balance_m3 = stored(state);
    for (int k = 0; k < 300; ++k) {
      const double runoff_m3 = random() % 3 == 0 ? pick(0.2) : 0.0;
      const TankStep step = tank_step(tank, state, runoff_m3, 60.0);
      balance_m3 +=
          runoff_m3 - step.screened_m3 - step.flushed_m3 - step.used_m3 - step.soaked_m3 - step.to_street_m3;
      for (const double term : {step.screened_m3, step.flushed_m3, step.used_m3, step.soaked_m3,
                                step.to_street_m3, state.tank_m3, state.basin_m3}) {
        ASSERT_GE(term, 0.0);
      }
      ASSERT_LE(state.tank_m3, tank.size_m3);
      ASSERT_LE(state.basin_m3, tank.basin_m3);
    }
    EXPECT_NEAR(balance_m3, stored(state), 1e-9);
  }
}

TEST(RoofTank, PartsOfOneRoofActAsTheWhole) {
  // What lets a lot be cut up by receivers: all terms grow with the roof.
  RoofTank whole = tank_of_100_m2();
  whole.use_m3_s = 1e-5;
  RoofTank part = whole;
  for (double* value :
       {&part.roof_m2, &part.size_m3, &part.use_m3_s, &part.basin_m3, &part.basin_soaks_m3_s}) {
    *value *= 0.25;
  }
  TankState of_whole;
  TankState of_part;
  std::mt19937 random(3);
  for (int k = 0; k < 500; ++k) {
    const double runoff_m3 = 0.02 * static_cast<double>(random() % 10);
    const TankStep a = tank_step(whole, of_whole, runoff_m3, 60.0);
    const TankStep b = tank_step(part, of_part, 0.25 * runoff_m3, 60.0);
    EXPECT_NEAR(b.to_street_m3, 0.25 * a.to_street_m3, 1e-15);
  }
}

TEST(RoofTank, ASmallerTankNeverSendsLessToTheStreet) {
  std::mt19937 random(11);
  for (int trial = 0; trial < 50; ++trial) {
    double sent_m3[2] = {0.0, 0.0};
    for (int large = 0; large < 2; ++large) {
      RoofTank tank = tank_of_100_m2();
      tank.size_m3 = large == 1 ? 2.0 : 1.0;
      TankState state;
      std::mt19937 same(static_cast<std::uint32_t>(trial));
      for (int k = 0; k < 100; ++k) {
        sent_m3[large] += tank_step(tank, state, 0.01 * static_cast<double>(same() % 20), 60.0).to_street_m3;
      }
    }
    EXPECT_LE(sent_m3[1], sent_m3[0] + 1e-12);
  }
}

}  // namespace
}  // namespace curbshed::water
