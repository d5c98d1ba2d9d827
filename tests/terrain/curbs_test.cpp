#include "curbshed/terrain/curbs.hpp"

#include "support/crowned_street.hpp"

#include <cmath>
#include <numbers>
#include <set>

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

using testing::Chance;
using testing::crowned_street;
using testing::CrownedStreet;
using testing::drawn_ground;
using testing::level_ground;
using testing::reachable;
using testing::StreetShape;

CurbLine curb(base::Polyline line, StreetSide side, CurbKind kind = CurbKind::Vertical) {
  CurbLine c;
  c.id = "curb";
  c.line = std::move(line);
  c.street_side = side;
  c.kind = kind;
  c.height_m = 0.15;
  return c;
}

/// A star-shaped ring about the middle; corners often lie on cell centres, corners or edges. First point
/// repeated last.
base::Polyline thrown_ring(Chance& chance, double cell_m) {
  base::Polyline ring;
  const std::int64_t corners = 5 + chance.below(9);  // never half a turn apart: counter-clockwise
  const std::int64_t snap = chance.below(3);
  for (std::int64_t i = 0; i < corners; ++i) {
    const double angle = 2.0 * std::numbers::pi * (static_cast<double>(i) + 0.8 * chance.share()) /
                         static_cast<double>(corners);
    const double radius = cell_m * (2.0 + 7.0 * chance.share());
    base::Point p{radius * std::cos(angle), radius * std::sin(angle)};
    if (snap < 2)
      p = {0.5 * cell_m * std::round(2.0 * p.x_m / cell_m), 0.5 * cell_m * std::round(2.0 * p.y_m / cell_m)};
    if (ring.empty() || !(ring.back() == p)) ring.push_back(p);
  }
  ring.push_back(ring.front());
  return ring;
}

bool on_ring(const base::Polyline& ring, base::Point p) {
  return base::nearest_place(ring, p).offset_m < 1e-5;
}

/// Counts cells on the far side of a curb that water reaches from the street side.
std::int64_t leaks(const Ground& ground, const CurbField& field, const base::Polyline& ring,
                   bool street_inside) {
  const base::Polygon polygon{{ring}};
  std::vector<char> street;
  std::vector<char> lot;
  for (std::int64_t cell = 0; cell < ground.frame.cells(); ++cell) {
    const base::Point p = ground.frame.centre(cell);
    const bool on = on_ring(ring, p);
    const bool in_street = on || base::contains(polygon, p) == street_inside;
    street.push_back(in_street ? 1 : 0);
    lot.push_back(in_street ? 0 : 1);
  }
  const std::vector<char> reached = reachable(ground, field.walls, street);
  std::int64_t count = 0;
  for (std::size_t i = 0; i < lot.size(); ++i) count += (lot[i] && reached[i]) ? 1 : 0;
  return count;
}

TEST(CurbWalls, NothingLeaksThroughAClosedCurb) {
  for (std::uint64_t seed = 1; seed <= 400; ++seed) {
    SCOPED_TRACE(::testing::Message() << "seed " << seed);
    Chance chance(seed);
    const double cell_m = chance.below(2) == 0 ? 1.0 : 0.5;
    const Ground ground = level_ground(24, 23 + chance.below(3), cell_m);
    base::Polyline ring = thrown_ring(chance, cell_m);
    const bool street_inside = chance.below(2) == 0;  // the ring runs counter-clockwise: inside is left
    const CurbField field =
        place_curbs(ground, {}, {curb(ring, street_inside ? StreetSide::Left : StreetSide::Right)}, {});
    ASSERT_TRUE(field.set_aside.empty());
    EXPECT_EQ(leaks(ground, field, ring, street_inside), 0);
  }
}

