#include "curbshed/terrain/areas.hpp"

#include "support/drawn_ground.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <string>

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

using namespace curbshed::testing;

/// Digits are labels, "." is none.
Grid<std::int32_t> drawn_labels(const std::vector<std::string>& rows) {
  Grid<std::int32_t> labels(static_cast<std::int64_t>(rows.size()), static_cast<std::int64_t>(rows[0].size()),
                            -1);
  for (std::int64_t r = 0; r < labels.rows(); ++r) {
    for (std::int64_t c = 0; c < labels.cols(); ++c) {
      const char mark = rows[static_cast<std::size_t>(r)][static_cast<std::size_t>(c)];
      if (mark != '.') labels.at(r, c) = mark - '0';
    }
  }
  return labels;
}

GridFrame frame_of(const Grid<std::int32_t>& labels, double cell_m = 0.5) {
  return {1000.0, 2000.0, cell_m, labels.rows(), labels.cols()};
}

double signed_area(const base::Polyline& ring) {
  double twice = 0.0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    twice += (ring[i].x_m - ring[0].x_m) * (ring[i + 1].y_m - ring[0].y_m) -
             (ring[i + 1].x_m - ring[0].x_m) * (ring[i].y_m - ring[0].y_m);
  }
  return 0.5 * twice;
}

using Place = std::pair<std::int64_t, std::int64_t>;
/// Unit edges of a ring in corners of the grid.
std::vector<std::pair<Place, Place>> unit_edges(const GridFrame& frame, const base::Polyline& ring) {
  std::vector<Place> corners;
  for (const base::Point& p : ring) {
    corners.emplace_back(std::llround((frame.north_m - p.y_m) / frame.cell_m),
                         std::llround((p.x_m - frame.west_m) / frame.cell_m));
  }
  std::vector<std::pair<Place, Place>> edges;
  for (std::size_t i = 0; i + 1 < corners.size(); ++i) {
    Place at = corners[i];
    const Place to = corners[i + 1];
    EXPECT_TRUE((at.first == to.first) != (at.second == to.second)) << "rings run along cell edges";
    while (at != to) {
      const Place next{at.first + (to.first > at.first) - (to.first < at.first),
                       at.second + (to.second > at.second) - (to.second < at.second)};
      edges.emplace_back(at, next);
      at = next;
    }
  }
  return edges;
}

/// What makes a polygon valid in the sense of OGC 06-103r4, 6.1.11: closed simple rings, no edge shared,
/// rings that touch in points only, holes inside. (The inside is connected because its cells are joined by
/// edges.)
void expect_valid(const GridFrame& frame, const base::Polygon& polygon, const std::string& what) {
  ASSERT_FALSE(polygon.rings.empty()) << what;
  std::set<std::pair<Place, Place>> seen;
  for (std::size_t i = 0; i < polygon.rings.size(); ++i) {
    const base::Polyline& ring = polygon.rings[i];
    ASSERT_GE(ring.size(), 5U) << what;
    ASSERT_EQ(ring.front(), ring.back()) << what;
    ASSERT_EQ(signed_area(ring) > 0.0, i == 0) << what << ": outer rings counter-clockwise, holes clockwise";
    for (std::size_t k = 0; k + 1 < ring.size(); ++k) {
      const base::Point& before = ring[k == 0 ? ring.size() - 2 : k - 1];
      const bool straight = (before.x_m == ring[k].x_m && ring[k].x_m == ring[k + 1].x_m) ||
                            (before.y_m == ring[k].y_m && ring[k].y_m == ring[k + 1].y_m);
      ASSERT_FALSE(straight) << what << ": a point in the middle of a straight edge";
    }
    std::set<Place> visited;
    for (const auto& [from, to] : unit_edges(frame, ring)) {
      ASSERT_TRUE(visited.insert(from).second) << what << ": a ring meets itself";
      ASSERT_TRUE(seen.insert({from, to}).second) << what << ": an edge is used twice";
      ASSERT_FALSE(seen.contains({to, from})) << what << ": an edge is used both ways";
    }
    if (i > 0) {
      const base::Polygon outer{{polygon.rings[0]}};
      // The middle of a cell just inside the hole's first edge, on its right.
      const base::Point& a = ring[0];
      const base::Point& b = ring[1];
      const double length = base::distance_m(a, b);
      const base::Point inside{a.x_m + 0.25 * frame.cell_m * ((b.x_m - a.x_m) + (b.y_m - a.y_m)) / length,
                               a.y_m + 0.25 * frame.cell_m * ((b.y_m - a.y_m) - (b.x_m - a.x_m)) / length};
      ASSERT_TRUE(base::contains(outer, inside)) << what << ": a hole outside its ring";
    }
  }
}

