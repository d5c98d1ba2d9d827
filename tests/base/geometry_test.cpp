#include "curbshed/base/geometry.hpp"

#include <random>

#include <gtest/gtest.h>

namespace curbshed::base {
namespace {

const Polyline kHook = {{0, 0}, {10, 0}, {10, 5}};
const Polygon kSquareWithHole = {
    .rings = {{{0, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 0}}, {{2, 2}, {2, 4}, {4, 4}, {4, 2}, {2, 2}}}};

TEST(Geometry, LengthAndPointAlong) {
  EXPECT_DOUBLE_EQ(length_m(kHook), 15.0);
  EXPECT_EQ(point_along(kHook, -1), (Point{0, 0}));
  EXPECT_EQ(point_along(kHook, 4), (Point{4, 0}));
  EXPECT_EQ(point_along(kHook, 12), (Point{10, 2}));
  EXPECT_EQ(point_along(kHook, 99), (Point{10, 5}));
  EXPECT_EQ(point_along({{3, 3}}, 2), (Point{3, 3}));
}

TEST(Geometry, NearestPlaceKnowsDistanceAndSide) {
  const LinePlace above = nearest_place(kHook, {4, 2});
  EXPECT_DOUBLE_EQ(above.along_m, 4.0);
  EXPECT_DOUBLE_EQ(above.offset_m, 2.0);
  EXPECT_TRUE(above.left);
  const LinePlace below = nearest_place(kHook, {4, -2});
  EXPECT_FALSE(below.left);
  const LinePlace past = nearest_place(kHook, {10, 8});
  EXPECT_DOUBLE_EQ(past.along_m, 15.0);
  EXPECT_DOUBLE_EQ(past.offset_m, 3.0);
}

TEST(Geometry, SideIsRightAroundSharpCorners) {
  // A needle that points east: everything outside it lies to the right of the line, also ahead of the tip.
  const Polyline needle = {{0, -1}, {100, 0}, {0, 1}};
  EXPECT_FALSE(nearest_place(needle, {101, 0.5}).left);
  EXPECT_FALSE(nearest_place(needle, {101, -0.5}).left);
  EXPECT_TRUE(nearest_place(needle, {50, 0}).left);
  const Polyline ring = {{0, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 0}};  // inside to the left
  EXPECT_FALSE(nearest_place(ring, {-1, -1}).left);
  EXPECT_FALSE(nearest_place(ring, {-0.5, -3}).left);
  EXPECT_TRUE(nearest_place(ring, {1, 1}).left);
}

TEST(Geometry, NearestPlaceSkipsRepeatedPoints) {
  const Polyline line = {{0, 0}, {0, 0}, {4, 0}, {4, 0}, {4, 4}};
  const LinePlace place = nearest_place(line, {5, -1});
  EXPECT_DOUBLE_EQ(place.along_m, 4.0);
  EXPECT_FALSE(place.left);
  EXPECT_DOUBLE_EQ(nearest_place({{1, 1}, {1, 1}}, {1, 3}).offset_m, 2.0);
}

TEST(Geometry, NearestPlaceAgreesWithDenseSampling) {
  const unsigned seed = 20240611;
  SCOPED_TRACE(testing::Message() << "seed " << seed);
  std::mt19937 random(seed);
  const auto number = [&] { return static_cast<double>(random() % 2000) / 100.0; };
  for (int trial = 0; trial < 200; ++trial) {
    Polyline line;
    for (int i = 0; i < 5; ++i) {
      line.push_back({number(), number()});
    }
    const Point p{number(), number()};
    const LinePlace place = nearest_place(line, p);
    double least = 1e9;
    const double length = length_m(line);
    for (int i = 0; i <= 2000; ++i) {
      least = std::min(least, distance_m(p, point_along(line, length * i / 2000.0)));
    }
    EXPECT_LE(place.offset_m, least + 1e-12);
    EXPECT_NEAR(place.offset_m, least, length / 2000.0);
    EXPECT_NEAR(distance_m(point_along(line, place.along_m), place.at), 0.0, 1e-9);
  }
}

TEST(Geometry, ContainsFollowsTheHalfOpenRule) {
  EXPECT_TRUE(contains(kSquareWithHole, {1, 1}));
  EXPECT_FALSE(contains(kSquareWithHole, {3, 3}));
  EXPECT_TRUE(contains(kSquareWithHole, {0, 5}));    // left edge
  EXPECT_TRUE(contains(kSquareWithHole, {5, 0}));    // lower edge
  EXPECT_FALSE(contains(kSquareWithHole, {10, 5}));  // right edge
  EXPECT_FALSE(contains(kSquareWithHole, {5, 10}));  // upper edge
  EXPECT_FALSE(contains(Polygon{}, {0, 0}));
}

TEST(Geometry, NeighboursShareEveryPointOfTheirEdgeOnce) {
  const Point a{1.1, 0.3};
  const Point b{4.7, 9.1};
  const Polygon west = {.rings = {{{-5, 0.3}, a, b, {-5, 9.1}, {-5, 0.3}}}};
  const Polygon east = {.rings = {{a, {12, 0.3}, {12, 9.1}, b, a}}};
  for (int i = 0; i < 1000; ++i) {
    const double share = i / 1000.0;
    const Point p{a.x_m + share * (b.x_m - a.x_m), a.y_m + share * (b.y_m - a.y_m)};
    EXPECT_EQ(contains(west, p) + contains(east, p), 1) << share;
  }
}

TEST(Geometry, AreaTakesHolesOffAndKeepsPrecisionFarFromTheOrigin) {
  EXPECT_DOUBLE_EQ(area_m2(kSquareWithHole), 96.0);
  Polygon far;
  far.rings = {{{4000000, 5000000},
                {4000000.5, 5000000},
                {4000000.5, 5000000.5},
                {4000000, 5000000.5},
                {4000000, 5000000}}};
  EXPECT_DOUBLE_EQ(area_m2(far), 0.25);
  EXPECT_DOUBLE_EQ(area_m2(Polygon{}), 0.0);
}

TEST(Geometry, BoxHoldsEveryPart) {
  Shape shape = line_shape(kHook);
  shape.lines.push_back({{-3, 7}, {1, 1}});
  const Box box = box_of(shape);
  EXPECT_DOUBLE_EQ(box.min_x_m, -3);
  EXPECT_DOUBLE_EQ(box.max_x_m, 10);
  EXPECT_DOUBLE_EQ(box.max_y_m, 7);
  EXPECT_TRUE(box_of(Shape{}).empty());
  EXPECT_FALSE(box_of(point_shape({1, 2})).empty());
  EXPECT_DOUBLE_EQ(box_of(polygon_shape(kSquareWithHole)).max_y_m, 10);
}

TEST(Geometry, AShapeMeetsABoxOnlyWithItsOwnLines) {
  const Box box{.min_x_m = 0.0, .min_y_m = 0.0, .max_x_m = 10.0, .max_y_m = 10.0};
  EXPECT_TRUE(meets(box, point_shape({10.0, 3.0})));
  EXPECT_FALSE(meets(box, point_shape({10.1, 3.0})));
  EXPECT_TRUE(meets(box, line_shape({{-5.0, 5.0}, {15.0, 5.0}})));   // runs through, no point inside
  EXPECT_FALSE(meets(box, line_shape({{-2.0, 9.0}, {2.0, 13.0}})));  // passes the corner outside
  EXPECT_TRUE(meets(box, line_shape({{-2.0, 8.0}, {2.0, 12.0}})));   // touches the corner
  EXPECT_FALSE(meets(box, line_shape({{-5.0, 0.0}, {-5.0, 20.0}, {20.0, 20.0}})));
  const Polygon around{.rings = {{{-5.0, -5.0}, {15.0, -5.0}, {15.0, 15.0}, {-5.0, 15.0}, {-5.0, -5.0}}}};
  EXPECT_TRUE(meets(box, polygon_shape(around)));
  Polygon ring = around;
  ring.rings.push_back({{-1.0, -1.0}, {11.0, -1.0}, {11.0, 11.0}, {-1.0, 11.0}, {-1.0, -1.0}});
  EXPECT_FALSE(meets(box, polygon_shape(ring)));  // the box lies in its hole
}

}  // namespace
}  // namespace curbshed::base
