#include "curbshed/water/full_pipe.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

using base::Flow;
using base::Length;
using base::Roughness;
using base::Slope;

FullPipe pipe(double local) {
  return {.diameter = Length::millimetres(50.0),
          .length = Length::metres(12.0),
          .roughness = Roughness::manning(0.011),
          .local_losses = local};
}

// HEC-22, 3rd ed., example 3-2: 380 mm (15 in), n 0.011, S 0.008: 1.7 m/s, 5.58 ft/s (exponent 0.67, 1.49).
TEST(FullPipe, SpeedOfThePublishedExample) {
  const Slope S = Slope::fraction(0.008);
  const Roughness n = Roughness::manning(0.011);
  EXPECT_NEAR(full_speed_m_s(Length::millimetres(380.0), S, n), 1.7, 0.05);
  EXPECT_NEAR(full_speed_m_s(Length::inches(15.0), S, n) / 0.3048, 5.58, 0.05);
}

TEST(FullPipe, HeadLostIsThatOfTheGradeAtItsOwnSpeed) {
  for (const double S : {0.002, 0.01, 0.08}) {
    const double V = full_speed_m_s(Length::millimetres(50.0), Slope::fraction(S), Roughness::manning(0.011));
    const Flow Q = Flow::cubic_metres_per_second(V * 3.14159265358979 * 0.05 * 0.05 / 4.0);
    EXPECT_NEAR(head_lost(pipe(0.0), Q).lost.in_metres(), 12.0 * S, 1e-12);
    EXPECT_NEAR(head_lost(pipe(2.5), Q).local.in_metres(), 2.5 * V * V / (2.0 * 9.80665), 1e-12);
  }
}

TEST(FullPipe, FlowAtADropLosesThatDrop) {
  for (const double drop : {0.01, 0.1, 1.0}) {
    const Flow Q = flow_at_drop(pipe(2.5), Length::metres(drop));
    EXPECT_NEAR(head_lost(pipe(2.5), Q).lost.in_metres(), drop, 1e-12);
  }
  EXPECT_EQ(flow_at_drop(pipe(2.5), Length::metres(-0.2)).in_cubic_metres_per_second(), 0.0);
  EXPECT_EQ(head_lost(pipe(2.5), Flow::litres_per_second(0.0)).lost.in_metres(), 0.0);
}

TEST(FullPipe, NonsenseIsRefused) {
  FullPipe bad = pipe(-1.0);
  EXPECT_THROW(head_lost(bad, Flow::litres_per_second(1.0)), base::InputError);
  bad = pipe(0.0);
  bad.diameter = Length::metres(0.0);
  EXPECT_THROW(head_lost(bad, Flow::litres_per_second(1.0)), base::InputError);
  EXPECT_THROW(head_lost(pipe(1.0), Flow::litres_per_second(-1.0)), base::InputError);
  bad = pipe(0.0);
  bad.length = Length::metres(0.0);
  EXPECT_THROW(flow_at_drop(bad, Length::metres(1.0)), base::InputError);
}

}  // namespace
}  // namespace curbshed::water
