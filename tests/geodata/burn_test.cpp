#include "curbshed/geodata/burn.hpp"

#include <random>

#include <gtest/gtest.h>

namespace curbshed::geodata {
namespace {

base::Shape box(double west, double south, double east, double north) {
  return base::polygon_shape(
      {.rings = {{{west, south}, {east, south}, {east, north}, {west, north}, {west, south}}}});
}

TEST(BurnPolygons, LaterFeaturesWinAndHolesStayOpen) {
  const terrain::GridFrame frame{.west_m = 0, .north_m = 3, .cell_m = 1, .rows = 3, .cols = 5};
  base::Shape ring = box(0, 0, 3, 3);
  ring.polygons[0].rings.push_back({{1, 1}, {1, 2}, {2, 2}, {2, 1}, {1, 1}});
  const auto burned = burn_polygons(frame, {ring, box(2, 2, 4, 3)}, {0, 7});
  EXPECT_EQ(burned.values(), (std::vector<std::int32_t>{0, 0, 7, 7, -1,    //
                                                        0, -1, 0, -1, -1,  //
                                                        0, 0, 0, -1, -1}));
}

TEST(BurnPolygons, CellsBelongByTheirCentre) {
  const terrain::GridFrame frame{.west_m = 500000, .north_m = 3600000, .cell_m = 0.5, .rows = 40, .cols = 60};
  const unsigned seed = 77;
  SCOPED_TRACE(::testing::Message() << "seed " << seed);
  std::mt19937 random(seed);
  const auto number = [&](double most) { return most * static_cast<double>(random() % 100003) / 100003.0; };
  for (int trial = 0; trial < 100; ++trial) {
    base::Shape shape;
    shape.kind = base::ShapeKind::Polygon;
    const int parts = 1 + trial % 2;
    for (int part = 0; part < parts; ++part) {
      const double x = 500000 + 15.0 * part;
      const base::Point a{x + number(14), 3599980 + number(20)};
      const base::Point b{x + number(14), 3599980 + number(20)};
      const base::Point c{x + number(14), 3599980 + number(20)};
      shape.polygons.push_back({.rings = {{a, b, c, a}}});
    }
    const auto burned = burn_polygons(frame, {shape}, {3});
    for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
      bool inside = false;
      for (const base::Polygon& polygon : shape.polygons) {
        inside = inside != base::contains(polygon, frame.centre(cell));
      }
      ASSERT_EQ(burned[cell], inside ? 3 : -1) << "trial " << trial << " cell " << cell;
    }
  }
}

TEST(BurnPolygons, NothingToBurnAndNothingBeyondTheFrame) {
  const terrain::GridFrame frame{.west_m = 0, .north_m = 2, .cell_m = 1, .rows = 2, .cols = 2};
  EXPECT_EQ(burn_polygons(frame, {}, {}).values(), std::vector<std::int32_t>(4, -1));
  EXPECT_EQ(burn_polygons(frame, {box(10, 10, 20, 20)}, {1}).values(), std::vector<std::int32_t>(4, -1));
  EXPECT_EQ(burn_polygons(frame, {box(-1e6, -1e6, 1e6, 1e6)}, {2000000000}).values(),
            std::vector<std::int32_t>(4, 2000000000));
  EXPECT_THROW(burn_polygons(frame, {box(0, 0, 1, 1)}, {}), base::BugError);
  EXPECT_THROW(burn_polygons(frame, {base::point_shape({1, 1})}, {1}), base::BugError);
}

}  // namespace
}  // namespace curbshed::geodata
