#include "curbshed/base/quantity.hpp"

#include "curbshed/base/error.hpp"

#include <limits>

#include <gtest/gtest.h>

namespace curbshed::base {
namespace {

constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();

TEST(Quantity, UnitsAreThoseOfTheirDefinitions) {
  EXPECT_DOUBLE_EQ(Length::inches(18).in_metres(), 0.4572);
  EXPECT_DOUBLE_EQ(Length::feet(100).in_metres(), 30.48);
  // NIST Special Publication 811, appendix B.8: 1 US survey foot = 3.048 006 E-01 m; 1 gallon = 3.785 412 L;
  // 1 acre (43560 square feet, international) = 4046.856 m2.
  EXPECT_NEAR(Length::us_survey_feet(1).in_metres(), 0.3048006, 5e-8);
  EXPECT_NEAR(Volume::gallons(1).in_litres(), 3.785412, 5e-7);
  EXPECT_NEAR(Area::acres(1).in_square_metres(), 4046.856, 5e-4);
  EXPECT_NEAR(Volume::cubic_feet(1).in_litres(), 28.31685, 5e-6);
  EXPECT_DOUBLE_EQ(Rate::inches_per_hour(1).in_millimetres_per_hour(), 25.4);
  EXPECT_DOUBLE_EQ(Duration::hours(1.5).in_minutes(), 90.0);
}

TEST(Quantity, ReadersUndoMakers) {
  EXPECT_NEAR(Length::feet(7.25).in_feet(), 7.25, 1e-12);
  EXPECT_NEAR(Area::square_feet(40).in_square_feet(), 40, 1e-12);
  EXPECT_NEAR(Flow::cubic_feet_per_second(1.8).in_cubic_feet_per_second(), 1.8, 1e-12);
  EXPECT_NEAR(Volume::gallons(55).in_gallons(), 55, 1e-12);
  EXPECT_NEAR(Rate::inches_per_hour(2).in_inches_per_hour(), 2, 1e-12);
}

TEST(Quantity, AddsComparesAndMultiplies) {
  const Length a = Length::metres(2);
  EXPECT_DOUBLE_EQ((a + Length::centimetres(50)).in_metres(), 2.5);
  EXPECT_DOUBLE_EQ((2.0 * a / 4.0).in_metres(), 1.0);
  EXPECT_DOUBLE_EQ(a / Length::metres(0.5), 4.0);
  EXPECT_LT(Length::feet(1), Length::metres(1));
  EXPECT_DOUBLE_EQ((a * a * Length::metres(3)).in_cubic_metres(), 12.0);
  // 10 mm/h on a hectare for an hour is 100 m3.
  const Flow q = Area::square_metres(10000) * Rate::millimetres_per_hour(10);
  EXPECT_NEAR((q * Duration::hours(1)).in_cubic_metres(), 100.0, 1e-10);
}

TEST(Quantity, RefusesWhatIsNotANumberOrOutOfRange) {
  EXPECT_THROW(Length::metres(kNaN), InputError);
  EXPECT_THROW(Volume::litres(std::numeric_limits<double>::infinity()), InputError);
  EXPECT_THROW(Slope::fraction(-0.001), InputError);
  EXPECT_THROW(Slope::fraction(kNaN), InputError);
  EXPECT_THROW(RunoffFraction::of(1.01), InputError);
  EXPECT_THROW(Roughness::manning(0.0), InputError);
  EXPECT_THROW(Efficiency::of(-0.1), InputError);
  EXPECT_NO_THROW(Porosity::of(1.0));
  EXPECT_DOUBLE_EQ(Slope::percent(2).as_fraction(), 0.02);
  try {
    Slope::fraction(11);
    FAIL();
  } catch (const InputError& e) {
    EXPECT_STREQ(e.what(), "11 is not usable as slope. Allowed: 0 to 10. Do: give a number in this range.");
  }
}

}  // namespace
}  // namespace curbshed::base