TEST(CurbWalls, NothingLeaksWhereCurbsMeetEndToEnd) {
  for (std::uint64_t seed = 1; seed <= 400; ++seed) {
    SCOPED_TRACE(::testing::Message() << "seed " << seed);
    Chance chance(seed);
    const double cell_m = chance.below(2) == 0 ? 1.0 : 0.5;
    const Ground ground = level_ground(24, 24, cell_m);
    const base::Polyline ring = thrown_ring(chance, cell_m);
    const bool street_inside = chance.below(2) == 0;
    const double gap_m = chance.below(2) == 0 ? 0.0 : 1.4 * cell_m * chance.share();
    std::vector<CurbLine>
        curbs;  // each side of the ring is a curb of its own, short of the corner; directions vary
    for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
      const double length = base::distance_m(ring[i], ring[i + 1]);
      const double keep = length > 4.0 * cell_m ? length - gap_m : length;
      base::Polyline side{ring[i], base::point_along({ring[i], ring[i + 1]}, keep)};
      bool left = street_inside;
      if (chance.below(2) == 0) {
        std::swap(side[0], side[1]);
        left = !left;
      }
      curbs.push_back(curb(side, left ? StreetSide::Left : StreetSide::Right,
                           chance.below(3) == 0 ? CurbKind::Gap : CurbKind::Vertical));
    }
    const CurbField field = place_curbs(ground, {}, curbs, {});
    if (!field.set_aside.empty()) continue;  // a side shorter than a cell may touch no cell
    base::Polyline outline;
    for (const CurbLine& c : curbs) {
      const bool forward = (c.street_side == StreetSide::Left) == street_inside;
      outline.push_back(forward ? c.line.front() : c.line.back());
      outline.push_back(forward ? c.line.back() : c.line.front());
    }
    outline.push_back(outline.front());
    EXPECT_EQ(leaks(ground, field, outline, street_inside), 0);
  }
}

TEST(CurbWalls, WallsLeadFromTheStreetOnlyAndAcrossDiagonals) {
  const Ground ground = level_ground(6, 6, 1.0);  // west −3, columns 0-5
  const CurbField field = place_curbs(ground, {}, {curb({{0.0, -9.0}, {0.0, 9.0}}, StreetSide::Left)}, {});
  for (std::int64_t row = 0; row < 6; ++row) {
    for (std::int64_t col = 0; col < 6; ++col) {
      for (int k = 0; k < kBearings; ++k) {
        const bool out = col == 2 && kColStep[k] == 1 && ground.frame.inside(row + kRowStep[k], 3);
        EXPECT_EQ(field.walls.walled(ground.frame.index(row, col), k), out) << row << " " << col << " " << k;
      }
    }
  }
}

TEST(CurbWalls, ACentreOnTheLineIsStreet) {
  const Ground ground = level_ground(5, 5, 1.0);
  for (const StreetSide side : {StreetSide::Left, StreetSide::Right}) {
    const CurbField field = place_curbs(ground, {}, {curb({{0.0, -9.0}, {0.0, 9.0}}, side)}, {});
    const bool west = side == StreetSide::Left;
    EXPECT_TRUE(field.walls.walled(ground.frame.index(2, 2), west ? 2 : 6));
    EXPECT_FALSE(field.walls.walled(ground.frame.index(2, 2), west ? 6 : 2));
    EXPECT_EQ(field.gutter.at(2, 2), 1);
    EXPECT_EQ(field.gutter.at(2, west ? 1 : 3), 0);
  }
}

TEST(CurbWalls, TwoCurbsInsideOneStepBothCount) {
  const Ground ground = level_ground(5, 6, 1.0);
  // A strip 0.4 m wide between two streets.
  const std::vector<CurbLine> curbs{curb({{-0.2, -9.0}, {-0.2, 9.0}}, StreetSide::Left),
                                    curb({{0.2, -9.0}, {0.2, 9.0}}, StreetSide::Right)};
  const CurbField field = place_curbs(ground, {}, curbs, {});
  EXPECT_TRUE(field.walls.walled(ground.frame.index(2, 2), 2));
  EXPECT_TRUE(field.walls.walled(ground.frame.index(2, 3), 6));
}

