#include "curbshed/water/sag.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/water/basin.hpp"

#include <cmath>
#include <limits>
#include <random>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

const SagShape kShape{.depth_m = 0.12, .volume_m3 = 3.0, .area_m2 = 60.0, .spill_width_m = 4.0};
constexpr auto kNothing = [](double) { return 0.0; };

TEST(Sag, DepthVolumeAndAreaAtTheSpillLevelAreMet) {
  const RawSag sag = raw_sag(kShape);
  EXPECT_NEAR(sag.exponent, 60.0 * 0.12 / 3.0, 1e-15);
  EXPECT_NEAR(sag_volume_m3(sag, 0.12), 3.0, 1e-15);
  const double below = (sag_volume_m3(sag, 0.12) - sag_volume_m3(sag, 0.12 - 1e-6)) / 1e-6;
  const double above = (sag_volume_m3(sag, 0.12 + 1e-6) - sag_volume_m3(sag, 0.12)) / 1e-6;
  EXPECT_NEAR(below, 60.0, 0.01);
  EXPECT_NEAR(above, 60.0, 0.01);
}

TEST(Sag, LevelIsTheInverseOfVolume) {
  const RawSag sag = raw_sag(kShape);
  for (double d = 0.0; d < 0.3; d += 0.001) EXPECT_NEAR(sag_depth_m(sag, sag_volume_m3(sag, d)), d, 1e-12);
  EXPECT_EQ(sag_depth_m(sag, 0.0), 0.0);
  EXPECT_THROW(raw_sag({.depth_m = 0.0, .volume_m3 = 1.0, .area_m2 = 1.0}), base::BugError);
}

TEST(Sag, PondsThenPassesItsInflow) {
  const RawSag sag = raw_sag(kShape);
  double volume = 0.0;
  double spilled = 0.0;
  SagStep step;
  for (int i = 0; i < 4000; ++i) {
    step = sag_step(sag, volume, {.step_s = 5.0, .inflow_m3 = 0.05}, kNothing);
    volume = step.volume_m3;
    spilled += step.spilled_m3;
    if (volume < 3.0) {
      ASSERT_EQ(step.spilled_m3, 0.0);
    }
  }
  EXPECT_NEAR(step.spilled_m3, 0.05, 1e-9);
  EXPECT_NEAR(step.depth_m, 0.12 + std::pow(0.01 / (4.0 * 1.7048), 2.0 / 3.0), 1e-6);
  EXPECT_NEAR(spilled + volume, 4000 * 0.05, 1e-8);
}

TEST(Sag, AnInletDrainsItToTheBottom) {
  const RawSag sag = raw_sag(kShape);
  const RawSagOpening inlet{.clear_length_m = 1.35, .height_m = 0.12};
  const auto taken = [&](double depth_m) { return 5.0 * sag_opening_m3_s(inlet, depth_m); };
  double volume = 3.0;
  double sum = 0.0;
  for (int i = 0; i < 4000; ++i) {
    const SagStep step = sag_step(sag, volume, {.step_s = 5.0}, taken);
    ASSERT_GE(step.volume_m3, 0.0);
    ASSERT_TRUE(step.resolved);
    ASSERT_EQ(step.taken_m3, taken(step.depth_m)) << "the takers can be asked again";
    ASSERT_LE(step.volume_m3, volume);
    sum += step.taken_m3;
    volume = step.volume_m3;
  }
  EXPECT_LT(volume, 0.01);
  EXPECT_NEAR(sum + volume, 3.0, 1e-12);
}

TEST(Sag, EmptyAndDryStaysSo) {
  const SagStep step = sag_step(raw_sag(kShape), 0.0, {.step_s = 5.0}, kNothing);
  EXPECT_EQ(step.volume_m3, 0.0);
  EXPECT_EQ(step.depth_m, 0.0);
  EXPECT_EQ(step.spilled_m3, 0.0);
}

