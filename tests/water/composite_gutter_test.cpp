#include "curbshed/water/composite_gutter.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>
#include <random>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

using base::Flow;
using base::Length;
using base::Roughness;
using base::Slope;

CompositeGutter example_si() {
  CompositeGutter g{{Slope::fraction(0.01), Slope::fraction(0.02), Roughness::manning(0.016)}};
  g.width = Length::metres(0.6);
  g.depression = Length::millimetres(50.0);
  return g;
}

// HEC-22, 3rd ed., ch. 4, example 4-2 (1), as printed (from memory): W 0.6 m, S 0.010, Sx 0.020, n 0.016, a
// 50 mm, T 2.5 m: E0 0.70, Q 0.06 m3/s.
TEST(CompositeGutter, PublishedExampleInSi) {
  const CompositeFlow flow = composite_at_spread(example_si(), Length::metres(2.5));
  EXPECT_NEAR(flow.gutter_flow_share, 0.70, 0.005);
  EXPECT_NEAR(flow.flow.in_cubic_metres_per_second(), 0.06, 0.005);
  // The formula itself, worked apart in double precision.
  EXPECT_NEAR(flow.flow.in_cubic_metres_per_second(), 0.06446, 5e-6);
  EXPECT_NEAR(flow.gutter_flow_share, 0.7025, 5e-5);
}

// The same example in feet: W 2 ft, a 2 in, T 8.2 ft: E0 0.70, Q 2.3 ft3/s.
TEST(CompositeGutter, PublishedExampleInFeet) {
  CompositeGutter g = example_si();
  g.width = Length::feet(2.0);
  g.depression = Length::inches(2.0);
  const CompositeFlow flow = composite_at_spread(g, Length::feet(8.2));
  EXPECT_NEAR(flow.gutter_flow_share, 0.7104, 5e-5);
  // The printed US constant carries 0.2 % less.
  EXPECT_NEAR(flow.flow.in_cubic_feet_per_second(), 2.3, 0.05);
}

TEST(CompositeGutter, SharesOfAPlainGutterAreThePublishedOnes) {
  // W/T 0.1 to 0.5 → 0.245, 0.449, 0.614, 0.744, 0.843 (HEC-22's exponent 2.67; from memory).
  CompositeGutter g = example_si();
  g.depression = Length::metres(0.0);
  const double shares[] = {0.245, 0.449, 0.614, 0.744, 0.843};
  for (int i = 0; i < 5; ++i) {
    g.width = Length::metres(0.2 * (i + 1));
    EXPECT_NEAR(composite_at_spread(g, Length::metres(2.0)).gutter_flow_share, shares[i], 6e-4) << i;
  }
}

/// E0 form of HEC-22, eqs. 4-4 to 4-6: another way to the same flow.
double flow_by_share(double factor, double Sx, double Sw, double W, double T) {
  const double ratio = Sw / Sx;
  const double E0 = 1.0 / (1.0 + ratio / (std::pow(1.0 + ratio / (T / W - 1.0), 8.0 / 3.0) - 1.0));
  const double Qs = factor * std::pow(Sx, 5.0 / 3.0) * std::pow(T - W, 8.0 / 3.0);
  return Qs / (1.0 - E0);
}

TEST(CompositeGutter, TrianglesEqualThePublishedShareForm) {
  std::mt19937_64 draw(7);
  std::uniform_real_distribution<double> u(0.0, 1.0);
  for (int i = 0; i < 500; ++i) {
    const double Sx = 0.005 + 0.05 * u(draw);
    const double W = 0.2 + 0.8 * u(draw);
    const double a = 0.002 + 0.1 * u(draw);
    const double T = W * (1.05 + 6.0 * u(draw));
    const double S = 0.002 + 0.05 * u(draw);
    CompositeGutter g{{Slope::fraction(S), Slope::fraction(Sx), Roughness::manning(0.016)}};
    g.width = Length::metres(W);
    g.depression = Length::metres(a);
    const double Q = composite_at_spread(g, Length::metres(T)).flow.in_cubic_metres_per_second();
    EXPECT_NEAR(Q, flow_by_share(kGutterConstant / 0.016 * std::sqrt(S), Sx, Sx + a / W, W, T),
                1e-11 * (1.0 + Q));
  }
}

TEST(CompositeGutter, FlowAndSpreadAreInverses) {
  for (const double Q : {1e-5, 5e-4, 0.003, 0.03, 0.3, 3.0}) {
    const CompositeFlow at_flow = composite_at_flow(example_si(), Flow::cubic_metres_per_second(Q));
    const CompositeFlow back = composite_at_spread(example_si(), at_flow.spread);
    EXPECT_NEAR(back.flow.in_cubic_metres_per_second(), Q, 1e-9 * Q);
  }
}

TEST(CompositeGutter, WithoutADipItIsThePlainGutter) {
  CompositeGutter g = example_si();
  g.width = Length::metres(0.0);
  g.depression = Length::metres(0.0);
  for (const double Q : {1e-4, 0.05, 0.5}) {
    const CompositeFlow flow = composite_at_flow(g, Flow::cubic_metres_per_second(Q));
    const GutterFlow plain = gutter_at_flow(g.section, Flow::cubic_metres_per_second(Q));
    EXPECT_EQ(flow.spread.in_metres(), plain.spread.in_metres());
    EXPECT_NEAR(flow.velocity_m_s, plain.velocity_m_s, 1e-12);
    EXPECT_EQ(flow.gutter_flow_share, 1.0);
  }
}

TEST(CompositeGutter, NonsenseIsRefused) {
  CompositeGutter g = example_si();
  g.width = Length::metres(0.0);
  EXPECT_THROW(composite_at_flow(g, Flow::cubic_metres_per_second(0.01)), base::InputError);
  g = example_si();
  g.depression = Length::metres(-0.01);
  EXPECT_THROW(composite_at_spread(g, Length::metres(1.0)), base::InputError);
}

}  // namespace
}  // namespace curbshed::water
