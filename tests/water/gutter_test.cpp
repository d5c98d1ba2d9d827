#include "curbshed/water/gutter.hpp"

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

const GutterSection kExample{.grade = Slope::fraction(0.010),
                             .cross_slope = Slope::fraction(0.020),
                             .roughness = Roughness::manning(0.016)};

// HEC-22, 3rd ed., example 4-1 (1): 0.05 m³/s → 2.7 m; 1.8 ft³/s → 9.0 ft, as printed.
TEST(GutterFlow, Hec22Example4_1) {
  EXPECT_NEAR(gutter_at_flow(kExample, Flow::cubic_metres_per_second(0.05)).spread.in_metres(), 2.7, 0.05);
  EXPECT_NEAR(gutter_at_flow(kExample, Flow::cubic_feet_per_second(1.8)).spread.in_feet(), 9.0, 0.05);
  // Unrounded exponents, the SI constant.
  EXPECT_NEAR(gutter_at_flow(kExample, Flow::cubic_metres_per_second(0.05)).spread.in_metres(), 2.722,
              0.0005);
}

// d = z (Q n Sx / S^½)^⅜, z = 1.24 (US): depth 0.1793 ft, spread 8.965 ft; z's two digits allow 0.4 %.
TEST(GutterFlow, DepthForm) {
  const GutterFlow g = gutter_at_flow(kExample, Flow::cubic_feet_per_second(1.8));
  EXPECT_NEAR(g.depth.in_feet(), 0.1793, 0.004 * 0.1793);
  EXPECT_NEAR(g.spread.in_feet(), 8.965, 0.004 * 8.965);
  const double z = 1.443;
  const double d = z * std::pow(0.05 * 0.016 * 0.02 / 0.1, 0.375);
  EXPECT_NEAR(gutter_at_flow(kExample, Flow::cubic_metres_per_second(0.05)).depth.in_metres(), d, 1e-4 * d);
}

TEST(GutterFlow, FlowSpreadAndDepthInvertEachOther) {
  const unsigned seed = 5;
  RecordProperty("seed", static_cast<int>(seed));
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int i = 0; i < 300; ++i) {
    const GutterSection s{.grade = Slope::fraction(0.002 + 0.08 * unit(random)),
                          .cross_slope = Slope::fraction(0.01 + 0.05 * unit(random)),
                          .roughness = Roughness::manning(0.011 + 0.01 * unit(random))};
    const Flow q = Flow::litres_per_second(1e-3 + 200.0 * unit(random));
    const GutterFlow g = gutter_at_flow(s, q);
    EXPECT_NEAR(gutter_at_spread(s, g.spread).flow / q, 1.0, 1e-13);
    EXPECT_NEAR(gutter_at_depth(s, g.depth).flow / q, 1.0, 1e-13);
    const double area = 0.5 * g.spread.in_metres() * g.depth.in_metres();
    EXPECT_NEAR(g.velocity_m_s * area, q.in_cubic_metres_per_second(), 1e-13);
    // Celerity by difference, dQ/dA.
    const GutterFlow more = gutter_at_flow(s, q * 1.00001);
    const double area_more = 0.5 * more.spread.in_metres() * more.depth.in_metres();
    const double by_difference = (more.flow - q).in_cubic_metres_per_second() / (area_more - area);
    EXPECT_NEAR(g.celerity_m_s / by_difference, 1.0, 1e-4);
    const RawGutter raw = raw_gutter(s);
    EXPECT_EQ(celerity_at_flow_m_s(raw, q.in_cubic_metres_per_second()), g.celerity_m_s);
    EXPECT_EQ(depth_at_flow_m(raw, q.in_cubic_metres_per_second()), g.depth.in_metres());
  }
}

TEST(GutterFlow, SpreadGrowsWithDischarge) {
  double before = 0.0;
  for (double q = 0.5; q < 300.0; q *= 1.3) {
    const double spread = gutter_at_flow(kExample, Flow::litres_per_second(q)).spread.in_metres();
    EXPECT_GT(spread, before);
    before = spread;
  }
}

TEST(GutterFlow, UsAndSiInputsOfOneCaseAgree) {
  const double a = gutter_at_flow(kExample, Flow::cubic_feet_per_second(1.8)).spread.in_metres();
  const double b =
      gutter_at_flow(kExample, Flow::cubic_metres_per_second(1.8 * 0.028316846592)).spread.in_metres();
  EXPECT_NEAR(a, b, 1e-9 * b);
}

TEST(GutterFlow, Edges) {
  const GutterFlow none = gutter_at_flow(kExample, Flow::litres_per_second(0.0));
  EXPECT_EQ(none.spread.in_metres(), 0.0);
  EXPECT_EQ(none.velocity_m_s, 0.0);
  GutterSection level = kExample;
  level.grade = Slope::fraction(0.0);
  EXPECT_THROW(gutter_at_flow(level, Flow::litres_per_second(1.0)), base::InputError);
  EXPECT_EQ(gutter_at_flow(level, Flow::litres_per_second(0.0)).depth.in_metres(), 0.0);
  EXPECT_EQ(gutter_at_depth(level, Length::metres(0.05)).flow.in_litres_per_second(), 0.0);
  GutterSection no_cross = kExample;
  no_cross.cross_slope = Slope::fraction(0.0);
  EXPECT_THROW(gutter_at_flow(no_cross, Flow::litres_per_second(1.0)), base::InputError);
  EXPECT_THROW(gutter_at_flow(kExample, Flow::litres_per_second(-1.0)), base::InputError);
}

// HEC-22, 3rd ed., table 4-4; its exponents are rounded, which is worth 0.0012 at T1/T2 0.6.
TEST(MeanSpread, Hec22Table4_4) {
  const double table[] = {0.65, 0.66, 0.68, 0.70, 0.74, 0.77, 0.82, 0.86, 0.90};
  for (int i = 0; i < 9; ++i)
    EXPECT_NEAR(mean_spread_share(0.1 * i), table[i], 0.0062) << "T1/T2 " << 0.1 * i;
  EXPECT_NEAR(mean_spread_share(1.0), 1.0, 1e-12);
  EXPECT_NEAR(mean_spread_share(1.0 - 2e-7), 1.0, 1e-6);
  EXPECT_THROW(mean_spread_share(1.01), base::InputError);
}

}  // namespace
}  // namespace curbshed::water
