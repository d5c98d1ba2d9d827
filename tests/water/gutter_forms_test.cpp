#include "curbshed/water/gutter_forms.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>
#include <random>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

using base::Flow;
using base::Length;

GutterSection section(double grade, double cross_slope, double roughness = 0.016) {
  return {base::Slope::fraction(grade), base::Slope::fraction(cross_slope),
          base::Roughness::manning(roughness)};
}
CompositeGutter dipped(double grade, double cross_slope, double width_m, double dip) {
  return {.section = section(grade, cross_slope),
          .width = Length::metres(width_m),
          .depression = Length::metres(dip)};
}
ParabolicStreet crowned(double grade, double height_m, double half_m) {
  return {.grade = base::Slope::fraction(grade),
          .crown_height = Length::metres(height_m),
          .half_width = Length::metres(half_m),
          .roughness = base::Roughness::manning(0.016)};
}

TEST(GutterForms, PlainNumbersAreThoseOfTheDippedGutter) {
  std::mt19937_64 random(31);
  std::uniform_real_distribution<double> u(0.0, 1.0);
  for (int i = 0; i < 400; ++i) {
    const CompositeGutter gutter = dipped(0.003 + 0.05 * u(random), 0.01 + 0.05 * u(random),
                                          0.3 + 0.6 * u(random), 0.01 + 0.06 * u(random));
    const RawGutter g = raw_gutter(gutter);
    const double Q = std::pow(10.0, -5.0 + 5.0 * u(random));
    const CompositeFlow full = composite_at_flow(gutter, Flow::cubic_metres_per_second(Q));
    EXPECT_NEAR(spread_at_flow_m(g, Q), full.spread.in_metres(), 1e-9) << i;
    EXPECT_NEAR(depth_at_flow_m(g, Q), full.depth.in_metres(), 1e-9) << i;
    EXPECT_NEAR(velocity_at_flow_m_s(g, Q), full.velocity_m_s, 1e-8 * full.velocity_m_s) << i;
    EXPECT_NEAR(flow_share_within(g, gutter.width.in_metres(), Q), full.gutter_flow_share, 1e-8) << i;
    EXPECT_NEAR(flow_at_depth_m3_s(g, depth_at_flow_m(g, Q)), Q, 1e-12 * Q) << i;
    EXPECT_NEAR(flow_at_spread_m3_s(g, spread_at_flow_m(g, Q)), Q, 1e-12 * Q) << i;
  }
}

TEST(GutterForms, PlainNumbersAreThoseOfTheParabola) {
  std::mt19937_64 random(32);
  std::uniform_real_distribution<double> u(0.0, 1.0);
  for (int i = 0; i < 200; ++i) {
    const double half_m = 3.0 + 4.0 * u(random);
    const ParabolicStreet street = crowned(0.003 + 0.05 * u(random), 0.08 + 0.15 * u(random), half_m);
    const RawGutter g = raw_gutter(street);
    const GutterFlow full = parabolic_at_spread(street, Length::metres(half_m * (0.02 + 0.97 * u(random))));
    const double Q = full.flow.in_cubic_metres_per_second();
    EXPECT_NEAR(flow_at_spread_m3_s(g, full.spread.in_metres()), Q, 1e-9 * Q) << i;
    EXPECT_NEAR(spread_at_flow_m(g, Q), full.spread.in_metres(), 1e-6) << i;
    EXPECT_NEAR(depth_at_flow_m(g, Q), full.depth.in_metres(), 1e-9) << i;
    EXPECT_NEAR(velocity_at_flow_m_s(g, Q), full.velocity_m_s, 1e-7 * full.velocity_m_s) << i;
    EXPECT_NEAR(celerity_at_flow_m_s(g, Q), full.celerity_m_s, 1e-4 * full.celerity_m_s) << i;
  }
}

TEST(GutterForms, NothingJumpsWhereTheFormChanges) {
  const RawGutter dip = raw_gutter(dipped(0.01, 0.02, 0.6, 0.05));
  const RawGutter crown = raw_gutter(crowned(0.01, 0.15, 5.0));
  for (const auto& [g, depth_m] : {std::pair(dip, 0.02 * 0.6 + 0.05), std::pair(crown, 0.15)}) {
    const double under = flow_at_depth_m3_s(g, depth_m * (1.0 - 1e-9));
    const double over = flow_at_depth_m3_s(g, depth_m * (1.0 + 1e-9));
    EXPECT_GT(over, under);
    EXPECT_NEAR(over, under, 1e-7 * under);
    EXPECT_NEAR(area_at_depth_m2(g, depth_m * (1.0 + 1e-9)), area_at_depth_m2(g, depth_m * (1.0 - 1e-9)),
                1e-8);
  }
  // Over the crown: deeper, no wider.
  const double most = flow_at_depth_m3_s(crown, 0.15);
  EXPECT_EQ(spread_at_flow_m(crown, 2.0 * most), 5.0);
  EXPECT_GT(depth_at_flow_m(crown, 2.0 * most), 0.16);
  EXPECT_NEAR(flow_at_depth_m3_s(crown, depth_at_flow_m(crown, 2.0 * most)), 2.0 * most, 1e-9);
}

