#include "support/crowned_street.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

using testing::crowned_street;
using testing::CrownedStreet;
using testing::street_directions;
using testing::StreetShape;

/// The left curb cut into lines that meet, as given by ways along it; every second is a gap.
std::vector<CurbLine> pieces(const CrownedStreet& street, double from_m,
                             const std::vector<double>& lengths_m) {
  std::vector<CurbLine> out;
  double at = from_m;
  for (const double length : lengths_m) {
    CurbLine c = street.curbs[0];
    c.id = "piece " + std::to_string(out.size());
    c.line = {street.at(at, street.shape.half_width_m), street.at(at + length, street.shape.half_width_m)};
    if (out.size() % 2 == 1) {
      c.kind = CurbKind::Gap;
      c.height_m.reset();
      std::swap(c.line[0], c.line[1]);
    }
    out.push_back(c);
    at += length;
  }
  return out;
}

TEST(GutterLowering, RunsThroughGapsAndFadesAtFreeEnds) {
  StreetShape shape;
  shape.cell_m = 0.5;
  shape.cells = 160;
  shape.grade = -0.02;  // falls up the line: both kinds of free end
  const CrownedStreet street = crowned_street(shape);
  const CurbField field =
      place_curbs(street.ground, street.pavement, pieces(street, -30.0, {20.0, 4.0, 15.0, 3.0, 18.0}), {});
  ASSERT_TRUE(field.set_aside.empty());
  for (const CurbStation& s : field.stations) {
    const double way = street.along_m(s.at);
    const double lowering = static_cast<double>(field.lowering_m[s.gutter_cell]);
    if (way > -25.0 && way < 20.0) {
      EXPECT_FLOAT_EQ(static_cast<float>(lowering), 0.10F) << way;
    }
    if (way < -25.5) {
      EXPECT_NEAR(lowering, 0.02 * (way + 30.0), 0.011) << way;  // the high end: 5 m
    }
    if (way > 25.5) {
      EXPECT_LT(lowering, 0.02 * (30.0 - way) + 0.011) << way;
    }
  }
}

TEST(GutterLowering, ARingHasNoFreeEnd) {
  const Ground ground = testing::level_ground(40, 40, 1.0);
  CurbLine ring;
  ring.id = "block";
  ring.line = {{-10.0, -10.0}, {10.0, -10.0}, {10.0, 10.0}, {-10.0, 10.0}, {-10.0, -10.0}};
  ring.street_side = StreetSide::Right;
  const CurbField field = place_curbs(ground, {}, {ring}, {});
  for (std::int64_t cell = 0; cell < ground.frame.cells(); ++cell) {
    EXPECT_EQ(field.lowering_m[cell], field.gutter[cell] != 0 ? 0.10F : 0.0F);
  }
  EXPECT_EQ(field.gutter.at(20, 8), 0);   // two cells off the curb
  EXPECT_EQ(field.gutter.at(20, 9), 1);   // the street lies outside the ring
  EXPECT_EQ(field.gutter.at(20, 10), 0);  // the lot
}

TEST(GutterLowering, AnEndPastTheDataIsNotFree) {
  const CrownedStreet street = crowned_street({});
  const CurbField field = place_curbs(street.ground, street.pavement, street.curbs, {});
  for (std::int64_t cell = 0; cell < street.ground.frame.cells(); ++cell) {
    EXPECT_EQ(field.lowering_m[cell], field.gutter[cell] != 0 ? 0.10F : 0.0F);
  }
}

struct Hollows {
  std::size_t count = 0;
  double deepest_m = 0.0;
  double volume_m3 = 0.0;
};

Hollows hollows(const Ground& ground, const CurbField& field, double lowering) {
  Grid<float> taken = field.lowering_m;
  if (lowering == 0.0) taken = Grid<float>(taken.rows(), taken.cols(), 0.0F);
  const Ground low = lowered(ground, taken);
  const Depressions found = find_depressions(low, water_levels(low, field.walls, {}, {}));
  Hollows out;
  out.count = found.list.size();
  for (const Depression& d : found.list) {
    out.volume_m3 += d.volume_m3;
    out.deepest_m = std::max(out.deepest_m, d.depth_m);
  }
  return out;
}

