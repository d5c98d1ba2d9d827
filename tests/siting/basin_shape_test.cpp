#include "curbshed/siting/basin_shape.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace curbshed::siting {
namespace {

using base::Point;

// By hand: floor 2.4 × 0.9, 2:1, 0.15 m up to the water line 3.0 × 1.5, 0.05 m more to the rim 3.2 × 1.7.
const DugBasin kBasin{.length_m = 3.0,
                      .width_m = 1.5,
                      .side_slope = 2.0,
                      .ponding_m = 0.15,
                      .drop_m = 0.05,
                      .mulch_m = 0.075,
                      .ground_above_water_m = 0.15};

TEST(BasinShape, FrustumByHand) {
  const DugFigures figures = figures_of(kBasin);
  EXPECT_NEAR(figures.floor_m2, 2.4 * 0.9, 1e-12);
  EXPECT_NEAR(figures.water_m2, 4.5, 1e-12);
  EXPECT_NEAR(figures.rim_m2, 3.2 * 1.7, 1e-12);
  // Simpson over 0.20 m: (2.16 + 4 · 2.8 · 1.3 + 5.44) · 0.20 / 6
  EXPECT_NEAR(figures.frustum_m3, (2.16 + 4.0 * 2.8 * 1.3 + 5.44) * 0.20 / 6.0, 1e-12);
  EXPECT_NEAR(figures.held_m3, (2.16 + 4.0 * 2.7 * 1.2 + 4.5) * 0.15 / 6.0, 1e-12);
  EXPECT_NEAR(figures.mulch_m3, 2.16 * 0.075, 1e-12);
  EXPECT_NEAR(figures.above_m3, 5.44 * 0.10, 1e-12);
  EXPECT_NEAR(figures.dug_m3(), figures.frustum_m3 + 0.162 + 0.544, 1e-12);
}

TEST(BasinShape, FrustumEqualsThinSlices) {
  const DugFigures figures = figures_of(kBasin);
  constexpr int kSlices = 20000;
  const double depth_m = kBasin.ponding_m + kBasin.drop_m;
  double sum_m3 = 0.0;
  for (int i = 0; i < kSlices; ++i) {
    const double up_m = (i + 0.5) / kSlices * depth_m;
    sum_m3 += (2.4 + 4.0 * up_m) * (0.9 + 4.0 * up_m) * depth_m / kSlices;
  }
  EXPECT_NEAR(figures.frustum_m3, sum_m3, 1e-9);
}

TEST(BasinShape, GroundUnderTheRimAddsNothing) {
  DugBasin low = kBasin;
  low.ground_above_water_m = 0.02;
  EXPECT_EQ(figures_of(low).above_m3, 0.0);
}

TEST(BasinShape, NoFloorIsOurBug) {
  DugBasin steep = kBasin;
  steep.side_slope = 5.0;
  EXPECT_THROW(figures_of(steep), base::BugError);
}

TEST(BasinShape, OutlineLiesSquareInTheStrip) {
  const double angle = 0.6;
  const auto turned = [&](double a, double b) {
    return Point{1000.0 + a * std::cos(angle) - b * std::sin(angle),
                 2000.0 + a * std::sin(angle) + b * std::cos(angle)};
  };
  const base::Polygon water{{{turned(0, 0), turned(3, 0), turned(3, 1.5), turned(0, 1.5), turned(0, 0)}}};
  const BasinOutline outline = outline_of(water, kBasin);
  EXPECT_NEAR(base::area_m2(outline.rim), 3.2 * 1.7, 1e-9);
  EXPECT_NEAR(base::area_m2(outline.floor), 2.4 * 0.9, 1e-9);
  const Point rim = outline.rim.rings.front().front();
  EXPECT_NEAR(base::distance_m(rim, turned(-0.1, -0.1)), 0.0, 1e-9);
  const Point floor = outline.floor.rings.front()[2];
  EXPECT_NEAR(base::distance_m(floor, turned(2.7, 1.2)), 0.0, 1e-9);
}

}  // namespace
}  // namespace curbshed::siting
