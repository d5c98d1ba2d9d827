#include "terrain/curb_levels.hpp"

#include "support/crowned_street.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

using testing::add_noise;
using testing::Chance;
using testing::crowned_street;
using testing::CrownedStreet;
using testing::StreetShape;

struct LevelErrors {
  double worst_m = 0.0;
  double root_mean_square_m = 0.0;
};

LevelErrors level_errors(const CrownedStreet& street, const CurbField& field) {
  LevelErrors out;
  double sum = 0.0;
  for (const CurbStation& s : field.stations) {
    const double error = static_cast<double>(s.gutter_level_m) - street.gutter_m(street.along_m(s.at));
    out.worst_m = std::max(out.worst_m, std::abs(error));
    sum += error * error;
  }
  out.root_mean_square_m = std::sqrt(sum / static_cast<double>(field.stations.size()));
  return out;
}

TEST(SlopeFit, FindsAPlaneBehindACrownAndParkedCars) {
  Chance chance(7);
  std::vector<detail::SlopeSample> samples;
  for (double off = 0.8; off < 4.0; off += 0.5) {
    for (double along = -5.0; along <= 5.0; along += 0.5) {
      double h = 10.0 + 0.03 * std::min(off, 2.9) - 0.02 * std::max(0.0, off - 2.9) + 0.04 * along;
      if (along > 1.0 && off < 2.0 && chance.below(2) == 0)
        h += 0.3 + 0.8 * chance.share();  // part of a parked car
      samples.push_back({off, along, h});
    }
  }
  detail::FitRoom room;
  const detail::SlopeFit fit = detail::fit_slope(samples, 0.5, 0.02, 0.04, room);
  EXPECT_NEAR(fit.at_curb_m, 10.0, 0.001);
  EXPECT_NEAR(fit.cross_slope, 0.03, 0.001);
  EXPECT_NEAR(fit.grade, 0.04, 0.0005);
}

TEST(SlopeFit, FollowsAStreetThatFallsAwayFromTheCurb) {
  std::vector<detail::SlopeSample> samples;
  for (double off = 0.8; off < 3.0; off += 0.5) {
    for (double along = -5.0; along <= 5.0; along += 0.5) samples.push_back({off, along, 3.0 - 0.025 * off});
  }
  detail::FitRoom room;
  const detail::SlopeFit fit = detail::fit_slope(samples, 0.5, 0.02, 0.04, room);
  EXPECT_NEAR(fit.at_curb_m, 3.0, 1e-4);
  EXPECT_NEAR(fit.cross_slope, -0.025, 1e-4);
}

TEST(SlopeFit, OneRowOfCellsTakesTheDefaultCrossSlope) {
  std::vector<detail::SlopeSample> samples;
  for (double along = -5.0; along <= 5.0; along += 1.0) samples.push_back({1.0, along, 2.0 + 0.01 * along});
  detail::FitRoom room;
  const detail::SlopeFit fit = detail::fit_slope(samples, 1.0, 0.02, 0.04, room);
  EXPECT_NEAR(fit.at_curb_m, 1.98, 1e-6);
}

TEST(GutterLevel, IsExactOnExactStreetsAtEveryBearing) {
  for (const double cell_m : {0.5, 1.0}) {
    for (const double bearing : {0.0, 10.0, 22.5, 30.0, 45.0, 67.5, 80.0}) {
      for (const double grade : {0.005, 0.04, 0.10}) {
        SCOPED_TRACE(::testing::Message() << cell_m << " m cells, " << bearing << " deg, grade " << grade);
        StreetShape shape;
        shape.cell_m = cell_m;
        shape.bearing_deg = bearing;
        shape.grade = grade;
        const CrownedStreet street = crowned_street(shape);
        const CurbField field = place_curbs(street.ground, street.pavement, street.curbs, {});
        EXPECT_EQ(field.notes.at(base::NoteId::CrossSlopeAssumed).count, 0);
        EXPECT_LT(level_errors(street, field).worst_m, 0.001);
      }
    }
  }
}

TEST(GutterLevel, IsExactWhereTheCrownLiesInsideTheFit) {
  StreetShape shape;
  shape.cell_m = 0.5;
  shape.half_width_m = 2.4;
  shape.bearing_deg = 33.0;
  const CrownedStreet street = crowned_street(shape);
  const CurbField field = place_curbs(street.ground, street.pavement, street.curbs, {});
  EXPECT_LT(level_errors(street, field).worst_m, 0.001);
}

