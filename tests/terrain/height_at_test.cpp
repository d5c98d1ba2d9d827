#include "curbshed/terrain/height_at.hpp"

#include "support/drawn_ground.hpp"

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

using testing::drawn_ground;
using testing::ground_by;

TEST(HeightAt, IsExactOnAPlane) {
  const auto plane = [](base::Point p) { return 10.0 + 0.25 * p.x_m - 0.5 * p.y_m; };
  const Ground ground = ground_by(20, 30, 0.5, plane);
  for (const base::Point p : {base::Point{0.0, 0.0}, {1.13, -2.41}, {-6.9, 4.6}, {7.2, -4.7}}) {
    EXPECT_NEAR(height_at(ground, p).value(), plane(p), 1e-5);
  }
}

TEST(HeightAt, TakesTheOwnCellAtTheRimAndBesideHoles) {
  // Cells of 1 m, middle at (0, 0): centres at −1, 0, 1.
  const Ground ground = drawn_ground("1 2 3\n4 . 6\n7 8 9\n");
  EXPECT_EQ(height_at(ground, {-1.4, 1.4}), 1.0);
  EXPECT_EQ(height_at(ground, {-0.6, 0.6}), 1.0);
  EXPECT_FALSE(height_at(ground, {0.1, 0.1}).has_value());
  EXPECT_FALSE(height_at(ground, {9.0, 0.0}).has_value());
}

}  // namespace
}  // namespace curbshed::terrain