TEST(GutterLowering, MakesNoPitAtFreeEnds) {
  for (const double grade : {0.005, 0.01, -0.01, 0.03}) {
    for (const double bearing : {0.0, 30.0, 45.0}) {
      SCOPED_TRACE(::testing::Message() << "grade " << grade << ", " << bearing << " deg");
      StreetShape shape;
      shape.cell_m = 0.5;
      shape.cells = 260;
      shape.grade = grade;
      shape.bearing_deg = bearing;
      shape.curb_half_length_m = 40.0;
      const CrownedStreet street = crowned_street(shape);
      const CurbField field = place_curbs(street.ground, street.pavement, street.curbs, {});
      const Hollows without = hollows(street.ground, field, 0.0);
      const Hollows with = hollows(street.ground, field, 0.10);
      if (bearing == 30.0) {  // off the bearings the band's steps make hollows of millimetres, lowered or not
        EXPECT_LT(with.deepest_m, 0.01);
        EXPECT_LT(with.volume_m3, without.volume_m3 + 4.0 * 0.01);  // 10 L a free end
      } else {
        EXPECT_LE(with.count, without.count);
        EXPECT_LE(with.volume_m3, without.volume_m3 + 1e-6);
      }
      CurbSettings abrupt;
      abrupt.fade_m = 0.0;
      EXPECT_GT(
          hollows(street.ground, place_curbs(street.ground, street.pavement, street.curbs, abrupt), 0.10)
              .deepest_m,
          0.06);
    }
  }
}

/// Share of the cells between the two distances from the crown whose water ends on their own side of it.
double share_on_own_side(const CrownedStreet& street, const Grid<std::uint8_t>& directions, double from_m,
                         double to_m) {
  const GridFrame& frame = street.ground.frame;
  std::int64_t all = 0;
  std::int64_t own = 0;
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    const double left = street.left_m(frame.centre(cell));
    if (std::abs(left) <= from_m || std::abs(left) > to_m) continue;
    std::int64_t last = cell;
    for (std::int64_t at = cell; at >= 0; at = next_cell(directions, at)) last = at;
    ++all;
    own += left * street.left_m(frame.centre(last)) > 0.0 ? 1 : 0;
  }
  return static_cast<double>(own) / static_cast<double>(all);
}

/// Share of the pavement's cells whose water leaves the data without leaving the pavement.
double share_kept_in_street(const CrownedStreet& street, const Grid<std::uint8_t>& directions) {
  std::int64_t all = 0;
  std::int64_t kept = 0;
  for (std::int64_t cell = 0; cell < street.ground.frame.cells(); ++cell) {
    if (street.pavement[cell] == 0) continue;
    ++all;
    bool stays = true;
    for (std::int64_t at = cell; at >= 0; at = next_cell(directions, at))
      stays = stays && street.pavement[at] != 0;
    kept += stays ? 1 : 0;
  }
  return static_cast<double>(kept) / static_cast<double>(all);
}

TEST(GutterFlow, NoisyCrownedStreetsDrainToTheirOwnSide) {
  for (const double cell_m : {1.0, 0.5}) {
    for (const double grade : {0.005, 0.01}) {
      for (const double noise : {0.02, 0.03}) {
        for (const double bearing : {0.0, 30.0, 45.0}) {
          SCOPED_TRACE(::testing::Message() << cell_m << " m, grade " << grade << ", noise " << noise << ", "
                                            << bearing << " deg, seed 11");
          StreetShape shape;
          shape.cell_m = cell_m;
          shape.cells = static_cast<std::int64_t>(150.0 / cell_m);
          shape.grade = grade;
          shape.noise_m = noise;
          shape.bearing_deg = bearing;
          shape.seed = 11;
          const CrownedStreet street = crowned_street(shape);
          const CurbField field = place_curbs(street.ground, street.pavement, street.curbs, {});
          const Grid<std::uint8_t> directions = street_directions(street.ground, field);
          // Street and 40 m lots; and the pavement more than 1 m from the crown.
          EXPECT_GE(share_on_own_side(street, directions, 0.0, 45.0), 0.98);
          EXPECT_GE(share_on_own_side(street, directions, 1.0, 5.0), 0.98);
          EXPECT_EQ(share_kept_in_street(street, directions), 1.0);
        }
      }
    }
  }
}

TEST(GutterFlow, WallsKeepTheWaterOfAStreetWhoseLotsFallAway) {
  for (const double bearing : {0.0, 22.5, 45.0, 80.0}) {
    SCOPED_TRACE(bearing);
    StreetShape shape;
    shape.cell_m = 0.5;
    shape.cells = 240;
    shape.bearing_deg = bearing;
    shape.lot_step_m = 0.0;
    shape.lot_slope = -0.05;
    const CrownedStreet street = crowned_street(shape);
    const CurbField field = place_curbs(street.ground, street.pavement, street.curbs, {});
    EXPECT_EQ(share_kept_in_street(street, street_directions(street.ground, field)), 1.0);
    CurbSettings flat;
    flat.lowering_m = 0.0;
    const CurbField walls_only = place_curbs(street.ground, street.pavement, street.curbs, flat);
    EXPECT_EQ(share_kept_in_street(street, street_directions(street.ground, walls_only)), 1.0);
    CurbField none = field;
    none.walls = Walls{};
    none.lowering_m = Grid<float>(street.ground.frame.rows, street.ground.frame.cols, 0.0F);
    // Without walls only what reaches the edge of the data along the street is not lost.
    EXPECT_LT(share_kept_in_street(street, street_directions(street.ground, none)), 0.12);
  }
}

}  // namespace
}  // namespace curbshed::terrain
