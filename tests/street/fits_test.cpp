#include "street/fits.hpp"

#include "support/drawn_ground.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace curbshed::street::detail {
namespace {

std::vector<double> places(double length_m, double step_m) {
  std::vector<double> s;
  for (double at = 0.0; at <= length_m + 1e-9; at += step_m) s.push_back(at);
  return s;
}

TEST(SlopeError, CorrelatedHeightsGiveTheStatedDoubtOverThirtyMetres) {
  // 3 cm correlated over 5 m: 0.14 % over 30 m; white noise would claim less than half of it.
  const double error = slope_error(places(30.0, 1.0), 0.03, 5.0);
  EXPECT_NEAR(error, 0.0014, 0.00006);
  EXPECT_LT(slope_error(places(30.0, 1.0), 0.03, 0.0), 0.5 * error);
}

TEST(SlopeError, DoesNotShrinkWithCellSizeAsWhiteNoiseWould) {
  const double coarse = slope_error(places(30.0, 1.0), 0.03, 5.0);
  const double fine = slope_error(places(30.0, 0.25), 0.03, 5.0);
  EXPECT_NEAR(fine, coarse, 0.05 * coarse);
}

TEST(SlopeError, OnePlaceKnowsNothing) { EXPECT_TRUE(std::isinf(slope_error({1.0}, 0.03, 5.0))); }

TEST(SlopeError, MatchesTheSpreadOfFitsThroughCorrelatedNoise) {
  // Independent path: first-order autoregressive noise has exactly the assumed correlation.
  const std::vector<double> s = places(30.0, 1.0);
  const double pass = std::exp(-1.0 / 5.0);
  testing::Chance chance(20240611);
  double sum = 0.0;
  constexpr int kTrials = 4000;
  for (int trial = 0; trial < kTrials; ++trial) {
    std::vector<double> z(s.size());
    z[0] = 0.03 * chance.bell();
    for (std::size_t i = 1; i < s.size(); ++i)
      z[i] = pass * z[i - 1] + 0.03 * std::sqrt(1.0 - pass * pass) * chance.bell();
    double slope = 0.0;
    double spread = 0.0;
    for (std::size_t i = 0; i < s.size(); ++i) {
      slope += (s[i] - 15.0) * z[i];
      spread += (s[i] - 15.0) * (s[i] - 15.0);
    }
    sum += (slope / spread) * (slope / spread);
  }
  EXPECT_NEAR(std::sqrt(sum / kTrials), slope_error(s, 0.03, 5.0), 0.0001) << "seed 20240611";
}

TEST(TheilSen, OneParkedCarDoesNotTurnTheLine) {
  std::vector<double> s = places(30.0, 0.5);
  std::vector<double> z;
  for (const double at : s) z.push_back(100.0 - 0.01 * at);
  for (std::size_t i = 10; i < 19; ++i) z[i] += 1.4;
  EXPECT_NEAR(theil_sen_slope(s, z), -0.01, 1e-4);
}

TEST(RobustPlane, FindsTheCrossSlopePastOutliers) {
  std::vector<PlanePoint> points;
  for (int i = 0; i <= 40; ++i) {
    for (int k = 1; k <= 6; ++k)
      points.push_back({0.5 * i, 0.5 * k, 100.0 - 0.01 * 0.5 * i + 0.02 * 0.5 * k});
  }
  for (std::size_t i = 30; i < 50; ++i) points[i].z_m += 1.4;
  const PlaneFit fit = robust_plane(points, 0.03, 5.0);
  ASSERT_TRUE(fit.found);
  EXPECT_NEAR(fit.slope_d, 0.02, 0.002);
  EXPECT_GT(fit.slope_d_error, 0.001);
  EXPECT_LT(fit.slope_d_error, 0.02);
}

TEST(RobustPlane, NeedsBreadthAcross) {
  std::vector<PlanePoint> points;
  for (int i = 0; i <= 40; ++i) points.push_back({0.5 * i, 0.5, 100.0});
  EXPECT_FALSE(robust_plane(points, 0.03, 5.0).found);
}

}  // namespace
}  // namespace curbshed::street::detail
