#include "curbshed/water/powers.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/water/gutter.hpp"
#include "curbshed/water/opening.hpp"
#include "curbshed/water/root.hpp"

#include <cmath>
#include <cstddef>
#include <limits>
#include <random>
#include <vector>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

/// Spread evenly over the orders of magnitude.
std::vector<double> values(std::size_t count, double least_log2, double most_log2) {
  std::mt19937_64 random(20);
  std::uniform_real_distribution<double> log2(least_log2, most_log2);
  std::vector<double> out(count);
  for (double& x : out) x = std::exp2(log2(random));
  return out;
}

double off(double got, long double true_value) {
  return static_cast<double>(std::fabs(static_cast<long double>(got) / true_value - 1.0L));
}

TEST(Powers, AreWithinTheirBoundOfTheLibrarys) {
  for (const double x : values(100'000, -90.0, 30.0)) {
    const auto exact = static_cast<long double>(x);
    ASSERT_LT(off(cube_root(x), std::cbrt(exact)), 4e-16) << x;
    ASSERT_LT(off(power_8_3(x), std::pow(exact, 8.0L / 3.0L)), 2e-15) << x;
    ASSERT_LT(off(power_3_8(x), std::pow(exact, 3.0L / 8.0L)), 2e-15) << x;
  }
}

TEST(Powers, ManyAtOnceAreWithinTheirBoundOfTheLibrarys) {
  const std::vector<double> from = values(4001, -60.0, 30.0);
  std::vector<double> to(from.size());
  for (const double exponent : {0.1, 0.42, 0.51, 1.0, 1.8, 2.6}) {
    powers(from, exponent, to);
    for (std::size_t i = 0; i < from.size(); ++i) {
      const long double exact =
          std::pow(static_cast<long double>(from[i]), static_cast<long double>(exponent));
      if (exact > 1e-12L && exact < 1e12L) {
        ASSERT_LT(off(to[i], exact), 1e-13) << from[i] << " to the " << exponent;
      }
    }
  }
}

TEST(Powers, PlaceInTheListChangesNoBit) {
  const std::vector<double> from = values(41, -40.0, 10.0);
  std::vector<double> whole(from.size());
  powers(from, 0.42, whole);
  for (std::size_t i = 0; i < from.size(); ++i) {
    double alone = 0.0;
    powers({&from[i], 1}, 0.42, {&alone, 1});
    EXPECT_EQ(alone, whole[i]);
  }
}

TEST(Powers, NothingGivesNothing) {
  const std::vector<double> from = {0.0, 1e-310, std::numeric_limits<double>::denorm_min(), 1.0};
  std::vector<double> to(4, -1.0);
  powers(from, 1.8, to);
  EXPECT_EQ(to, (std::vector<double>{0.0, 0.0, 0.0, 1.0}));
  EXPECT_EQ(cube_root(0.0), 0.0);
  EXPECT_EQ(power_8_3(0.0), 0.0);
  EXPECT_EQ(power_3_8(0.0), 0.0);
  EXPECT_THROW(powers(from, 1.8, std::span(to).first(3)), base::BugError);
  EXPECT_THROW(powers(from, 0.0, to), base::BugError);
}

TEST(Powers, ListsOfDepthsAndCapturesFollowTheSingleOnes) {
  const GutterSection section{.grade = base::Slope::fraction(0.01),
                              .cross_slope = base::Slope::fraction(0.02),
                              .roughness = base::Roughness::manning(0.016)};
  const RawGutter gutter = raw_gutter(section);
  const RawOpening opening =
      raw_opening({.gutter = section, .clear_length = base::Length::metres(0.6)}, OnGradeTable());
  std::vector<double> flows = values(2000, -40.0, 3.0);
  flows.front() = 0.0;
  std::vector<double> depths(flows.size());
  std::vector<double> captured(flows.size());
  depths_at_flows_m(gutter, flows, depths);
  captured_m3_s(opening, flows, captured);
  for (std::size_t i = 0; i < flows.size(); ++i) {
    ASSERT_EQ(depths[i], depth_at_flow_m(gutter, flows[i]));
    ASSERT_NEAR(captured[i], captured_m3_s(opening, flows[i]), 1e-13 * flows[i]);
    ASSERT_LE(captured[i], flows[i]);
  }
  EXPECT_EQ(captured.front(), 0.0);
}

TEST(CapturedFlows, OfManyAreNeverUnderNothing) {
  std::vector<double> flows = {-1e-18, 0.0};
  for (double flow = 1e-9; flow < 10.0; flow *= 1.01) {
    flows.push_back(flow);
  }
  std::vector<double> captured(flows.size());
  for (const double length_m : {0.0, 1e-12, 1e-6, 0.3}) {
    const RawOpening opening = raw_opening({.gutter = {.grade = base::Slope::fraction(0.02),
                                                       .cross_slope = base::Slope::fraction(0.02),
                                                       .roughness = base::Roughness::manning(0.016)},
                                            .clear_length = base::Length::metres(length_m)});
    captured_m3_s(opening, flows, captured);
    for (std::size_t i = 0; i < flows.size(); ++i) {
      ASSERT_GE(captured[i], 0.0) << length_m << ", " << flows[i];
      ASSERT_LE(captured[i], std::max(0.0, flows[i]));
    }
  }
}

TEST(SmoothRoot, MeetsTheBracketedOneAndLeavesKinksToIt) {
  std::mt19937_64 random(21);
  std::uniform_real_distribution<double> one(0.01, 1.0);
  for (int i = 0; i < 1000; ++i) {
    const double a = one(random);
    const double b = 100.0 * one(random);
    const double c = 0.2 * a * one(random);  // a pool that ends within decimetres
    const auto f = [&](double x) { return a * x + b * std::pow(x, 8.0 / 3.0) - c; };
    const Bracket bracket{.low = 0.0, .high = c / a};
    const std::optional<double> root = smooth_root(bracket, [&](double x) {
      const double slope = a + 8.0 / 3.0 * b * std::pow(x, 5.0 / 3.0);
      return CurvePoint{f(x), slope, 40.0 / 9.0 * b * std::pow(x, 2.0 / 3.0)};
    });
    ASSERT_TRUE(root.has_value());
    ASSERT_NEAR(*root, lower_root(bracket, f).at, 4.0 * kRootWithin);
  }
  const auto fall = [](double) { return CurvePoint{-1.0, 1.0, 0.0}; };
  EXPECT_FALSE(smooth_root({.low = 0.0, .high = 1.0}, fall).has_value());
}

}  // namespace
}  // namespace curbshed::water