TEST(CurbSide, PavementDecidesAndTheAttributeHelpsOut) {
  const Ground ground = level_ground(20, 20, 1.0);
  Grid<std::uint8_t> west_paved(20, 20, 0);
  Grid<std::uint8_t> all_paved(20, 20, 1);
  const Grid<std::uint8_t> none_paved(20, 20, 0);
  for (std::int64_t r = 0; r < 20; ++r) {
    for (std::int64_t c = 0; c < 10; ++c) west_paved.at(r, c) = 1;
  }
  const base::Polyline line{{0.0, -8.0}, {0.0, 8.0}};  // northward: west is left
  const auto wall_east = [&](const Grid<std::uint8_t>& pavement, StreetSide side) {
    const CurbField field = place_curbs(ground, pavement, {curb(line, side)}, {});
    EXPECT_TRUE(field.set_aside.empty());
    return field.walls.walled(ground.frame.index(10, 9), 2);
  };
  EXPECT_TRUE(wall_east(west_paved, StreetSide::Unknown));
  EXPECT_TRUE(wall_east(west_paved, StreetSide::Right));  // the pavement knows better
  EXPECT_FALSE(wall_east(all_paved, StreetSide::Right));
  EXPECT_TRUE(wall_east(none_paved, StreetSide::Left));
  EXPECT_TRUE(wall_east({}, StreetSide::Left));
}

TEST(CurbSide, CurbsThatCannotBeUsedAreSetAsideWithTheReason) {
  const Ground ground = level_ground(20, 20, 1.0);
  const base::Polyline line{{0.0, -8.0}, {0.0, 8.0}};
  const double nan = std::nan("");
  CurbLine tall = curb(line, StreetSide::Left);
  tall.height_m = 4.0;
  const std::vector<CurbLine> curbs{curb(line, StreetSide::Unknown),
                                    curb({{500.0, 0.0}, {510.0, 0.0}}, StreetSide::Left),
                                    curb({{1.0, 1.0}, {1.0, 1.0}}, StreetSide::Left),
                                    curb({{1.0, 1.0}, {nan, 1.0}}, StreetSide::Left),
                                    curb({}, StreetSide::Left),
                                    tall,
                                    curb({{-1e300, 0.5}, {-1e299, 0.5}}, StreetSide::Left),
                                    curb(line, StreetSide::Left)};
  const CurbField field = place_curbs(ground, Grid<std::uint8_t>(20, 20, 1), curbs, {});
  EXPECT_EQ(field.set_aside, (std::vector<std::int32_t>{0, 1, 2, 3, 4, 5, 6}));
  ASSERT_EQ(field.set_aside_reason.size(), 7U);
  EXPECT_EQ(field.set_aside_reason[0], "pavement on both sides, and there is no street_side");
  EXPECT_EQ(field.set_aside_reason[1], "outside the elevation");
  EXPECT_EQ(field.set_aside_reason[2], "the line has no length");
  EXPECT_EQ(field.set_aside_reason[3], "a coordinate is not a number");
  EXPECT_EQ(field.set_aside_reason[4], "the line has no length");
  EXPECT_EQ(field.set_aside_reason[5], "height 4 m is not within 0 to 1 m");
  EXPECT_EQ(field.set_aside_reason[6], "outside the elevation");
  EXPECT_EQ(field.notes.at(base::NoteId::FeatureSetAside).count, 7);
  EXPECT_EQ(field.notes.at(base::NoteId::CurbSideUnknown).count, 1);
  const CurbField nowhere =
      place_curbs(ground, Grid<std::uint8_t>(20, 20, 0), {curb(line, StreetSide::Unknown)}, {});
  EXPECT_EQ(nowhere.set_aside_reason.at(0), "pavement on neither side, and there is no street_side");
  const CurbField unknown = place_curbs(ground, {}, {curb(line, StreetSide::Unknown)}, {});
  EXPECT_EQ(unknown.set_aside_reason.at(0),
            "no pavement layer and no street_side: the street side is not known");
}

