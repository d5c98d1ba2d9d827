#include "curbshed/water/rain.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <numeric>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

using base::Duration;
using base::InputError;
using base::Length;

double sum(const std::vector<double>& v) { return std::accumulate(v.begin(), v.end(), 0.0); }

BlockStorm hour_of(double depth_mm) { return {.depth = Length::millimetres(depth_mm)}; }

TEST(BlockStorm, TableSharesAreMet) {
  const double minutes[] = {5, 10, 15, 30, 60};
  const double shares[] = {0.29, 0.45, 0.57, 0.79, 1.00};
  for (int i = 0; i < 5; ++i) EXPECT_NEAR(share_of_hour(Duration::minutes(minutes[i])), shares[i], 1e-12);
  EXPECT_GT(share_of_hour(Duration::hours(2.0)), 1.0);
  EXPECT_LT(share_of_hour(Duration::minutes(2.5)), 0.29);
  EXPECT_THROW(share_of_hour(Duration::seconds(0.0)), InputError);
}

TEST(BlockStorm, HourHasCentredAlternatingPeak) {
  const std::vector<double> blocks = block_depths_m(hour_of(20.0));
  ASSERT_EQ(blocks.size(), 12U);
  const auto peak = std::max_element(blocks.begin(), blocks.end()) - blocks.begin();
  EXPECT_EQ(peak, 5);
  EXPECT_NEAR(blocks[5], 0.020 * 0.29, 1e-15);
  EXPECT_NEAR(blocks[5] + blocks[6], 0.020 * 0.45, 1e-15);
  EXPECT_NEAR(blocks[4] + blocks[5] + blocks[6], 0.020 * 0.57, 1e-15);
  for (std::size_t k = 0; k < 5; ++k) {
    EXPECT_LT(blocks[k], blocks[k + 1]) << "rises to the peak, block " << k;
    EXPECT_GT(blocks[k + 6], blocks[k + 7 > 11 ? 11 : k + 7] - 1e-18) << "falls after it, block " << k;
    EXPECT_GT(blocks[6 + k], blocks[4 - k]) << "later of a pair is the larger";
  }
}

TEST(BlockStorm, WorstSpanOfAnyLengthIsTheTablesWhateverTheDuration) {
  for (const double hours : {0.25, 0.5, 1.0, 2.0, 6.0}) {
    const BlockStorm storm{.depth = Length::millimetres(25.0), .duration = Duration::hours(hours)};
    const std::vector<double> blocks = block_depths_m(storm);
    for (std::size_t n = 1; n <= blocks.size(); ++n) {
      double worst = 0.0;
      for (std::size_t i = 0; i + n <= blocks.size(); ++i) {
        worst = std::max(worst, std::accumulate(blocks.begin() + static_cast<std::ptrdiff_t>(i),
                                                blocks.begin() + static_cast<std::ptrdiff_t>(i + n), 0.0));
      }
      const double expected = 0.025 * share_of_hour(Duration::minutes(5.0 * static_cast<double>(n))) /
                              share_of_hour(storm.duration);
      EXPECT_NEAR(worst, expected, 1e-14) << hours << " h, " << n << " blocks";
    }
  }
}

TEST(BlockStorm, DepthIsKept) {
  for (const double mm : {0.0, 0.1, 10.0, 22.4, 133.7}) {
    EXPECT_NEAR(sum(block_depths_m(hour_of(mm))), mm / 1000.0, 4e-17);
  }
}

TEST(BlockStorm, OwnShapeIsFollowed) {
  BlockStorm storm = hour_of(12.0);
  storm.shape = {0, 0, 1, 2, 3, 0, 0, 0, 0, 0, 0, 0};
  const std::vector<double> blocks = block_depths_m(storm);
  EXPECT_NEAR(blocks[2], 0.002, 1e-15);
  EXPECT_NEAR(blocks[4], 0.006, 1e-15);
  EXPECT_EQ(blocks[0], 0.0);
  EXPECT_NEAR(sum(blocks), 0.012, 1e-17);
}

TEST(BlockStorm, UnusableInputIsRefused) {
  BlockStorm storm = hour_of(10.0);
  storm.shape = {1.0, 2.0};
  EXPECT_THROW(block_depths_m(storm), InputError);
  storm.shape.assign(12, 0.0);
  EXPECT_THROW(block_depths_m(storm), InputError);
  storm.shape.assign(12, 1.0);
  storm.shape[3] = -1.0;
  EXPECT_THROW(block_depths_m(storm), InputError);
  EXPECT_THROW(block_depths_m(hour_of(-1.0)), InputError);
  EXPECT_THROW(block_depths_m({.depth = Length::metres(0.01), .duration = Duration::minutes(12.0)}),
               InputError);
  EXPECT_THROW(block_depths_m({.depth = Length::metres(0.01), .duration = Duration::hours(25.0)}),
               InputError);
  EXPECT_THROW(block_depths_m({.depth = Length::metres(0.01), .block = Duration::minutes(0.0)}), InputError);
}

TEST(RainSteps, VolumeIsKeptForAnyStep) {
  const std::vector<double> blocks = block_depths_m(hour_of(22.0));
  for (const double step_s : {1.0, 5.0, 7.0, 60.0, 299.0, 300.0, 1000.0, 5000.0}) {
    const std::vector<double> steps =
        step_depths_m(blocks, {.block_s = 300.0, .step_s = step_s, .after_s = 100.0});
    EXPECT_NEAR(sum(steps), 0.022, 1e-16) << step_s;
    EXPECT_GE(*std::min_element(steps.begin(), steps.end()), 0.0);
  }
}

TEST(RainSteps, StepOverABorderTakesItsShares) {
  const std::vector<double> steps =
      step_depths_m({0.003, 0.006}, {.block_s = 300.0, .step_s = 200.0, .after_s = 150.0});
  ASSERT_EQ(steps.size(), 4U);
  EXPECT_NEAR(steps[0], 0.002, 1e-15);
  EXPECT_NEAR(steps[1], 0.001 + 0.002, 1e-15);
  EXPECT_NEAR(steps[2], 0.004, 1e-15);
  EXPECT_EQ(steps[3], 0.0);
}

TEST(RainSteps, DryTailAndNoRain) {
  const std::vector<double> steps =
      step_depths_m({0.003}, {.block_s = 300.0, .step_s = 5.0, .after_s = 10800.0});
  EXPECT_EQ(steps.size(), 60U + 2160U);
  EXPECT_TRUE(step_depths_m({}, {.block_s = 300.0, .step_s = 5.0, .after_s = 0.0}).empty());
  EXPECT_THROW(step_depths_m({0.1}, {.block_s = 300.0, .step_s = 0.0}), InputError);
}

}  // namespace
}  // namespace curbshed::water
