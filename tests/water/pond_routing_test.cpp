#include "curbshed/water/pond_routing.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>
#include <numeric>
#include <random>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

// S = K O with K 2 h; times in hours for once: the kernel has no unit constants.
StageTable linear_reservoir() { return {{{0.0, 0.0, 0.0}, {1.0, 2000.0, 4000.0}}}; }

// V. M. Ponce, course page on Engineering Hydrology, ch. 8: K 2 h, dt 1 h, O0 100.
TEST(LevelPool, LinearReservoirToThreeDecimals) {
  std::vector<double> in = {100, 150, 250, 400, 800, 1000, 900, 700, 550, 400, 300, 250, 200, 150, 120, 100};
  in.resize(26, 100.0);
  const double out[] = {100,     110,    146,     217.6,   370.56,  582.336, 729.402, 757.641, 704.585,
                        612.751, 507.65, 414.59,  338.754, 273.252, 217.951, 174.771, 144.863, 126.918,
                        116.151, 109.69, 105.814, 103.489, 102.093, 101.256, 100.754, 100.452};
  const std::vector<PondStep> steps = level_pool(linear_reservoir(), in, 1.0, 200.0);
  ASSERT_EQ(steps.size(), 26U);
  for (std::size_t j = 0; j < 26; ++j) EXPECT_NEAR(steps[j].outflow_m3_s, out[j], 0.00051) << j;
}

TEST(LevelPool, LinearReservoirFollowsItsRecursion) {
  const std::vector<double> in = {100, 150, 250, 400, 800, 1000, 900};
  const std::vector<PondStep> steps = level_pool(linear_reservoir(), in, 1.0, 200.0);
  double out = 100.0;
  for (std::size_t j = 1; j < in.size(); ++j) {
    out = (in[j - 1] + in[j] + 3.0 * out) / 5.0;
    EXPECT_NEAR(steps[j].outflow_m3_s, out, 1e-10);
  }
}

TEST(LevelPool, StorageGrowsByInLessOut) {
  const unsigned seed = 77;
  RecordProperty("seed", static_cast<int>(seed));
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int trial = 0; trial < 50; ++trial) {
    StageTable table{{{0.0, 0.0, 0.0}}};
    for (int r = 0; r < 12; ++r) {
      const StageRow& last = table.rows.back();
      table.rows.push_back({last.stage_m + 0.1, last.discharge_m3_s + 0.2 * unit(random),
                            last.storage_m3 + 50.0 + 200.0 * unit(random)});
    }
    std::vector<double> in(80, 0.0);
    for (std::size_t j = 1; j < 40; ++j) in[j] = 0.6 * unit(random);
    const std::vector<PondStep> steps = level_pool(table, in, 60.0, 0.0);
    for (std::size_t j = 1; j < in.size(); ++j) {
      const double by_flows = 30.0 * (in[j - 1] + in[j] - steps[j - 1].outflow_m3_s - steps[j].outflow_m3_s);
      EXPECT_NEAR(steps[j].storage_m3 - steps[j - 1].storage_m3, by_flows, 1e-8) << "seed " << seed;
    }
  }
}

TEST(LevelPool, SteadyFlowStaysSteady) {
  const std::vector<double> in(20, 350.0);
  for (const PondStep& step : level_pool(linear_reservoir(), in, 1.0, 700.0)) {
    EXPECT_NEAR(step.outflow_m3_s, 350.0, 1e-9);
    EXPECT_NEAR(step.stage_m, 0.175, 1e-12);
  }
}

TEST(LevelPool, WhatCannotBeIsRefused) {
  const std::vector<double> in = {0.0, 1000.0, 9000.0};
  EXPECT_THROW(level_pool(linear_reservoir(), in, 1.0, 0.0), base::InputError) << "outgrows its table";
  EXPECT_THROW(level_pool(linear_reservoir(), in, 0.0, 0.0), base::InputError);
  EXPECT_THROW(level_pool(linear_reservoir(), in, 1.0, 5000.0), base::InputError);
  EXPECT_THROW(level_pool({{{0.0, 0.0, 0.0}}}, in, 1.0, 0.0), base::InputError);
  EXPECT_THROW(level_pool({{{0.0, 0.0, 0.0}, {1.0, 1.0, 0.0}}}, in, 1.0, 0.0), base::InputError);
  EXPECT_THROW(level_pool({{{0.0, 2.0, 0.0}, {1.0, 1.0, 9.0}}}, in, 1.0, 0.0), base::InputError);
  const std::vector<double> backwards = {0.0, -1.0};
  EXPECT_THROW(level_pool(linear_reservoir(), backwards, 1.0, 0.0), base::InputError);
  EXPECT_THROW(level_pool(linear_reservoir(), std::vector<double>(3, 0.0), 9.0, 2000.0), base::InputError)
      << "a step of 9 h would empty a pond of 2 h more than once";
}

TEST(Reach, WeightsSumToOneAndVolumeIsKept) {
  const ReachWeights w = muskingum_weights(2.3, 0.15, 1.0);
  EXPECT_NEAR(w.now_in, 0.0631, 5e-5);
  EXPECT_NEAR(w.before_in, 0.3442, 5e-5);
  EXPECT_NEAR(w.before_out, 0.5927, 5e-5);
  EXPECT_NEAR(w.now_in + w.before_in + w.before_out, 1.0, 1e-15);
  std::vector<double> in(200, 0.0);
  for (std::size_t j = 1; j < 30; ++j) in[j] = 1.0 + std::sin(0.2 * static_cast<double>(j));
  const std::vector<double> out = route_reach(w, in, 0.0);
  EXPECT_NEAR(std::accumulate(out.begin(), out.end(), 0.0), std::accumulate(in.begin(), in.end(), 0.0), 1e-9);
}

TEST(Reach, NegativeWeightIsToldNotClamped) {
  const CungeReach reach{
      .length_m = 6000.0, .celerity_m_s = 2.0, .top_width_m = 25.3, .slope = 0.001, .flow_m3_s = 150.0};
  const ReachWeights w = cunge_weights(reach, 7200.0);
  EXPECT_TRUE(any_negative(w));
  EXPECT_LT(w.before_out, 0.0);
  EXPECT_FALSE(any_negative(muskingum_weights(2.3, 0.15, 1.0)));
}

TEST(Reach, NonsenseIsRefused) {
  EXPECT_THROW(muskingum_weights(0.0, 0.2, 1.0), base::InputError);
  EXPECT_THROW(muskingum_weights(1.0, 0.6, 1.0), base::InputError);
  EXPECT_THROW(muskingum_weights(1.0, 0.2, 0.0), base::InputError);
  CungeReach reach{
      .length_m = 600.0, .celerity_m_s = 2.0, .top_width_m = 25.3, .slope = 0.001, .flow_m3_s = 150.0};
  EXPECT_THROW(cunge_weights(reach, 60.0), base::InputError) << "X under 0";
  reach.slope = 0.0;
  EXPECT_THROW(cunge_weights(reach, 60.0), base::InputError);
}

}  // namespace
}  // namespace curbshed::water
