#include "curbshed/water/design_storms.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

using base::Duration;
using base::Length;

double sum(const std::vector<double>& v) { return std::accumulate(v.begin(), v.end(), 0.0); }

DepthCurve curve() {
  return {
      {{300.0, 0.007}, {600.0, 0.011}, {900.0, 0.014}, {1800.0, 0.019}, {3600.0, 0.024}, {7200.0, 0.028}}};
}

TEST(DayStorm, PeakHourOfTypeIi) {
  // The 23 points: 42.8 % of the day falls between 11 and 12 h.
  EXPECT_NEAR(day_share(DayShape::II, 12.0) - day_share(DayShape::II, 11.0), 0.428, 0.0005);
  EXPECT_EQ(day_share(DayShape::II, 24.0), 1.0);
  EXPECT_THROW(day_share(DayShape::II, 24.1), base::InputError);
}

TEST(DayStorm, BlocksAddUpAndFollowTheShape) {
  for (const char* name : {"I", "IA", "II", "III"}) {
    const DayShape shape = day_shape(name);
    for (const double minutes : {5.0, 15.0, 30.0, 60.0}) {
      const std::vector<double> blocks =
          day_blocks_m(shape, Length::millimetres(80.0), Duration::minutes(minutes));
      EXPECT_NEAR(sum(blocks), 0.080, 1e-15);
      const auto noon = static_cast<std::ptrdiff_t>(12.0 * 60.0 / minutes);
      EXPECT_NEAR(std::accumulate(blocks.begin(), blocks.begin() + noon, 0.0), 0.080 * day_share(shape, 12.0),
                  1e-12);
      EXPECT_GE(*std::min_element(blocks.begin(), blocks.end()), 0.0);
    }
  }
  EXPECT_THROW(day_shape("IV"), base::InputError);
  EXPECT_THROW(day_blocks_m(DayShape::I, Length::metres(0.1), Duration::minutes(7.0)), base::InputError);
}

TEST(CurveStorm, AlternatingBlocksHaveTheCurvesDepthInEachWorstSpan) {
  const std::vector<double> blocks =
      alternating_blocks_m(curve(), {.duration = Duration::hours(2.0), .block = Duration::minutes(5.0)});
  ASSERT_EQ(blocks.size(), 24U);
  EXPECT_NEAR(sum(blocks), 0.028, 1e-15);
  for (const std::size_t n : {1U, 2U, 3U, 6U, 12U, 24U}) {
    double worst = 0.0;
    for (std::size_t i = 0; i + n <= blocks.size(); ++i) {
      worst = std::max(worst, std::accumulate(blocks.begin() + static_cast<std::ptrdiff_t>(i),
                                              blocks.begin() + static_cast<std::ptrdiff_t>(i + n), 0.0));
    }
    EXPECT_NEAR(worst, depth_within_m(curve(), 300.0 * static_cast<double>(n)), 1e-14) << n;
  }
}

TEST(CurveStorm, ChicagoHasTheCurvesDepthAroundItsPeak) {
  for (const double r : {0.0, 0.25, 0.5, 1.0}) {
    const CurveStorm storm{.duration = Duration::hours(2.0), .block = Duration::minutes(1.0), .peak_at = r};
    const std::vector<double> blocks = chicago_blocks_m(curve(), storm);
    EXPECT_NEAR(sum(blocks), 0.028, 1e-15);
    // A span of 20 min that the peak divides as r.
    const auto from = static_cast<std::ptrdiff_t>(r * (120.0 - 20.0));
    EXPECT_NEAR(std::accumulate(blocks.begin() + from, blocks.begin() + from + 20, 0.0),
                depth_within_m(curve(), 1200.0), 1e-14)
        << r;
    const auto peak = std::max_element(blocks.begin(), blocks.end()) - blocks.begin();
    EXPECT_NEAR(static_cast<double>(peak), r * 120.0, 1.1) << r;
  }
}

TEST(CurveStorm, DepthsBetweenTheRowsAreStraightInLogarithms) {
  EXPECT_NEAR(depth_within_m(curve(), 600.0), 0.011, 1e-16);
  EXPECT_NEAR(depth_within_m(curve(), std::sqrt(600.0 * 900.0)), std::sqrt(0.011 * 0.014), 1e-15);
  EXPECT_EQ(depth_within_m(curve(), 0.0), 0.0);
  EXPECT_LT(depth_within_m(curve(), 60.0), 0.007);
  EXPECT_THROW(depth_within_m(curve(), 7300.0), base::InputError);
}

TEST(CurveStorm, TablesThatCannotBeAreRefused) {
  EXPECT_THROW(check(DepthCurve{{{300.0, 0.01}}}), base::InputError);
  EXPECT_THROW(check(DepthCurve{{{300.0, 0.01}, {300.0, 0.02}}}), base::InputError)
      << "duration stands still";
  EXPECT_THROW(check(DepthCurve{{{300.0, 0.01}, {600.0, 0.009}}}), base::InputError) << "less in longer";
  EXPECT_THROW(check(DepthCurve{{{300.0, 0.01}, {600.0, 0.05}}}), base::InputError) << "mean rate rises";
  const CurveStorm odd{.duration = Duration::minutes(62.0), .block = Duration::minutes(5.0)};
  EXPECT_THROW(alternating_blocks_m(curve(), odd), base::InputError);
  const CurveStorm off{.duration = Duration::hours(1.0), .block = Duration::minutes(5.0), .peak_at = 1.5};
  EXPECT_THROW(chicago_blocks_m(curve(), off), base::InputError);
}

}  // namespace
}  // namespace curbshed::water
