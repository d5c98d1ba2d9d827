#include "curbshed/water/parabolic_gutter.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

using base::Flow;
using base::Length;
using base::Roughness;
using base::Slope;

ParabolicStreet street(double crown_m, double half_m) {
  return {.grade = Slope::fraction(0.01),
          .crown_height = Length::metres(crown_m),
          .half_width = Length::metres(half_m),
          .roughness = Roughness::manning(0.016)};
}

/// The handbook's own way: many thin strips.
double by_strips(double H, double B, double T, int strips) {
  const double d = 2.0 * H / B * T - H / (B * B) * T * T;
  double sum = 0.0;
  for (int i = 0; i < strips; ++i) {
    const double x = T * (i + 0.5) / strips;
    const double depth = d - (2.0 * H / B * x - H / (B * B) * x * x);
    sum += std::pow(std::max(0.0, depth), 5.0 / 3.0) * T / strips;
  }
  return 0.1 / 0.016 * sum;
}

TEST(ParabolicGutter, StripsCloseInOnTheIntegral) {
  for (const double T : {0.4, 1.5, 3.0, 4.5}) {
    const double Q =
        parabolic_at_spread(street(0.12, 4.5), Length::metres(T)).flow.in_cubic_metres_per_second();
    EXPECT_NEAR(by_strips(0.12, 4.5, T, 20), Q, 0.003 * Q) << T;
    EXPECT_NEAR(by_strips(0.12, 4.5, T, 20000), Q, 1e-7 * Q) << T;
  }
}

TEST(ParabolicGutter, FlatParabolaIsTheTriangle) {
  // b → 0: Sx = 2H/B; 0.375 is Manning's own constant, 0.376 the printed one.
  const double Sx = 0.02;
  const ParabolicStreet wide = street(Sx * 1e6 / 2.0, 1e6);
  const GutterFlow flow = parabolic_at_spread(wide, Length::metres(2.5));
  const double exact = 0.375 / 0.016 * std::pow(Sx, 5.0 / 3.0) * 0.1 * std::pow(2.5, 8.0 / 3.0);
  EXPECT_NEAR(flow.flow.in_cubic_metres_per_second(), exact, 1e-5 * exact);
  EXPECT_NEAR(flow.depth.in_metres(), 0.05, 1e-6);
  const double wave = 4.0 / 3.0 * flow.velocity_m_s;
  EXPECT_NEAR(flow.celerity_m_s, wave, 1e-4 * wave);
}

TEST(ParabolicGutter, FlowAndSpreadInvertEachOtherAndGrowTogether) {
  double before = 0.0;
  for (double T = 0.05; T <= 4.5; T += 0.05) {
    const GutterFlow at = parabolic_at_spread(street(0.12, 4.5), Length::metres(T));
    EXPECT_GT(at.flow.in_cubic_metres_per_second(), before);
    before = at.flow.in_cubic_metres_per_second();
    EXPECT_NEAR(parabolic_at_flow(street(0.12, 4.5), at.flow).spread.in_metres(), T, 1e-9);
    EXPECT_LE(at.depth.in_metres(), 0.12 + 1e-15);
  }
}

TEST(ParabolicGutter, WhatPassesTheCrownIsRefused) {
  EXPECT_THROW(parabolic_at_spread(street(0.12, 4.5), Length::metres(4.6)), base::InputError);
  EXPECT_THROW(parabolic_at_spread(street(0.12, 4.5), Length::metres(-0.1)), base::InputError);
  EXPECT_THROW(parabolic_at_flow(street(0.12, 4.5), Flow::cubic_metres_per_second(5.0)), base::InputError);
  EXPECT_THROW(parabolic_at_flow(street(0.12, 4.5), Flow::cubic_metres_per_second(-1.0)), base::InputError);
  EXPECT_THROW(parabolic_at_spread(street(0.0, 4.5), Length::metres(1.0)), base::InputError);
  ParabolicStreet level = street(0.12, 4.5);
  level.grade = Slope::fraction(0.0);
  EXPECT_THROW(parabolic_at_flow(level, Flow::litres_per_second(1.0)), base::InputError);
  EXPECT_EQ(parabolic_at_spread(level, Length::metres(1.0)).flow.in_litres_per_second(), 0.0);
  EXPECT_EQ(parabolic_at_flow(street(0.12, 4.5), Flow::litres_per_second(0.0)).spread.in_metres(), 0.0);
}

}  // namespace
}  // namespace curbshed::water
