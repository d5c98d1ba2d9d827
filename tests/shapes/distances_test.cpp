#include "curbshed/shapes/distances.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include <gtest/gtest.h>

namespace curbshed::shapes {
namespace {

using base::Point;
using base::Polygon;
using base::Polyline;

Polygon rectangle(double x0, double y0, double x1, double y1) {
  return {{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}}};
}

TEST(Distances, OfPointsLinesAndAreas) {
  const Polygon area = rectangle(0, 0, 2, 1);
  EXPECT_DOUBLE_EQ(distance_m(area, base::point_shape({5, 0.5})), 3.0);
  EXPECT_DOUBLE_EQ(distance_m(area, base::point_shape({5, 5})), 5.0);
  EXPECT_DOUBLE_EQ(distance_m(area, base::point_shape({1, 0.5})), 0.0);
  EXPECT_DOUBLE_EQ(distance_m(area, base::line_shape({{-1, 3}, {9, 3}})), 2.0);
  EXPECT_DOUBLE_EQ(distance_m(area, base::line_shape({{-1, 0.5}, {9, 0.5}})), 0.0) << "runs through";
  EXPECT_DOUBLE_EQ(distance_m(area, base::line_shape({{0.5, 0.4}, {1, 0.6}})), 0.0) << "lies in it";
  EXPECT_DOUBLE_EQ(distance_m(area, base::polygon_shape(rectangle(3, 0, 4, 1))), 1.0);
  EXPECT_DOUBLE_EQ(distance_m(area, base::polygon_shape(rectangle(-9, -9, 9, 9))), 0.0) << "lies around it";
  EXPECT_DOUBLE_EQ(distance_m(area, base::polygon_shape(rectangle(2, 0, 3, 1))), 0.0) << "touches";
  EXPECT_TRUE(std::isinf(distance_m(area, base::Shape{})));
  EXPECT_TRUE(std::isinf(distance_m(Polygon{}, base::point_shape({0, 0}))));
}

TEST(Distances, AHoleIsOutside) {
  Polygon ring = rectangle(0, 0, 10, 10);
  ring.rings.push_back({{2, 2}, {2, 8}, {8, 8}, {8, 2}, {2, 2}});
  EXPECT_DOUBLE_EQ(distance_m(rectangle(4, 4, 5, 5), base::polygon_shape(ring)), 2.0);
}

TEST(Distances, EqualDenseSamplesOnRandomLines) {
  std::mt19937 random(20263);
  std::uniform_real_distribution<double> place(0.0, 20.0);
  for (int i = 0; i < 100; ++i) {
    const Polygon area = rectangle(8, 8, 12, 11);
    const Polyline line = {
        {place(random), place(random)}, {place(random), place(random)}, {place(random), place(random)}};
    double sampled_m = 1e9;
    for (int k = 0; k <= 4000; ++k) {
      const Point p = base::point_along(line, base::length_m(line) * k / 4000.0);
      const double dx = std::max({8.0 - p.x_m, 0.0, p.x_m - 12.0});
      const double dy = std::max({8.0 - p.y_m, 0.0, p.y_m - 11.0});
      sampled_m = std::min(sampled_m, std::hypot(dx, dy));
    }
    EXPECT_NEAR(distance_m(area, base::line_shape(line)), sampled_m, 0.02);
    EXPECT_LE(distance_m(area, base::line_shape(line)), sampled_m + 1e-9);
  }
}

TEST(Distances, WaysEnterAndLeaveAreas) {
  const Polygon walk = rectangle(-5, 2, 5, 3.5);
  EXPECT_DOUBLE_EQ(way_to_m({0, 0}, {0, 1}, 10.0, walk).value(), 2.0);
  EXPECT_DOUBLE_EQ(way_within_m({0, 0}, {0, 1}, 10.0, walk), 1.5);
  EXPECT_FALSE(way_to_m({0, 0}, {0, 1}, 1.9, walk));
  EXPECT_FALSE(way_to_m({0, 0}, {0, -1}, 10.0, walk));
  EXPECT_DOUBLE_EQ(way_to_m({0, 2}, {0, 1}, 10.0, walk).value(), 0.0) << "begins on its edge";
  EXPECT_NEAR(way_within_m({0, 2}, {0, 1}, 10.0, walk), 1.5, 1e-9);
  EXPECT_DOUBLE_EQ(way_to_m({0, 3}, {0, 1}, 10.0, walk).value(), 0.0) << "begins in it";
  EXPECT_DOUBLE_EQ(way_within_m({0, 0}, {0, -1}, 10.0, walk), 0.0);
}

}  // namespace
}  // namespace curbshed::shapes
