#include "curbshed/terrain/curbs.hpp"

#include <algorithm>

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

base::Polygon box(double x0, double y0, double x1, double y1) {
  return {{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}}};
}

double total_m(const std::vector<CurbLine>& curbs) {
  double sum = 0.0;
  for (const CurbLine& c : curbs) sum += base::length_m(c.line);
  return sum;
}

/// Twice the area to the left of a ring.
double left_area(const base::Polyline& ring) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i)
    sum += ring[i].x_m * ring[i + 1].y_m - ring[i].y_m * ring[i + 1].x_m;
  return sum;
}

TEST(PavementEdges, ARingHasTheStreetToItsLeft) {
  base::Polygon clockwise = box(0.0, 0.0, 10.0, 4.0);
  std::reverse(clockwise.rings[0].begin(), clockwise.rings[0].end());
  for (const base::Polygon& p : {box(0.0, 0.0, 10.0, 4.0), clockwise}) {
    const std::vector<CurbLine> curbs = curbs_from_pavement({p}, 0.12);
    ASSERT_EQ(curbs.size(), 1U);
    EXPECT_EQ(curbs[0].id, "pavement-edge-1");
    EXPECT_EQ(curbs[0].street_side, StreetSide::Left);
    EXPECT_EQ(curbs[0].height_m, 0.12);
    EXPECT_EQ(curbs[0].kind, CurbKind::Vertical);
    EXPECT_EQ(curbs[0].line.front(), curbs[0].line.back());
    EXPECT_DOUBLE_EQ(left_area(curbs[0].line), 80.0);
  }
}

TEST(PavementEdges, AHoleKeepsThePavementToItsLeft) {
  base::Polygon p = box(0.0, 0.0, 20.0, 20.0);
  p.rings.push_back(box(5.0, 5.0, 10.0, 10.0).rings[0]);
  const std::vector<CurbLine> curbs = curbs_from_pavement({p}, 0.15);
  ASSERT_EQ(curbs.size(), 2U);
  EXPECT_DOUBLE_EQ(left_area(curbs[0].line), 800.0);
  EXPECT_DOUBLE_EQ(left_area(curbs[1].line), -50.0);
}

TEST(PavementEdges, SharedEdgesFallAwayToOneMillimetre) {
  const std::vector<CurbLine> curbs =
      curbs_from_pavement({box(0.0, 0.0, 10.0, 4.0), box(10.0002, 0.0, 18.0, 4.0003)}, 0.15);
  ASSERT_EQ(curbs.size(), 1U);
  EXPECT_NEAR(base::length_m(curbs[0].line), 2.0 * (18.0 + 4.0), 0.01);
}

TEST(PavementEdges, ExtraCornersOnASharedEdgeDoNotMatter) {
  // Three small bays along one long edge; the corners lie on it to a millimetre.
  const std::vector<CurbLine> curbs =
      curbs_from_pavement({box(0.0, 0.0, 30.0, 6.0), box(3.0, 6.0004, 8.0, 8.0), box(8.0, 6.0, 13.0, 8.0),
                           box(20.0, 5.9996, 25.0, 8.0)},
                          0.15);
  ASSERT_EQ(curbs.size(), 1U);
  EXPECT_NEAR(base::length_m(curbs[0].line), 2.0 * (30.0 + 6.0) + 4.0 * 2.0, 0.01);
  const auto inner = std::count_if(curbs[0].line.begin(), curbs[0].line.end(), [](base::Point p) {
    return std::abs(p.y_m - 6.0) < 0.01 &&
           ((p.x_m > 3.01 && p.x_m < 12.99) || (p.x_m > 20.01 && p.x_m < 24.99));
  });
  EXPECT_EQ(inner, 0);
}

TEST(PavementEdges, DuplicatesAreDropped) {
  const base::Polygon a = box(0.0, 0.0, 10.0, 4.0);
  const std::vector<CurbLine> once = curbs_from_pavement({a}, 0.15);
  const std::vector<CurbLine> twice = curbs_from_pavement({a, a}, 0.15);
  ASSERT_EQ(twice.size(), 1U);
  EXPECT_EQ(twice[0].line, once[0].line);
}

TEST(PavementEdges, TheOrderOfThePolygonsDoesNotMatter) {
  std::vector<base::Polygon> pavement{box(0.0, 0.0, 10.0, 4.0), box(10.0, 0.0, 20.0, 4.0),
                                      box(4.0, 4.0, 6.0, 12.0), box(-100.0, 3.0, -90.0, 5.0)};
  const std::vector<CurbLine> first = curbs_from_pavement(pavement, 0.15);
  std::reverse(pavement.begin(), pavement.end());
  const std::vector<CurbLine> second = curbs_from_pavement(pavement, 0.15);
  ASSERT_EQ(first.size(), 2U);
  ASSERT_EQ(second.size(), first.size());
  for (std::size_t i = 0; i < first.size(); ++i) EXPECT_EQ(first[i].line, second[i].line);
  EXPECT_NEAR(total_m(first), 2.0 * (20.0 + 4.0) + 16.0 + 24.0, 1e-9);
}

TEST(PavementEdges, PiecesThatTouchAtACornerStayApart) {
  const std::vector<CurbLine> curbs =
      curbs_from_pavement({box(0.0, 0.0, 5.0, 5.0), box(5.0, 5.0, 10.0, 10.0)}, 0.15);
  ASSERT_EQ(curbs.size(), 2U);
  EXPECT_DOUBLE_EQ(left_area(curbs[0].line), 50.0);
  EXPECT_DOUBLE_EQ(left_area(curbs[1].line), 50.0);
}

TEST(PavementEdges, NothingComesOfNothing) {
  EXPECT_TRUE(curbs_from_pavement({}, 0.15).empty());
  const base::Polygon flat{{{{0.0, 0.0}, {5.0, 0.0}, {0.0, 0.0}}}};
  const base::Polygon lost{{{{0.0, 0.0}, {5.0, 0.0}, {1e300, 5.0}, {0.0, 0.0}}}};
  EXPECT_TRUE(curbs_from_pavement({flat, lost, base::Polygon{}}, 0.15).empty());
}

}  // namespace
}  // namespace curbshed::terrain
