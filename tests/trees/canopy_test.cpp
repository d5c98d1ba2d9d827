#include "curbshed/trees/canopy.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace curbshed::trees {
namespace {

CanopyInputs desert_year() {
  CanopyInputs in;
  in.water_m3 = 10.0;
  in.rain_m = 0.2;
  in.reference_et_m = 1.8;
  in.plant_factor = 0.5;
  in.open_ground_m2 = 4.0;
  in.crown_diameter_m = 6.0;
  in.room_m = 3.0;
  in.spacing_m = 6.0;
  return in;
}

TEST(CanopyBound, NeedEqualsWaterAndRainOnOpenGround) {
  // 0.9 m × A = 10 m³ + 0.2 m × 4 m² → A = 12 m².
  const Canopy canopy = canopy_bound(desert_year());
  EXPECT_NEAR(canopy.water_m2, 12.0, 1e-12);
  EXPECT_EQ(canopy.limit, CanopyLimit::Water);
  EXPECT_EQ(canopy.bound_m2, canopy.water_m2);
}

TEST(CanopyBound, PavementFormOfThePublishedRatio) {
  // Critchley & Siegert 1991 (FAO AGL/MISC/17/91, ch. 4), solved for paving per crown as arithmetic on a year
  // of 155.9 mm rain and 1885.8 mm evapotranspiration: PF 0.5, runoff 0.8, efficiency 0.7 → 9.0 m² a m².
  CanopyInputs in = desert_year();
  in.rain_m = 0.1559;
  in.reference_et_m = 1.8858;
  in.open_ground_m2 = 1e6;  // that form lets rain fall on all of the crown
  in.water_m3 = 90.0 * 0.1559 * 0.8 * 0.7;
  EXPECT_NEAR(canopy_bound(in).water_m2, 10.0, 0.02);
}

TEST(CanopyBound, RoomCapsIt) {
  CanopyInputs in = desert_year();
  in.water_m3 = 1000.0;
  const Canopy one = canopy_bound(in);
  EXPECT_EQ(one.trees, 1);
  EXPECT_EQ(one.limit, CanopyLimit::Room);
  EXPECT_NEAR(one.bound_m2, 9.0 * std::numbers::pi, 1e-12);
  in.room_m = 12.0;
  EXPECT_EQ(canopy_bound(in).trees, 3);
}

TEST(CanopyBound, RainAloneMayMeetTheNeed) {
  CanopyInputs in = desert_year();
  in.rain_m = 1.0;
  in.water_m3 = 0.0;
  in.open_ground_m2 = 1000.0;
  const Canopy canopy = canopy_bound(in);
  EXPECT_GE(canopy.water_m2, 1000.0);
  EXPECT_EQ(canopy.limit, CanopyLimit::Room);
}

TEST(CanopyBound, MoreWaterNeverCarriesLess) {
  CanopyInputs in = desert_year();
  double last = -1.0;
  for (double water = 0.0; water < 20.0; water += 0.25) {
    in.water_m3 = water;
    const double now = canopy_bound(in).bound_m2;
    EXPECT_GE(now, last);
    last = now;
  }
}

TEST(CanopyBound, NonsenseIsRefused) {
  for (double CanopyInputs::*member : {&CanopyInputs::reference_et_m, &CanopyInputs::plant_factor,
                                       &CanopyInputs::crown_diameter_m, &CanopyInputs::spacing_m}) {
    CanopyInputs in = desert_year();
    in.*member = 0.0;
    EXPECT_THROW(canopy_bound(in), base::BugError);
  }
}

}  // namespace
}  // namespace curbshed::trees
