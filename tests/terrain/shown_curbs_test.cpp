#include "curbshed/terrain/shown_curbs.hpp"

#include "support/crowned_street.hpp"
#include "support/noise.hpp"

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

using testing::crowned_street;
using testing::CrownedStreet;
using testing::StreetShape;

ShownCurb shown_on(const StreetShape& shape, double noise_m) {
  CrownedStreet street = crowned_street(shape);
  if (noise_m > 0.0) testing::add_shared_noise(street.ground, noise_m, 5.0, 7);
  const CurbSettings settings;
  const CurbField field = place_curbs(street.ground, street.pavement, street.curbs, settings);
  return shown_curbs(street.ground, street.curbs, field, settings).front();
}

TEST(ShownCurbs, AStepIsShownAndAContinuedSlopeIsNot) {
  for (const double bearing_deg : {0.0, 20.0, 45.0, 70.0}) {
    for (const double cell_m : {0.5, 1.0}) {
      StreetShape shape;
      shape.bearing_deg = bearing_deg;
      shape.cell_m = cell_m;
      const ShownCurb curb = shown_on(shape, 0.03);
      EXPECT_GT(curb.length_m, 55.0);
      EXPECT_GT(curb.shown_m, 0.95 * curb.known_m) << bearing_deg << " " << cell_m;
      shape.lot_step_m = 0.0;
      EXPECT_LT(shown_on(shape, 0.03).shown_m, 0.1 * curb.length_m) << bearing_deg << " " << cell_m;
    }
  }
}

TEST(ShownCurbs, ASteepLotIsNoStep) {
  StreetShape shape;
  shape.cross_slope = -0.10;  // the pavement rises to the curb
  shape.lot_slope = 0.10;     // and the lot goes on with the same slope
  shape.lot_step_m = 0.0;
  EXPECT_LE(shown_on(shape, 0.0).shown_m, 2.0);  // at the raster's edge one side is not known
}

TEST(ShownCurbs, OutsideTheHeightsNothingIsKnown) {
  const CrownedStreet street = crowned_street(StreetShape{});
  EXPECT_FALSE(step_near(street.ground, {1e4, 0.0}, {1.0, 0.0}, 1.5).has_value());
}

}  // namespace
}  // namespace curbshed::terrain
