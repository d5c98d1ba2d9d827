#include "curbshed/siting/candidates_strip.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include <gtest/gtest.h>

namespace curbshed::siting {
namespace {

using base::Point;
using base::Polygon;

Polygon box(double west, double south, double east, double north) {
  return {{{{west, south}, {east, south}, {east, north}, {west, north}, {west, south}}}};
}

constexpr Point kSouth{0.0, -1.0};  // the street lies south of a curb along y = 0

TEST(StripLook, StripUpToTheWalk) {
  BesideShapes shapes;
  shapes[BesideKind::Walk] = {box(-50, 2.2, 50, 3.7)};
  shapes[BesideKind::Lot] = {box(-50, 3.7, 50, 30)};
  const StripProfile profile = StripLook(shapes).at({0, 0}, kSouth);
  ASSERT_TRUE(profile.strip_m);
  EXPECT_NEAR(*profile.strip_m, 2.2, 1e-12);
  EXPECT_TRUE(profile.walk);
  EXPECT_FALSE(profile.walk_at_curb);
  EXPECT_FALSE(profile.blocked);
}

TEST(StripLook, WalkAtTheCurbAndTheLotBehind) {
  BesideShapes shapes;
  shapes[BesideKind::Walk] = {box(-50, 0, 50, 1.5)};
  shapes[BesideKind::Lot] = {box(-50, 1.5, 50, 30)};
  shapes[BesideKind::Building] = {box(-5, 7.5, 5, 20)};
  const StripLook look(shapes);
  const StripProfile before_house = look.at({0, 0}, kSouth);
  EXPECT_TRUE(before_house.walk_at_curb);
  EXPECT_NEAR(before_house.walk_to_m, 1.5, 1e-12);
  ASSERT_TRUE(before_house.behind_m);
  EXPECT_NEAR(*before_house.behind_m, 6.0, 1e-12);
  EXPECT_TRUE(before_house.behind_on_lot);
  EXPECT_FALSE(look.at({20, 0}, kSouth).behind_m);
}

TEST(StripLook, PropertyLineEndsAStripWithoutAWalk) {
  BesideShapes shapes;
  shapes[BesideKind::Lot] = {box(-50, 3.0, 50, 30)};
  const StripProfile profile = StripLook(shapes).at({0, 0}, kSouth);
  EXPECT_NEAR(profile.strip_m.value(), 3.0, 1e-12);
  EXPECT_FALSE(profile.walk);
}

TEST(StripLook, LotOverTheCurbTellsNothing) {
  BesideShapes shapes;
  shapes[BesideKind::Lot] = {box(-50, -5.0, 50, 30)};
  EXPECT_FALSE(StripLook(shapes).at({0, 0}, kSouth).strip_m);
}

TEST(StripLook, PavedGroundAtTheCurbBlocks) {
  BesideShapes shapes;
  shapes[BesideKind::Paved] = {box(-2, 0, 2, 10)};
  const StripLook look(shapes);
  EXPECT_TRUE(look.at({0, 0}, kSouth).blocked);
  EXPECT_FALSE(look.at({3, 0}, kSouth).blocked);
}

TEST(StripLook, ParkingLaneLiesInTheStreet) {
  BesideShapes shapes;
  shapes[BesideKind::Parking] = {box(-50, -2.4, 0, -0.3)};
  const StripLook look(shapes);
  EXPECT_NEAR(look.at({-10, 0}, kSouth).parking_m.value(), 2.4, 1e-12);
  EXPECT_FALSE(look.at({10, 0}, kSouth).parking_m);
}

TEST(StripLook, HolesAreNotCovered) {
  BesideShapes shapes;
  Polygon ring = box(-50, 1, 50, 9);
  ring.rings.push_back(box(-40, 3, 40, 5).rings.front());  // turned the wrong way on purpose
  shapes[BesideKind::Walk] = {ring};
  const auto covered = StripLook(shapes).covered(BesideKind::Walk, {0, 0}, {0, 1});
  ASSERT_EQ(covered.size(), 2U);
  EXPECT_NEAR(covered[0].from_m, 1.0, 1e-12);
  EXPECT_NEAR(covered[0].to_m, 3.0, 1e-12);
  EXPECT_NEAR(covered[1].from_m, 5.0, 1e-12);
}

/// Steps along the ray and asks each polygon.
TEST(StripLook, EqualsSmallStepsAndDoesNotMindOrder) {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> place(-30.0, 30.0);
  std::uniform_real_distribution<double> size(0.5, 12.0);
  std::uniform_real_distribution<double> any_angle(0.0, 6.28);
  BesideShapes shapes;
  for (int i = 0; i < 40; ++i) {
    const Point at{place(random), place(random)};
    base::Polyline ring;
    const int corners = 3 + static_cast<int>(random() % 5);
    const double radius = size(random);
    for (int k = 0; k < corners; ++k) {
      const double angle = 6.283185307179586 * k / corners;
      ring.push_back({at.x_m + radius * std::cos(angle), at.y_m + 0.6 * radius * std::sin(angle)});
    }
    ring.push_back(ring.front());
    if (i % 2 == 0) std::reverse(ring.begin(), ring.end());
    shapes[BesideKind::Paved].push_back({{ring}});
  }
  const StripLook look(shapes);
  BesideShapes shuffled = shapes;
  std::reverse(shuffled[BesideKind::Paved].begin(), shuffled[BesideKind::Paved].end());
  const StripLook other(shuffled);
  for (int i = 0; i < 200; ++i) {
    const Point from{place(random), place(random)};
    const double angle = any_angle(random);
    const Point direction{std::cos(angle), std::sin(angle)};
    const auto covered = look.covered(BesideKind::Paved, from, direction);
    EXPECT_EQ(covered, other.covered(BesideKind::Paved, from, direction));
    for (double t = 0.013; t < StripLook::kFar_m; t += 0.1) {
      const Point p{from.x_m + t * direction.x_m, from.y_m + t * direction.y_m};
      const bool inside = std::any_of(shapes[BesideKind::Paved].begin(), shapes[BesideKind::Paved].end(),
                                      [&](const Polygon& one) { return base::contains(one, p); });
      const bool said = std::any_of(covered.begin(), covered.end(),
                                    [&](const auto& one) { return one.from_m <= t && t <= one.to_m; });
      // A polygon that reaches beyond the look on both sides meets the ray nowhere: then nobody says so.
      if (inside != said) {
        bool near_edge = false;
        for (const auto& one : covered) {
          near_edge = near_edge || std::abs(one.from_m - t) < 1e-6 || std::abs(one.to_m - t) < 1e-6;
        }
        bool spans = false;
        for (const Polygon& one : shapes[BesideKind::Paved]) {
          const Point end{from.x_m + StripLook::kFar_m * direction.x_m,
                          from.y_m + StripLook::kFar_m * direction.y_m};
          spans = spans || (base::contains(one, p) && base::contains(one, from) && base::contains(one, end));
        }
        EXPECT_TRUE(near_edge || (inside && spans)) << i << " at " << t;
      }
    }
  }
}

}  // namespace
}  // namespace curbshed::siting
