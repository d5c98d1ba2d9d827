#include "curbshed/shapes/polygons.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include <gtest/gtest.h>

namespace curbshed::shapes {
namespace {

using base::Point;
using base::Polygon;
using base::Polyline;

Polygon box(double x0, double y0, double x1, double y1) {
  return {{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}}};
}

double area(const std::vector<Polygon>& polygons) {
  double sum = 0.0;
  for (const Polygon& polygon : polygons) sum += base::area_m2(polygon);
  return sum;
}

double turned_area(const Polyline& ring) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    sum += ring[i].x_m * ring[i + 1].y_m - ring[i + 1].x_m * ring[i].y_m;
  }
  return 0.5 * sum;
}

bool same(const std::vector<Polygon>& a, const std::vector<Polygon>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](const Polygon& p, const Polygon& q) { return p.rings == q.rings; });
}

TEST(Shapes, UnionOfAFrameHasAHole) {
  const std::vector<Polygon> frame = {box(0, 0, 10, 2), box(0, 8, 10, 10), box(0, 0, 2, 10),
                                      box(8, 0, 10, 10)};
  const std::vector<Polygon> whole = union_of(frame);
  ASSERT_EQ(whole.size(), 1U);
  ASSERT_EQ(whole[0].rings.size(), 2U);
  EXPECT_NEAR(area(whole), 100.0 - 36.0, 1e-9);
  EXPECT_NEAR(turned_area(whole[0].rings[0]), 100.0, 1e-9);
  EXPECT_NEAR(turned_area(whole[0].rings[1]), -36.0, 1e-9);
  EXPECT_EQ(whole[0].rings[0].front(), (Point{0.0, 0.0}));
}

TEST(Shapes, UnionDoesNotDependOnOrderTurnOrStart) {
  std::vector<Polygon> pieces;
  for (int i = 0; i < 12; ++i) {
    const double a = 0.7 * i;
    pieces.push_back(
        strip({{500000.0, 3560000.0}, {500000.0 + 50.0 * std::cos(a), 3560000.0 + 50.0 * std::sin(a)}},
              1.0 + 0.1 * i, StripEnd::Flat)
            .front());
  }
  const std::vector<Polygon> first = union_of(pieces);
  std::reverse(pieces.begin(), pieces.end());
  for (Polygon& piece : pieces) {
    Polyline& ring = piece.rings.front();
    ring.pop_back();
    std::rotate(ring.begin(), ring.begin() + 2, ring.end());
    ring.push_back(ring.front());
    std::reverse(ring.begin(), ring.end());
  }
  EXPECT_TRUE(same(first, union_of(pieces)));
}

TEST(Shapes, BufferThereAndBackRoundsAnInnerCorner) {
  // An L: its inner corner of 90 degrees gets an arc, which adds r² (1 − π/4).
  const std::vector<Polygon> corner = union_of({box(0, 0, 40, 10), box(0, 0, 10, 40)});
  const std::vector<Polygon> closed = buffer(buffer(corner, 5.0), -5.0);
  EXPECT_NEAR(area(closed) - area(corner), 25.0 * (1.0 - std::numbers::pi / 4.0), 0.15);
  const std::vector<Polygon> grown = buffer({box(0, 0, 10, 10)}, 1.0);
  EXPECT_NEAR(area(grown), 100.0 + 40.0 + std::numbers::pi, 0.01);
}

TEST(Shapes, AStripHasFlatOrRoundEnds) {
  const Polyline line = {{0, 0}, {30, 0}};
  EXPECT_NEAR(area(strip(line, 5.0, StripEnd::Flat)), 300.0, 1e-9);
  EXPECT_NEAR(area(strip(line, 5.0, StripEnd::Round)), 300.0 + 25.0 * std::numbers::pi, 0.2);
  // A mitred bend of 90 degrees: the outer corner is whole.
  EXPECT_NEAR(area(strip({{0, 0}, {30, 0}, {30, 30}}, 2.0, StripEnd::Flat)), 4.0 * 60.0, 1e-6);
  EXPECT_TRUE(strip({{1, 1}, {1, 1}}, 2.0, StripEnd::Flat).empty());
  EXPECT_TRUE(strip({}, 2.0, StripEnd::Flat).empty());
}

TEST(Shapes, OverlapAndRestMakeTheWhole) {
  const std::vector<Polygon> a = {box(0, 0, 10, 10)};
  const std::vector<Polygon> b = {box(5, 5, 20, 20)};
  EXPECT_NEAR(area(overlap(a, b)), 25.0, 1e-9);
  EXPECT_NEAR(area(without(a, b)), 75.0, 1e-9);
  EXPECT_TRUE(overlap(a, {box(50, 50, 60, 60)}).empty());
  EXPECT_TRUE(same(without(a, {}), a));
}

TEST(Shapes, ClipKeepsOrderAndDirection) {
  const Polyline line = {{-5, 1}, {30, 1}};
  const std::vector<Polyline> parts = clip(line, {box(20, 0, 25, 2), box(0, 0, 10, 2)});
  ASSERT_EQ(parts.size(), 2U);
  EXPECT_EQ(parts[0], (Polyline{{0, 1}, {10, 1}}));
  EXPECT_EQ(parts[1], (Polyline{{20, 1}, {25, 1}}));
  EXPECT_TRUE(clip(line, {}).empty());
}

TEST(Shapes, OffsetRunsBesideTheLine) {
  const Polyline line = {{0, 0}, {10, 0}, {10, 10}};
  const std::vector<Polyline> left = offset(line, 2.0);
  ASSERT_EQ(left.size(), 1U);
  EXPECT_NEAR(base::distance_m(left[0].front(), {0, 2}), 0.0, 1e-9);
  EXPECT_NEAR(base::distance_m(left[0].back(), {8, 10}), 0.0, 1e-9);
  const std::vector<Polyline> right = offset(line, -2.0);
  ASSERT_EQ(right.size(), 1U);
  EXPECT_NEAR(base::distance_m(right[0].front(), {0, -2}), 0.0, 1e-9);
  EXPECT_NEAR(base::distance_m(right[0].back(), {12, 10}), 0.0, 1e-9);
}

TEST(Shapes, BadRingsAreMendedOrLeftOut) {
  const Polygon bow = {{{{0, 0}, {10, 10}, {10, 0}, {0, 10}, {0, 0}}}};
  EXPECT_NEAR(area(union_of({bow})), 50.0, 1e-9);
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const Polygon lost = {{{{0, 0}, {nan, 0}, {1, 1}, {0, 0}}}};
  const Polygon flat = {{{{0, 0}, {5, 0}, {0, 0}}}};
  EXPECT_TRUE(union_of({lost, flat, Polygon{}}).empty());
  EXPECT_TRUE(union_of({}).empty());
}

}  // namespace
}  // namespace curbshed::shapes