void expect_true_to(const Grid<std::int32_t>& labels, const GridFrame& frame, const std::string& what) {
  std::map<std::int32_t, std::int64_t> cells;
  for (const std::int32_t label : labels.values()) {
    if (label >= 0) ++cells[label];
  }
  const std::vector<LabelArea> areas = trace_areas(frame, labels);
  ASSERT_EQ(areas.size(), cells.size()) << what;
  std::int32_t last = -1;
  for (const LabelArea& area : areas) {
    ASSERT_GT(area.label, last) << what;
    last = area.label;
    ASSERT_EQ(area.cells, cells[area.label]) << what;
    double area_m2 = 0.0;
    for (const base::Polygon& polygon : area.polygons) {
      ASSERT_NO_FATAL_FAILURE(expect_valid(frame, polygon, what + ", label " + std::to_string(area.label)));
      area_m2 += base::area_m2(polygon);
    }
    ASSERT_NEAR(area_m2, static_cast<double>(area.cells) * frame.cell_area_m2(), 1e-6) << what;
    for (std::int64_t cell = 0; cell < labels.cells(); ++cell) {
      int within = 0;
      for (const base::Polygon& polygon : area.polygons)
        within += base::contains(polygon, frame.centre(cell)) ? 1 : 0;
      ASSERT_EQ(within, labels[cell] == area.label ? 1 : 0) << what << ", cell " << cell;
    }
  }
}

TEST(TraceAreas, OneCellIsASquare) {
  const Grid<std::int32_t> labels = drawn_labels({"...", ".4.", "..."});
  const std::vector<LabelArea> areas = trace_areas(frame_of(labels), labels);
  ASSERT_EQ(areas.size(), 1U);
  EXPECT_EQ(areas[0].label, 4);
  ASSERT_EQ(areas[0].polygons.size(), 1U);
  ASSERT_EQ(areas[0].polygons[0].rings.size(), 1U);
  const base::Polyline square = {
      {1000.5, 1999.0}, {1001.0, 1999.0}, {1001.0, 1999.5}, {1000.5, 1999.5}, {1000.5, 1999.0}};
  base::Polyline ring = areas[0].polygons[0].rings[0];
  ring.pop_back();
  std::rotate(ring.begin(), std::find(ring.begin(), ring.end(), square[0]), ring.end());
  ring.push_back(ring.front());
  EXPECT_EQ(ring, square);
}

TEST(TraceAreas, CellsThatTouchByACornerAreTwoPolygons) {
  const Grid<std::int32_t> labels = drawn_labels({"1.", ".1"});
  const std::vector<LabelArea> areas = trace_areas(frame_of(labels), labels);
  ASSERT_EQ(areas.size(), 1U);
  EXPECT_EQ(areas[0].cells, 2);
  EXPECT_EQ(areas[0].polygons.size(), 2U);
}