TEST(GutterLevel, ThreeCentimetresOfNoiseMoveItByTheErrorOfTheFit) {
  for (const double cell_m : {0.5, 1.0}) {
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
      SCOPED_TRACE(::testing::Message() << cell_m << " m cells, seed " << seed);
      StreetShape shape;
      shape.cell_m = cell_m;
      shape.bearing_deg = 17.0;
      shape.noise_m = 0.03;
      shape.seed = seed;
      const CrownedStreet street = crowned_street(shape);
      const CurbField field = place_curbs(street.ground, street.pavement, street.curbs, {});
      const LevelErrors errors = level_errors(street, field);
      // A line through n cells at offs of mean 1.9 m and variance 0.42 m2, carried to the curb face: the
      // error is 0.03 · sqrt(1/22 + 1.9² / (2 · 22 · 0.42)) = 0.014 m for 1 m cells (cross slope over 20 m),
      // half of it for 0.5 m.
      EXPECT_LT(errors.root_mean_square_m, cell_m < 0.75 ? 0.010 : 0.022);
      EXPECT_LT(errors.worst_m, cell_m < 0.75 ? 0.030 : 0.085);
    }
  }
}

TEST(GutterLevel, ADrivewayIsNoStepInIt) {
  StreetShape shape;
  shape.cell_m = 0.5;
  shape.noise_m = 0.03;
  shape.seed = 8;
  shape.curb_half_length_m = 20.0;
  CrownedStreet street = crowned_street(shape);
  const CurbField whole = place_curbs(street.ground, street.pavement, street.curbs, {});
  std::vector<CurbLine> pieces;
  for (const CurbLine& curb : street.curbs) {
    const std::array<double, 5> share = {0.0, 0.35, 0.45, 0.5, 1.0};
    for (std::size_t i = 0; i + 1 < share.size(); ++i) {
      CurbLine piece = curb;
      piece.id += std::to_string(i);
      piece.line = {base::point_along(curb.line, 40.0 * share[i]),
                    base::point_along(curb.line, 40.0 * share[i + 1])};
      if (i == 1) piece.kind = CurbKind::Gap;
      if (i == 2) std::reverse(piece.line.begin(), piece.line.end());  // drawn the other way
      pieces.push_back(piece);
    }
  }
  const CurbField split = place_curbs(street.ground, street.pavement, pieces, {});
  std::size_t compared = 0;
  for (const CurbStation& s : split.stations) {
    for (const CurbStation& w : whole.stations) {
      if (base::distance_m(s.at, w.at) > 1e-6) continue;
      EXPECT_NEAR(s.gutter_level_m, w.gutter_level_m, 1e-4) << street.along_m(s.at);
      ++compared;
    }
  }
  EXPECT_GE(compared, whole.stations.size());
}

TEST(GutterLevel, ACornerEndsTheFit) {
  // Two curbs at a right angle, whose streets lie at different levels: each keeps to its own.
  Ground ground = testing::ground_by(60, 60, 0.5, [](base::Point p) {
    return p.x_m < 0.0 && p.y_m < 0.0 ? 100.3 : (p.y_m >= 0.0 ? 100.0 : 101.0);
  });
  const GridFrame& frame = ground.frame;
  Grid<std::uint8_t> pavement(60, 60, 0);
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    const base::Point p = frame.centre(cell / 60, cell % 60);
    pavement[cell] = p.x_m < 0.0 && p.y_m < 0.0 ? 0 : 1;
  }
  CurbLine level;
  level.id = "level";
  level.line = {{-12.0, 0.0}, {0.0, 0.0}};
  CurbLine high;
  high.id = "high";
  high.line = {{0.0, 0.0}, {0.0, -12.0}};
  const CurbField field = place_curbs(ground, pavement, {level, high}, {});
  for (const CurbStation& s : field.stations) {
    if (std::min(std::fabs(s.at.x_m), std::fabs(s.at.y_m)) > 0.1) continue;
    const bool of_level = s.curb == 0;
    if (std::hypot(s.at.x_m, s.at.y_m) < 1.0) continue;  // the corner itself
    EXPECT_NEAR(s.gutter_level_m, of_level ? 100.0 : 101.0, 0.05) << s.at.x_m << ", " << s.at.y_m;
  }
}

TEST(GutterLevel, NarrowPavementUsesTheDefaultCrossSlopeAndSaysSo) {
  StreetShape shape;
  shape.half_width_m = 0.7;
  const CrownedStreet street = crowned_street(shape);
  const CurbField field = place_curbs(street.ground, street.pavement, street.curbs, {});
  EXPECT_GT(field.notes.at(base::NoteId::CrossSlopeAssumed).count, 0);
  EXPECT_FALSE(field.stations.empty());
}