TEST(CurbSide, SettingsOutOfRangeNameTheKey) {
  const Ground ground = level_ground(5, 5, 1.0);
  CurbSettings settings;
  settings.lowering_m = 0.6;
  try {
    place_curbs(ground, {}, {}, settings);
    FAIL();
  } catch (const base::InputError& e) {
    EXPECT_EQ(e.where().feature, "gutter_lowering");
    EXPECT_EQ(e.allowed(), "0 to 0.5 m");
  }
}

TEST(CurbStations, LieAboutACellApartWithTheirCells) {
  for (const double bearing : {0.0, 30.0, 45.0, 200.0}) {
    SCOPED_TRACE(bearing);
    StreetShape shape;
    shape.bearing_deg = bearing;
    shape.curb_half_length_m = 30.0;
    CrownedStreet street = crowned_street(shape);
    std::reverse(street.curbs[1].line.begin(), street.curbs[1].line.end());
    const CurbField field = place_curbs(street.ground, street.pavement, street.curbs, {});
    ASSERT_EQ(field.stations.size(), 122U);
    double before = -1.0;
    std::int32_t curb_before = 0;
    for (const CurbStation& s : field.stations) {
      const CurbLine& line = street.curbs[static_cast<std::size_t>(s.curb)];
      const base::Point on = base::point_along(line.line, s.along_m);
      EXPECT_LT(base::distance_m(on, s.at), 1e-9);
      EXPECT_NEAR(std::hypot(s.to_street.x_m, s.to_street.y_m), 1.0, 1e-12);
      const double side = street.left_m(s.at) > 0.0 ? -1.0 : 1.0;
      EXPECT_NEAR(side * street.left_m(s.to_street), 1.0, 1e-9);
      ASSERT_GE(s.gutter_cell, 0);
      ASSERT_GE(s.behind_cell, 0);
      EXPECT_EQ(field.gutter[s.gutter_cell], 1);
      EXPECT_LE(std::abs(street.left_m(street.ground.frame.centre(s.gutter_cell))), 5.0 + 1e-6);
      EXPECT_GT(std::abs(street.left_m(street.ground.frame.centre(s.behind_cell))), 5.0 - 1e-6);
      EXPECT_LT(base::distance_m(street.ground.frame.centre(s.gutter_cell), s.at), 1.5);
      if (s.curb == curb_before) {
        EXPECT_GT(s.along_m, before);
      }
      before = s.along_m;
      curb_before = s.curb;
    }
  }
}

TEST(CurbStations, TheGutterIsOneUnbrokenThinBand) {
  for (const double bearing : {0.0, 10.0, 22.5, 45.0, 67.5, 80.0, 90.0}) {
    SCOPED_TRACE(bearing);
    StreetShape shape;
    shape.bearing_deg = bearing;
    const CrownedStreet street = crowned_street(shape);
    const CurbField field = place_curbs(street.ground, street.pavement, street.curbs, {});
    const GridFrame& frame = street.ground.frame;
    std::set<std::int64_t> seen;  // one connected piece on each side, from a station on
    for (const double side : {1.0, -1.0}) {
      std::vector<std::int64_t> open{-1};
      for (const CurbStation& s : field.stations) {
        if (side * street.left_m(s.at) > 0.0) open[0] = s.gutter_cell;
      }
      seen.insert(open[0]);
      while (!open.empty()) {
        const std::int64_t cell = open.back();
        open.pop_back();
        for (int k = 0; k < kBearings; ++k) {
          const std::int64_t r = cell / frame.cols + kRowStep[k];
          const std::int64_t c = cell % frame.cols + kColStep[k];
          if (!frame.inside(r, c) || field.gutter.at(r, c) == 0 || !seen.insert(frame.index(r, c)).second)
            continue;
          open.push_back(frame.index(r, c));
        }
      }
    }
    std::int64_t marked = 0;
    for (const std::uint8_t g : field.gutter.values()) marked += g;
    EXPECT_EQ(static_cast<std::int64_t>(seen.size()), marked);
    // The thinnest 8-connected band has one cell for each row or column that it passes.
    EXPECT_LE(marked, 2 * frame.rows + 2);
  }
}

}  // namespace
}  // namespace curbshed::terrain
