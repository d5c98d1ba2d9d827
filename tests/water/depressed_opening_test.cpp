#include "curbshed/water/depressed_opening.hpp"

#include "curbshed/base/error.hpp"

#include <random>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

using base::Flow;
using base::Length;
using base::Roughness;
using base::Slope;

CompositeGutter gutter(double grade, double cross_slope) {
  return {{Slope::fraction(grade), Slope::fraction(cross_slope), Roughness::manning(0.016)}};
}

TEST(DepressedOpening, WithoutADipItIsTheExampleWithoutOne) {
  // HEC-22, 3rd ed., example 4-9 (1): S 0.01, Sx 0.02, n 0.016, Q 0.05 m3/s, L 3 m: LT 7.29 m, E 0.61, Qi
  // 0.031 m3/s.
  const OnGradeCapture capture =
      depressed_capture(gutter(0.01, 0.02), Length::metres(3.0), Flow::cubic_metres_per_second(0.05));
  EXPECT_NEAR(capture.full_length.in_metres(), 7.29, 0.005);
  EXPECT_NEAR(capture.efficiency.value(), 0.61, 0.006);
  EXPECT_NEAR(capture.captured.in_cubic_metres_per_second(), 0.031, 0.0005);
}

TEST(DepressedOpening, DipTakesNeverLess) {
  std::mt19937_64 draw(11);
  std::uniform_real_distribution<double> u(0.0, 1.0);
  for (int i = 0; i < 300; ++i) {
    CompositeGutter g = gutter(0.003 + 0.04 * u(draw), 0.01 + 0.04 * u(draw));
    g.width = Length::metres(0.3 + 0.6 * u(draw));
    const Flow Q = Flow::cubic_metres_per_second(0.001 + 0.1 * u(draw));
    const Length L = Length::metres(0.2 + 3.0 * u(draw));
    double last = -1.0;
    for (const double a_mm : {0.0, 10.0, 25.0, 50.0, 75.0}) {
      g.depression = Length::millimetres(a_mm);
      const double E = depressed_capture(g, L, Q).efficiency.value();
      EXPECT_GE(E, last - 1e-12) << i << " at " << a_mm;
      last = E;
    }
  }
}

TEST(SagFlow, PublishedExampleIsAWeir) {
  // HEC-22, 3rd ed., curb opening in a sag (1): L 2.5 m, h 0.13 m, d 0.05 m, no depression: 0.045 m3/s.
  SagOpening opening{.clear_length = Length::metres(2.5), .height = Length::metres(0.13)};
  const SagFlow flow = sag_flow(opening, Length::metres(0.0), Length::metres(0.0), Length::metres(0.05));
  EXPECT_EQ(flow.regime, SagRegime::Weir);
  EXPECT_NEAR(flow.captured.in_cubic_metres_per_second(), 0.045, 0.0005);
}

TEST(SagFlow, RegimesFollowTheDepth) {
  const SagOpening opening{.clear_length = Length::metres(1.0), .height = Length::metres(0.10)};
  const auto regime = [&](double d) {
    return sag_flow(opening, Length::metres(0.0), Length::metres(0.0), Length::metres(d)).regime;
  };
  EXPECT_EQ(regime(0.0), SagRegime::Dry);
  EXPECT_EQ(regime(0.08), SagRegime::Weir);
  EXPECT_EQ(regime(0.12), SagRegime::Between);
  EXPECT_EQ(regime(0.2), SagRegime::Orifice);
}

TEST(SagFlow, DepressedWeirCountsTheDipsWidth) {
  const SagOpening opening{.clear_length = Length::metres(2.0), .height = Length::metres(0.15)};
  const SagFlow flow = sag_flow(opening, Length::metres(0.6), Length::metres(0.05), Length::metres(0.1));
  EXPECT_EQ(flow.regime, SagRegime::Weir);
  EXPECT_NEAR(flow.captured.in_cubic_metres_per_second(), 1.25 * (2.0 + 1.08) * 0.1 * std::sqrt(0.1), 1e-12);
}

TEST(SagFlow, NeverFallsAndNeverJumpsAsTheWaterRises) {
  for (const double length : {0.3, 0.5, 1.5, 3.5, 4.0}) {
    for (const double a : {0.0, 0.02, 0.1}) {
      for (const double width : {0.3, 1.0}) {
        const SagOpening opening{.clear_length = Length::metres(length), .height = Length::metres(0.12)};
        double last = 0.0;
        for (double d = 0.0; d < 0.6; d += 0.0005) {
          const double Q = sag_flow(opening, Length::metres(width), Length::metres(a), Length::metres(d))
                               .captured.in_cubic_metres_per_second();
          EXPECT_GE(Q, last) << "L " << length << " a " << a << " d " << d;
          EXPECT_LE(Q - last, 0.004 * (length + 1.8 * width)) << "L " << length << " a " << a << " d " << d;
          last = Q;
        }
      }
    }
  }
}

TEST(SagFlow, NonsenseIsRefused) {
  const SagOpening opening{.clear_length = Length::metres(1.5), .height = Length::metres(0.12)};
  EXPECT_THROW(sag_flow(opening, Length::metres(0.0), Length::metres(0.05), Length::metres(0.1)),
               base::InputError);
  EXPECT_THROW(sag_flow({.clear_length = Length::metres(-1.0), .height = {}}, Length::metres(0.0),
                        Length::metres(0.0), Length::metres(0.1)),
               base::InputError);
}

}  // namespace
}  // namespace curbshed::water