TEST(Sag, HalvingTheStepHardlyChangesVolumes) {
  const RawSag sag = raw_sag(kShape);
  const RawSagOpening inlet{.clear_length_m = 1.35, .height_m = 0.12};
  const auto event = [&](double step_s) {
    double volume = 0.0;
    double taken = 0.0;
    for (int i = 0; i < static_cast<int>(3600.0 / step_s); ++i) {
      const double t = (i + 0.5) * step_s;
      const double flow = 0.08 * std::exp(-0.5 * std::pow((t - 1200.0) / 300.0, 2.0));
      const SagStep step = sag_step(sag, volume, {.step_s = step_s, .inflow_m3 = flow * step_s},
                                    [&](double d) { return step_s * sag_opening_m3_s(inlet, d); });
      volume = step.volume_m3;
      taken += step.taken_m3;
    }
    return taken;
  };
  EXPECT_NEAR(event(10.0) / event(5.0), 1.0, 0.005);
  EXPECT_NEAR(event(5.0) / event(2.5), 1.0, 0.005);
}

// Sag and a basin that drinks from it, solved together.
TEST(Sag, ABasinInASagSharesItsLevelAndNothingIsLost) {
  const RawSag sag = raw_sag(kShape);
  const RawBasin basin = raw_basin({.length = base::Length::metres(3.0),
                                    .width = base::Length::metres(1.5),
                                    .side_slope = 2.0,
                                    .ponding = base::Length::metres(0.15)},
                                   {.mouth_length = base::Length::metres(0.4),
                                    .rim_above_invert = base::Length::metres(0.5),
                                    .rim_width = base::Length::metres(1.0),
                                    .infiltration = base::Rate::millimetres_per_hour(500.0)});
  constexpr double kInvert_m = 0.02;  // above the sag's bottom
  double pond = 0.0;
  double pool = 0.0;
  double in = 0.0;
  double gone = 0.0;
  for (int i = 0; i < 3000; ++i) {
    const auto drink = [&](double depth_m) {
      return basin_step(basin, pool,
                        {.step_s = 5.0,
                         .offered_m3_s = std::numeric_limits<double>::infinity(),
                         .gutter_level_m = std::max(0.0, depth_m - kInvert_m)});
    };
    const auto taken = [&](double depth_m) {
      const BasinStep s = drink(depth_m);
      return s.entered_m3 - s.returned_m3;
    };
    const double inflow = i < 600 ? 0.008 : 0.0;
    const SagStep step = sag_step(sag, pond, {.step_s = 5.0, .inflow_m3 = inflow}, taken);
    const BasinStep after = drink(step.depth_m);
    in += inflow;
    gone += step.spilled_m3 + after.infiltrated_m3 + after.over_rim_m3;
    pond = step.volume_m3;
    pool = after.volume_m3;
    ASSERT_TRUE(step.resolved);
    ASSERT_NEAR(in, gone + pond + pool, 1e-11) << i;
    if (after.level_m > 0.0) {
      ASSERT_LE(after.level_m, step.depth_m - kInvert_m + 1e-9);
    }
  }
  EXPECT_NEAR(sag_depth_m(sag, pond), kInvert_m, 0.002) << "what stands under the invert stays in the sag";
  EXPECT_GT(gone, 0.1);
}

TEST(LowerRoot, FindsSteepFlatAndSteppedRoots) {
  const auto check = [](double low, double high, auto f, double expected) {
    const Root root = lower_root({.low = low, .high = high}, f);
    EXPECT_TRUE(root.resolved);
    EXPECT_NEAR(root.at, expected, 1e-12);
    EXPECT_LE(f(root.at), 0.0);
  };
  check(
      0.0, 1.0, [](double x) { return x - 0.3; }, 0.3);
  check(
      0.0, 1.0, [](double x) { return std::cbrt(x - 0.3); }, 0.3);
  check(
      0.0, 1.0, [](double x) { return -std::pow(1.0 - x, 0.385) + 1e-7; }, 1.0 - std::pow(1e-7, 1.0 / 0.385));
  check(
      0.0, 1.0, [](double x) { return x < 0.7 ? -1e-9 : 5.0; }, 0.7);
  const Root under = lower_root({.low = 0.0, .high = 1.0}, [](double x) { return x + 1.0; });
  EXPECT_EQ(under.at, 0.0);
  const Root over = lower_root({.low = 0.0, .high = 1.0}, [](double x) { return x - 2.0; });
  EXPECT_EQ(over.at, 1.0);
  EXPECT_FALSE(over.resolved);
}

}  // namespace
}  // namespace curbshed::water