TEST(GutterLevel, LoweringChangesNoLevelAndNoCrestByABit) {
  StreetShape shape;
  shape.cell_m = 0.5;
  shape.bearing_deg = 30.0;
  shape.noise_m = 0.03;
  shape.curb_half_length_m = 20.0;
  CrownedStreet street = crowned_street(shape);
  street.curbs[1].kind = CurbKind::Gap;
  CurbSettings settings;
  settings.lowering_m = 0.0;
  const CurbField flat = place_curbs(street.ground, street.pavement, street.curbs, settings);
  settings.lowering_m = 0.20;
  const CurbField low = place_curbs(street.ground, street.pavement, street.curbs, settings);
  ASSERT_EQ(flat.stations.size(), low.stations.size());
  for (std::size_t i = 0; i < flat.stations.size(); ++i) {
    EXPECT_EQ(std::memcmp(&flat.stations[i].gutter_level_m, &low.stations[i].gutter_level_m, sizeof(float)),
              0);
    EXPECT_EQ(std::memcmp(&flat.stations[i].crest_m, &low.stations[i].crest_m, sizeof(float)), 0);
    EXPECT_EQ(flat.stations[i].gutter_cell, low.stations[i].gutter_cell);
  }
  const std::vector<Crest> flat_crests = flat.walls.crests();
  const std::vector<Crest> low_crests = low.walls.crests();
  ASSERT_EQ(flat_crests.size(), low_crests.size());
  for (std::size_t i = 0; i < flat_crests.size(); ++i) {
    EXPECT_EQ(flat_crests[i].height_m, low_crests[i].height_m);
  }
  EXPECT_EQ(*std::max_element(flat.lowering_m.values().begin(), flat.lowering_m.values().end()), 0.0F);
  EXPECT_EQ(*std::max_element(low.lowering_m.values().begin(), low.lowering_m.values().end()), 0.20F);
}

/// Crest above the gutter at the middle of the left curb of a level street.
double crest_above_gutter(const CrownedStreet& street, const CurbLine& curb,
                          const CurbSettings& settings = {}) {
  const CurbField field = place_curbs(street.ground, street.pavement, {curb}, settings);
  const CurbStation& s = field.stations[field.stations.size() / 2];
  return static_cast<double>(s.crest_m) - static_cast<double>(s.gutter_level_m);
}

TEST(Crest, FollowsTheKindUnlessTheCurbHasItsOwnHeight) {
  const CrownedStreet street = crowned_street({});
  CurbLine curb = street.curbs[0];
  curb.height_m.reset();
  curb.kind = CurbKind::Vertical;
  EXPECT_NEAR(crest_above_gutter(street, curb), 0.15, 2e-5);
  curb.kind = CurbKind::Rolled;
  EXPECT_NEAR(crest_above_gutter(street, curb), 0.10, 2e-5);
  curb.kind = CurbKind::Flush;
  EXPECT_NEAR(crest_above_gutter(street, curb), 0.0, 2e-5);
  curb.kind = CurbKind::Vertical;
  curb.height_m = 0.2;
  EXPECT_NEAR(crest_above_gutter(street, curb), 0.2, 2e-5);
  const CurbField assumed = place_curbs(street.ground, street.pavement, {street.curbs[0]}, {});
  EXPECT_EQ(assumed.notes.at(base::NoteId::CurbHeightAssumed).count, 0);
}

TEST(Crest, OfAGapIsTheHighestGroundOnTheWayOut) {
  StreetShape shape;
  shape.cell_m = 0.5;
  shape.grade = 0.0;
  shape.lot_step_m = 0.0;
  shape.lot_slope = 0.05;  // a drive that rises: 3 m out it stands near 0.15 m over the gutter
  CrownedStreet rising = crowned_street(shape);
  CurbLine gap = rising.curbs[0];
  gap.kind = CurbKind::Gap;
  gap.height_m.reset();
  EXPECT_NEAR(crest_above_gutter(rising, gap), 0.15, 0.02);
  CurbSettings near;
  near.gap_look_m = 1.0;
  EXPECT_NEAR(crest_above_gutter(rising, gap, near), 0.05, 0.02);
  shape.lot_slope = -0.05;  // a drive that falls: only the lip is left
  const CrownedStreet falling = crowned_street(shape);
  EXPECT_NEAR(crest_above_gutter(falling, gap), 0.025, 0.003);
}

TEST(Crest, OfAKindNoneMakesNoWallAndNoLowering) {
  CrownedStreet street = crowned_street({});
  street.curbs[0].kind = CurbKind::None;
  const CurbField field = place_curbs(street.ground, street.pavement, {street.curbs[0]}, {});
  EXPECT_TRUE(field.set_aside.empty());
  EXPECT_TRUE(field.walls.crests().empty());
  EXPECT_EQ(*std::max_element(field.lowering_m.values().begin(), field.lowering_m.values().end()), 0.0F);
  EXPECT_EQ(*std::max_element(field.gutter.values().begin(), field.gutter.values().end()), 0);
  EXPECT_FALSE(field.stations.empty());
}

TEST(Crest, HolesInTheGroundDropTheirStationsOnly) {
  CrownedStreet street = crowned_street({});
  for (std::int64_t row = 50; row < 60; ++row) {
    for (std::int64_t col = 0; col < street.ground.frame.cols; ++col) {
      street.ground.valid.at(row, col) = 0;
      street.ground.height_m.at(row, col) = 0.0F;
    }
  }
  const CurbField field = place_curbs(street.ground, street.pavement, street.curbs, {});
  EXPECT_TRUE(field.set_aside.empty());
  EXPECT_LT(level_errors(street, field).worst_m, 0.001);
  for (const CurbStation& s : field.stations) EXPECT_EQ(street.ground.valid[s.gutter_cell], 1);
}

}  // namespace
}  // namespace curbshed::terrain
