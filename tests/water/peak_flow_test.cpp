#include "curbshed/water/peak_flow.hpp"

#include "curbshed/base/error.hpp"

#include <array>
#include <cmath>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

using base::Area;
using base::Duration;
using base::Length;
using base::Rate;
using base::RunoffFraction;

TEST(RationalFlow, AcreInchAnHour) {
  EXPECT_NEAR(rational_flow(RunoffFraction::of(1.0), Rate::inches_per_hour(1.0), Area::acres(1.0))
                  .in_cubic_feet_per_second(),
              1.0083333333, 1e-9);
  EXPECT_THROW(rational_flow(RunoffFraction::of(1.0), Rate::inches_per_hour(-1.0), Area::acres(1.0)),
               base::InputError);
}

TEST(WeightedByArea, MeanLiesBetweenItsParts) {
  EXPECT_NEAR(weighted_by_area(std::array<AreaPart, 2>{{{1.0, 60.0}, {3.0, 80.0}}}), 75.0, 1e-12);
  EXPECT_THROW(weighted_by_area(std::array<AreaPart, 1>{{{0.0, 60.0}}}), base::InputError);
  EXPECT_THROW(weighted_by_area(std::array<AreaPart, 1>{{{-1.0, 60.0}}}), base::InputError);
}

TEST(CompositeCurveNumber, UnconnectedCountsHalfUnderThirtyPercentOnly) {
  const CurveNumber cn = CurveNumber::of(74);
  EXPECT_NEAR(composite_curve_number(cn, 0.25, 0.5), 78.5, 1e-12);
  EXPECT_NEAR(composite_curve_number(cn, 0.25, 0.0), 80.0, 1e-12);
  EXPECT_NEAR(composite_curve_number(cn, 0.30, 1.0), 81.2, 1e-12);
  EXPECT_EQ(composite_curve_number(cn, 0.0, 1.0), 74.0);
  EXPECT_THROW(composite_curve_number(cn, 1.2, 0.0), base::InputError);
}

TEST(GraphicalPeak, UnitPeakIsContinuousBetweenTheRowsAndHeldBeyond) {
  for (const DayShape shape : {DayShape::I, DayShape::IA, DayShape::II, DayShape::III}) {
    for (const double hours : {0.1, 0.5, 1.5, 10.0}) {
      const auto unit = [&](double ratio) {
        return unit_peak_ft3_s_mi2_in(shape, ratio, Duration::hours(hours));
      };
      EXPECT_EQ(unit(0.02), unit(0.10));
      EXPECT_EQ(unit(0.80), unit(0.50));
      double last = unit(0.10);
      for (double ratio = 0.10; ratio <= 0.51; ratio += 0.001) {
        EXPECT_NEAR(unit(ratio), last, 0.04 * last) << ratio;
        last = unit(ratio);
      }
    }
  }
}

TEST(GraphicalPeak, EdgesAndNonsense) {
  const auto peak = [](double rain_in, double hours) {
    return graphical_peak(DayShape::II, CurveNumber::of(75), Length::inches(rain_in), Duration::hours(hours),
                          Area::acres(100.0))
        .flow.in_cubic_feet_per_second();
  };
  EXPECT_EQ(peak(0.0, 1.0), 0.0);
  EXPECT_EQ(peak(0.5, 1.0), 0.0) << "all of it abstracted";
  EXPECT_GT(peak(6.0, 0.5), peak(6.0, 1.0));
  EXPECT_THROW(peak(6.0, 0.05), base::InputError);
  EXPECT_THROW(peak(6.0, 11.0), base::InputError);
}

}  // namespace
}  // namespace curbshed::water