TEST(TraceAreas, HolesGoToTheRingAroundThem) {
  const Grid<std::int32_t> labels = drawn_labels({
      "11111111111",
      "1.........1",
      "1.2222222.1",
      "1.2.22..2.1",
      "1.2222222.1",
      "1.........1",
      "11111.11111",
  });
  const std::vector<LabelArea> areas = trace_areas(frame_of(labels), labels);
  ASSERT_EQ(areas.size(), 2U);
  EXPECT_EQ(areas[0].polygons[0].rings.size(), 1U);  // open to the south
  ASSERT_EQ(areas[1].polygons.size(), 1U);
  EXPECT_EQ(areas[1].polygons[0].rings.size(), 3U);
  expect_true_to(labels, frame_of(labels), "rings");
}

TEST(TraceAreas, AHoleThatTouchesTheOutsideByACornerIsStillAHole) {
  const Grid<std::int32_t> labels = drawn_labels({
      "111.",
      "1.11",
      "1111",
  });
  expect_true_to(labels, frame_of(labels), "inner corner");
  const Grid<std::int32_t> open = drawn_labels({
      "11.",
      "1.1",
      "111",
  });
  const std::vector<LabelArea> areas = trace_areas(frame_of(open), open);
  ASSERT_EQ(areas[0].polygons.size(), 1U);
  EXPECT_EQ(areas[0].polygons[0].rings.size(), 2U);
  expect_true_to(open, frame_of(open), "outer corner");
}

TEST(TraceAreas, HolesThatTouchByACornerAreTwoHoles) {
  const Grid<std::int32_t> labels = drawn_labels({
      "11111",
      "1.111",
      "11.11",
      "111.1",
      "11111",
  });
  const std::vector<LabelArea> areas = trace_areas(frame_of(labels), labels);
  ASSERT_EQ(areas[0].polygons.size(), 1U);
  EXPECT_EQ(areas[0].polygons[0].rings.size(), 4U);
  expect_true_to(labels, frame_of(labels), "diagonal holes");
}

TEST(TraceAreas, ThrownLabelsAreTracedExactly) {
  for (std::uint64_t seed = 1; seed <= 400; ++seed) {
    Chance chance(seed);
    Grid<std::int32_t> labels(1 + chance.below(14), 1 + chance.below(14), -1);
    const std::int64_t kinds = 1 + chance.below(4);
    for (std::int64_t cell = 0; cell < labels.cells(); ++cell)
      labels[cell] = static_cast<std::int32_t>(chance.below(kinds + 1)) - 1;
    ASSERT_NO_FATAL_FAILURE(expect_true_to(labels, frame_of(labels), "seed " + std::to_string(seed)));
  }
}

TEST(TraceAreas, TheEdgeOfTheRasterBounds) {
  const Grid<std::int32_t> labels(5, 7, 3);
  const std::vector<LabelArea> areas = trace_areas(frame_of(labels), labels);
  ASSERT_EQ(areas.size(), 1U);
  ASSERT_EQ(areas[0].polygons[0].rings.size(), 1U);
  EXPECT_EQ(areas[0].polygons[0].rings[0].size(), 5U);
  EXPECT_DOUBLE_EQ(base::area_m2(areas[0].polygons[0]), 35.0 * 0.25);
}

TEST(TraceAreas, NoLabelNoArea) {
  const Grid<std::int32_t> labels(4, 4, -1);
  EXPECT_TRUE(trace_areas(frame_of(labels), labels).empty());
}

TEST(TraceAreas, ManyLabelsTakeOnePass) {
  // 250 000 labels on a million cells: a pass for each label would take hours.
  Grid<std::int32_t> labels(1000, 1000, -1);
  for (std::int64_t r = 0; r < 1000; ++r) {
    for (std::int64_t c = 0; c < 1000; ++c) labels.at(r, c) = static_cast<std::int32_t>(r / 2 * 500 + c / 2);
  }
  const std::vector<LabelArea> areas = trace_areas(frame_of(labels), labels);
  ASSERT_EQ(areas.size(), 250000U);
  for (const LabelArea& area : areas) ASSERT_EQ(area.cells, 4);
}

}  // namespace
}  // namespace curbshed::terrain
