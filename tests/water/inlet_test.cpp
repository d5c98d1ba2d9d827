#include "curbshed/water/inlet.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

using base::Length;
using base::Roughness;
using base::Slope;

GutterSection gutter(double grade = 0.01) {
  return {.grade = Slope::fraction(grade),
          .cross_slope = Slope::fraction(0.02),
          .roughness = Roughness::manning(0.016)};
}
RawOpening opening(double length_m) {
  return raw_opening({.gutter = gutter(), .clear_length = Length::metres(length_m)});
}
InletShape grate(double length_m, double width_m) {
  return {.kind = InletKind::Grate, .clear_length_m = length_m, .width_m = width_m, .open_share = 0.5};
}

TEST(Rating, RunsStraightBetweenItsPairsAndStopsAtTheLast) {
  const Rating rating{.by_depth = true, .pairs = {{0.05, 0.010}, {0.10, 0.030}, {0.20, 0.050}}};
  EXPECT_EQ(rated_m3_s(rating, -1.0), 0.0);
  EXPECT_EQ(rated_m3_s(rating, 0.0), 0.0);
  EXPECT_NEAR(rated_m3_s(rating, 0.025), 0.005, 1e-15);  // from nothing at no depth
  EXPECT_NEAR(rated_m3_s(rating, 0.05), 0.010, 1e-15);
  EXPECT_NEAR(rated_m3_s(rating, 0.075), 0.020, 1e-15);
  EXPECT_EQ(rated_m3_s(rating, 3.0), 0.050);
  EXPECT_EQ(rated_m3_s({.by_depth = true, .pairs = {{0.0, 0.002}, {0.1, 0.004}}}, 0.05), 0.003);
}

// Worked by hand from the equations of kGrateSource: Q 0.05 m3/s on 1 %, Sx 2 %, n 0.016.
// T = (0.05 / (0.376/0.016 · 0.02^(5/3) · 0.1))^(3/8) = 2.722 m, A = 0.0741 m2, V = 0.675 m/s;
// W 0.6 m: E0 = 1 − (1 − 0.2204)^(8/3) = 0.4851; L 0.6 m: Rs = 1/(1 + 0.0828 · 0.4929/(0.02 · 0.3089)) =
// 0.1315.
TEST(Grate, TakesTheFrontAndAShareOfTheSide) {
  const RawGutter raw = raw_gutter(gutter());
  const double taken = inlet_on_grade_m3_s(grate(0.6, 0.6), {}, raw, 0.05);
  EXPECT_NEAR(taken, 0.05 * (0.4851 + 0.5149 * 0.1315), 2e-5);
  EXPECT_NEAR(inlet_on_grade_m3_s(grate(0.6, 9.0), {}, raw, 0.05), 0.05, 1e-12);  // wider than the water
  EXPECT_EQ(inlet_on_grade_m3_s(grate(0.0, 0.6), {}, raw, 0.05), 0.0);
  EXPECT_EQ(inlet_on_grade_m3_s(grate(0.6, 0.6), {}, raw, 0.0), 0.0);
}

TEST(Grate, InAPondIsAWeirOverThreeSidesThenAnOrifice) {
  const InletShape one = grate(0.9, 0.6);
  EXPECT_NEAR(inlet_in_pond_m3_s(one, {}, 0.05), 1.66 * 2.1 * std::pow(0.05, 1.5), 1e-12);
  EXPECT_NEAR(inlet_in_pond_m3_s(one, {}, 0.5), 0.67 * 0.27 * std::sqrt(2.0 * 9.80665 * 0.5), 1e-3);
  double last = 0.0;
  for (double depth = 0.0; depth < 1.0; depth += 0.01) {
    EXPECT_GE(inlet_in_pond_m3_s(one, {}, depth), last);
    last = inlet_in_pond_m3_s(one, {}, depth);
  }
}

TEST(Slot, IsACurbOpeningOnGradeAndASlitInAPond) {
  const InletShape slot{.kind = InletKind::Slotted, .clear_length_m = 3.0, .width_m = 0.045};
  const RawGutter raw = raw_gutter(gutter());
  EXPECT_EQ(inlet_on_grade_m3_s(slot, opening(3.0), raw, 0.05), captured_m3_s(opening(3.0), 0.05));
  EXPECT_NEAR(inlet_in_pond_m3_s(slot, {}, 0.04), 1.4 * 3.0 * std::pow(0.04, 1.5), 1e-12);
  EXPECT_NEAR(inlet_in_pond_m3_s(slot, {}, 0.2), 0.8 * 3.0 * 0.045 * std::sqrt(2.0 * 9.80665 * 0.2), 1e-3);
}

TEST(Inlet, ARatingCountsBeforeTheFormulas) {
  const RawGutter raw = raw_gutter(gutter());
  const Rating by_flow{.by_depth = false, .pairs = {{0.02, 0.02}, {0.1, 0.04}}};
  InletShape inlet{.clear_length_m = 1.5, .rating = &by_flow};
  EXPECT_NEAR(inlet_on_grade_m3_s(inlet, opening(1.5), raw, 0.06), 0.03, 1e-12);
  EXPECT_NEAR(inlet_on_grade_m3_s(inlet, opening(1.5), raw, 0.01), 0.01, 1e-12);
  inlet.rated_share = 0.5;  // half clogged
  EXPECT_NEAR(inlet_on_grade_m3_s(inlet, opening(1.5), raw, 0.06), 0.015, 1e-12);
  const RawSagOpening sag{.clear_length_m = 1.5};
  EXPECT_EQ(inlet_in_pond_m3_s(inlet, sag, 0.1), sag_opening_m3_s(sag, 0.1));  // it says nothing about a pond
  const Rating by_depth{.by_depth = true, .pairs = {{0.05, 0.01}, {0.1, 0.05}}};
  inlet.rating = &by_depth;
  EXPECT_NEAR(inlet_in_pond_m3_s(inlet, sag, 0.1), 0.025, 1e-12);
  EXPECT_NEAR(inlet_on_grade_m3_s(inlet, opening(1.5), raw, 0.05),
              0.5 * rated_m3_s(by_depth, depth_at_flow_m(raw, 0.05)), 1e-12);
  const Rating greedy{.by_depth = true, .pairs = {{0.01, 5.0}}};
  inlet.rating = &greedy;
  EXPECT_EQ(inlet_on_grade_m3_s(inlet, opening(1.5), raw, 0.05), 0.05);  // never more than comes
}

TEST(Inlet, ACurbOpeningIsWhatItAlwaysWas) {
  const InletShape inlet{.clear_length_m = 1.5};
  const RawSagOpening sag{.clear_length_m = 1.5, .height_m = 0.15};
  EXPECT_EQ(inlet_on_grade_m3_s(inlet, opening(1.5), raw_gutter(gutter()), 0.05),
            captured_m3_s(opening(1.5), 0.05));
  EXPECT_EQ(inlet_in_pond_m3_s(inlet, sag, 0.3), sag_opening_m3_s(sag, 0.3));
}

}  // namespace
}  // namespace curbshed::water