TEST(GutterForms, DepthAndSpeedGrowWithTheFlow) {
  const RawGutter all[] = {raw_gutter(section(0.01, 0.02)), raw_gutter(dipped(0.01, 0.02, 0.6, 0.05)),
                           raw_gutter(crowned(0.01, 0.15, 5.0))};
  for (const RawGutter& g : all) {
    EXPECT_EQ(depth_at_flow_m(g, 0.0), 0.0);
    EXPECT_EQ(spread_at_flow_m(g, 0.0), 0.0);
    EXPECT_EQ(velocity_at_flow_m_s(g, 0.0), 0.0);
    EXPECT_EQ(celerity_at_flow_m_s(g, 0.0), 0.0);
    EXPECT_EQ(flow_share_within(g, 0.5, 0.0), 1.0);
    double last_depth = 0.0;
    double last_share = 1.0;
    for (double Q = 1e-5; Q < 2.0; Q *= 1.3) {
      EXPECT_GT(depth_at_flow_m(g, Q), last_depth);
      EXPECT_LE(flow_share_within(g, 0.5, Q), last_share);
      EXPECT_GT(celerity_at_flow_m_s(g, Q), 0.9 * velocity_at_flow_m_s(g, Q));
      last_depth = depth_at_flow_m(g, Q);
      last_share = flow_share_within(g, 0.5, Q);
    }
  }
}

// Brute force: thin strips of Manning's law.
TEST(GutterForms, ShareWithinAWidthIsThatOfTheStrips) {
  const RawGutter dip = raw_gutter(dipped(0.01, 0.02, 0.6, 0.05));
  const RawGutter crown = raw_gutter(crowned(0.01, 0.15, 5.0));
  const auto ground_m = [](const RawGutter& g, double x) {  // over the foot of the curb
    if (g.form == GutterForm::Parabolic) {
      const double w = std::min(1.0, x / g.width_m);
      return g.drop_m * w * (2.0 - w);
    }
    return x <= g.width_m ? (g.cross_slope + g.drop_m / g.width_m) * x : g.cross_slope * x + g.drop_m;
  };
  for (const RawGutter& g : {dip, crown}) {
    for (const double width_m : {0.3, 0.6, 1.1}) {
      for (const double Q : {0.004, 0.03, 0.1}) {
        const double d = depth_at_flow_m(g, Q);
        const double T = spread_at_depth_m(g, d);
        double inner = 0.0;
        double all = 0.0;
        constexpr int kStrips = 200000;
        for (int i = 0; i < kStrips; ++i) {
          const double x = T * (i + 0.5) / kStrips;
          const double part = std::pow(std::max(0.0, d - ground_m(g, x)), 5.0 / 3.0);
          all += part;
          inner += x < width_m ? part : 0.0;
        }
        EXPECT_NEAR(flow_share_within(g, width_m, Q), inner / all, 1e-4) << width_m << " " << Q;
      }
    }
  }
}

TEST(GutterForms, AnOpeningSeesTheSlopeOfTheWaterBesideAParabola) {
  const RawGutter crown = raw_gutter(crowned(0.01, 0.15, 5.0));
  EXPECT_NEAR(slope_at_flow(crown, 1e-6), 2.0 * 0.15 / 5.0, 0.002);  // 2 H/B at the curb
  EXPECT_NEAR(slope_at_flow(crown, 10.0), depth_at_flow_m(crown, 10.0) / 5.0, 1e-12);
  EXPECT_EQ(slope_at_flow(raw_gutter(dipped(0.01, 0.02, 0.6, 0.05)), 0.02), 0.02);
}

TEST(GutterForms, RefusesADipWithoutAWidthAndAFlatCrown) {
  EXPECT_THROW(raw_gutter(dipped(0.01, 0.02, 0.0, 0.05)), base::InputError);
  EXPECT_THROW(raw_gutter(crowned(0.01, 0.0, 5.0)), base::InputError);
  EXPECT_EQ(raw_gutter(dipped(0.01, 0.02, 0.6, 0.0)).form, GutterForm::Straight);
}

}  // namespace
}  // namespace curbshed::water
