#include "study/loss_steps.hpp"

#include "curbshed/water/losses.hpp"
#include "curbshed/water/soils.hpp"

#include <numeric>

#include <gtest/gtest.h>

namespace curbshed::study {
namespace {

Storm steady(double depth_m, double rain_s) {
  Storm storm;
  storm.step_s = 10.0;
  const auto steps = static_cast<std::size_t>(rain_s / storm.step_s);
  storm.rain_m.assign(steps, depth_m / static_cast<double>(steps));
  storm.rain_m.resize(steps + 360, 0.0);
  return storm;
}

double excess(const LossClass& loss, const Storm& storm) {
  std::vector<double> steps;
  steps_of_excess(loss, storm.rain_m, storm, steps);
  EXPECT_EQ(steps.size(), storm.rain_m.size());
  for (std::size_t k = 0; k < steps.size(); ++k) {
    EXPECT_GE(steps[k], 0.0);
    EXPECT_LE(steps[k], storm.rain_m[k] * (1.0 + 1e-12));
  }
  return std::accumulate(steps.begin(), steps.end(), 0.0);
}

LossClass yard(LossRule rule) {
  LossClass loss;
  loss.curve_number = 85.0;
  loss.rule = rule;
  loss.infiltration = water::raw_infiltration(water::green_ampt_soil(water::soil_texture("silt_loam"), 0.3));
  loss.coefficient = 0.25;
  return loss;
}

TEST(LossSteps, EachRuleAddsUpToItsFormula) {
  const Storm storm = steady(0.060, 3600.0);
  const water::CurveNumber cn = water::CurveNumber::of(85.0);
  EXPECT_NEAR(excess(yard(LossRule::CurveNumber), storm),
              water::runoff_depth(cn, base::Length::metres(0.060)).in_metres(), 1e-12);
  EXPECT_NEAR(excess(yard(LossRule::CurveNumberRevised), storm),
              water::excess_m(0.060, water::revised_retention(cn).in_metres(), 0.05), 1e-12);
  EXPECT_NEAR(excess(yard(LossRule::Coefficient), storm), 0.015, 1e-12);
  const water::Infiltrated in =
      water::green_ampt(water::green_ampt_soil(water::soil_texture("silt_loam"), 0.3),
                        base::Duration::hours(1.0), base::Rate::millimetres_per_hour(60.0));
  EXPECT_NEAR(excess(yard(LossRule::Infiltration), storm), 0.060 - in.depth.in_metres(), 1e-9);
}

TEST(LossSteps, BurstsUnderAnHourGoByTheSoilWhereItIsKnown) {
  LossClass loss = yard(LossRule::CurveNumber);
  loss.bursts_by_infiltration = true;
  const LossClass by_number = yard(LossRule::CurveNumber);
  const LossClass by_soil = yard(LossRule::Infiltration);
  const Storm burst = steady(0.030, 1800.0);
  EXPECT_EQ(rule_for(loss, burst), LossRule::Infiltration);
  EXPECT_EQ(excess(loss, burst), excess(by_soil, burst));
  const Storm hour = steady(0.030, 3600.0);
  EXPECT_EQ(rule_for(loss, hour), LossRule::CurveNumber);
  EXPECT_EQ(excess(loss, hour), excess(by_number, hour));
  EXPECT_NE(excess(loss, burst), excess(by_number, burst));
}

TEST(LossSteps, SecondBurstFindsTheSoilPartlyRecovered) {
  Storm twice = steady(0.030, 1800.0);
  const std::vector<double> once = twice.rain_m;
  for (const LossRule rule : {LossRule::CurveNumber, LossRule::CurveNumberRevised, LossRule::Infiltration}) {
    const double first = excess(yard(rule), steady(0.030, 1800.0));
    const auto second_after = [&](double hours) {
      Storm storm = twice;
      storm.rain_m = once;
      storm.rain_m.resize(180 + static_cast<std::size_t>(hours * 360.0), 0.0);
      storm.rain_m.insert(storm.rain_m.end(), once.begin(), once.end());
      return excess(yard(rule), storm) - first;
    };
    EXPECT_GT(second_after(1.0), first);
    EXPECT_NEAR(second_after(12.0), first, 1e-9);
  }
}

}  // namespace
}  // namespace curbshed::study
