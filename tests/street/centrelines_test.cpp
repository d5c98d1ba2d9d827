#include "curbshed/street/centrelines.hpp"

#include "support/crowned_street.hpp"
#include "support/noise.hpp"

#include <cmath>
#include <functional>
#include <limits>
#include <map>
#include <set>

#include <gtest/gtest.h>

namespace curbshed::street {
namespace {

using base::Point;
using base::Polyline;
using terrain::CurbKind;
using testing::Chance;
using testing::crowned_street;
using testing::CrownedStreet;
using testing::Ground;
using testing::ground_by;
using testing::StreetShape;

Centreline line(const std::string& id, const std::string& street, Polyline points) {
  Centreline out;
  out.id = id;
  out.street = street;
  out.line = std::move(points);
  return out;
}

double area(const std::vector<base::Polygon>& polygons) {
  double sum = 0.0;
  for (const base::Polygon& polygon : polygons) sum += base::area_m2(polygon);
  return sum;
}

/// Distances of places on the curbs, a metre apart, from where they should be.
std::vector<double> position_errors(const CrownedStreet& street, const StreetCurbs& found) {
  std::vector<double> errors;
  for (const terrain::CurbLine& curb : found.curbs) {
    const double length = base::length_m(curb.line);
    for (double along = 0.5; along < length; along += 1.0) {
      const double off = street.left_m(base::point_along(curb.line, along));
      errors.push_back(std::abs(std::abs(off) - street.shape.half_width_m));
    }
  }
  return errors;
}

double share_at(std::vector<double> values, double share) {
  std::sort(values.begin(), values.end());
  return values.empty() ? 1e9
                        : values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

CrownedStreet noisy_street(double cell_m, double bearing_deg, double half_width_m, double step_m,
                           std::uint64_t seed) {
  StreetShape shape;
  shape.cell_m = cell_m;
  shape.cells = static_cast<std::int64_t>(120.0 / cell_m);
  shape.bearing_deg = bearing_deg;
  shape.half_width_m = half_width_m;
  shape.lot_step_m = step_m;
  CrownedStreet street = crowned_street(shape);
  testing::add_shared_noise(street.ground, 0.03, 5.0, seed);
  return street;
}

/// Drawn `off_m` to the left of the crown.
Centreline drawn_along(const CrownedStreet& street, double off_m) {
  return line("c1", "Kiln Street", {street.at(-200.0, off_m), street.at(200.0, off_m)});
}

TEST(Centrelines, FindTheCurbsOfDrawnStreetsAtManyBearings) {
  for (const double cell_m : {0.5, 1.0}) {
    std::vector<double> errors;
    std::uint64_t seed = 1;
    int inside = 0;
    int all = 0;
    for (double bearing_deg = 0.0; bearing_deg < 180.0; bearing_deg += 15.0) {
      for (const double half_m : {3.7, 4.6, 6.1}) {
        for (const double step_m : {0.15, 0.10}) {
          const CrownedStreet street = noisy_street(cell_m, bearing_deg + 1.0, half_m, step_m, seed++);
          const StreetCurbs found =
              curbs_from_centrelines({drawn_along(street, 0.6)}, street.ground, CentrelineSettings{});
          ASSERT_EQ(found.blocks.size(), 1U);
          EXPECT_EQ(found.blocks[0].width_from, WidthFrom::Ground)
              << cell_m << " " << bearing_deg << " " << half_m << " " << step_m;
          EXPECT_EQ(found.blocks[0].fall, PavementFall::Crowned) << bearing_deg << " " << half_m;
          ++all;
          inside +=
              std::abs(found.blocks[0].width_m - 2.0 * half_m) <= 2.0 * found.blocks[0].width_error_m ? 1 : 0;
          const std::vector<double> more = position_errors(street, found);
          errors.insert(errors.end(), more.begin(), more.end());
        }
      }
    }
    std::printf(
        "cell %.1f m: median %.3f m, 90 %% %.3f m, worst %.3f m; width within twice its error %d of %d\n",
        cell_m, share_at(errors, 0.5), share_at(errors, 0.9), share_at(errors, 1.0), inside, all);
    EXPECT_LT(share_at(errors, 0.5), 0.15 * cell_m);
    EXPECT_LT(share_at(errors, 0.9), 0.35 * cell_m);
    EXPECT_GE(inside, all * 9 / 10);
  }
}

/// Streets along straight middle lines on one plane: each falls from its middle by 2 %, lots stand 15 cm
/// higher.
struct Strip {
  Point from;
  Point to;
  double half_m = 5.0;
};
double off_of(const Strip& strip, Point p) {
  return base::nearest_place({strip.from, strip.to}, p).offset_m - strip.half_m;
}
Ground town(std::int64_t cells, double cell_m, const std::vector<Strip>& strips, double curb_m = 0.15) {
  return ground_by(cells, cells, cell_m, [&](Point p) {
    double nearest = 1e9;
    double middle = 1e9;
    for (const Strip& strip : strips) {
      const double off = off_of(strip, p);
      if (off < nearest) nearest = off;
      if (off <= 0.0) middle = std::min(middle, off + strip.half_m);
    }
    const double plane = 100.0 - 0.01 * p.x_m - 0.006 * p.y_m;
    if (nearest <= 0.0) return plane - 0.02 * middle;
    return plane - 0.10 + curb_m + 0.02 * nearest;
  });
}

const Strip kKiln{{-150, 0}, {150, 0}, 5.0};
const Strip kLantern{{10, -150}, {10, 150}, 4.0};

std::vector<Centreline> crossing() {
  return {line("k", "Kiln Street", {{-150, 0}, {150, 0}}),
          line("l", "Lantern Street", {{10, -150}, {10, 150}})};
}

std::map<std::string, const terrain::CurbLine*> by_id(const StreetCurbs& found) {
  std::map<std::string, const terrain::CurbLine*> out;
  for (const terrain::CurbLine& curb : found.curbs) out[curb.id] = &curb;
  return out;
}

TEST(Centrelines, ACrossingOpensUpWithRoundCorners) {
  const Ground ground = town(240, 1.0, {kKiln, kLantern});
  const StreetCurbs found = curbs_from_centrelines(crossing(), ground, CentrelineSettings{});
  ASSERT_EQ(found.blocks.size(), 4U);
  for (const StreetBlock& block : found.blocks) {
    EXPECT_EQ(block.width_from, WidthFrom::Ground);
    EXPECT_NEAR(block.width_m, block.street == "Kiln Street" ? 10.0 : 8.0, 2.0 * block.width_error_m);
  }
  ASSERT_EQ(found.curbs.size(), 8U);  // two a block: nothing across a mouth or where a street leaves the data
  std::set<std::string> ids;
  for (const terrain::CurbLine& curb : found.curbs) {
    EXPECT_TRUE(ids.insert(curb.id).second) << curb.id;
    EXPECT_EQ(curb.street_side, terrain::StreetSide::Left);
    EXPECT_EQ(curb.kind, CurbKind::Vertical);
  }
  EXPECT_EQ(*ids.begin(), "kiln-street-north-lantern-street");
  // A return of 4.5 m: the corner of the two curbs, (6, 5), is 4.5 (√2 − 1) = 1.9 m off the nearest curb.
  double nearest = 1e9;
  for (const terrain::CurbLine& curb : found.curbs)
    nearest = std::min(nearest, base::nearest_place(curb.line, {6.0, 5.0}).offset_m);
  EXPECT_NEAR(nearest, 1.86, 0.5);
}

TEST(Centrelines, TheWallsHoldAndEveryCurbIsUsed) {
  const Ground ground = town(240, 1.0, {kKiln, kLantern});
  const StreetCurbs found = curbs_from_centrelines(crossing(), ground, CentrelineSettings{});
  const terrain::CurbField field = terrain::place_curbs(ground, {}, found.curbs, {});
  EXPECT_TRUE(field.set_aside.empty());
  double known = 0.0;
  for (const terrain::CurbStation& station : field.stations) known += station.gutter_cell >= 0 ? 1.0 : 0.0;
  EXPECT_GT(known, 0.95 * static_cast<double>(field.stations.size()));
}

TEST(Centrelines, NeitherOrderNorDirectionOfTheLinesMatters) {
  const Ground ground = town(240, 1.0, {kKiln, kLantern});
  std::vector<Centreline> lines = {
      line("a", "Kiln Street", {{-150, 0}, {-40, 0}}), line("b", "Kiln Street", {{-40, 0}, {10, 0}}),
      line("c", "Kiln Street", {{10, 0}, {150, 0}}), line("d", "Lantern Street", {{10, -150}, {10, 0.4}}),
      line("e", "Lantern Street", {{10, 0}, {10, 150}})};
  const StreetCurbs first = curbs_from_centrelines(lines, ground, CentrelineSettings{});
  EXPECT_EQ(first.blocks.size(), 4U);
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    Chance chance(seed);
    for (std::size_t i = lines.size() - 1; i > 0; --i) {
      std::swap(lines[i], lines[static_cast<std::size_t>(chance.below(static_cast<std::int64_t>(i) + 1))]);
    }
    for (Centreline& one : lines) {
      if (chance.below(2) == 0) std::reverse(one.line.begin(), one.line.end());
    }
    const StreetCurbs again = curbs_from_centrelines(lines, ground, CentrelineSettings{});
    ASSERT_EQ(again.curbs.size(), first.curbs.size());
    for (std::size_t i = 0; i < first.curbs.size(); ++i) {
      EXPECT_EQ(again.curbs[i].id, first.curbs[i].id);
      EXPECT_EQ(again.curbs[i].line, first.curbs[i].line) << first.curbs[i].id;
    }
    ASSERT_EQ(again.pavement.size(), first.pavement.size());
    for (std::size_t i = 0; i < first.pavement.size(); ++i)
      EXPECT_EQ(again.pavement[i].rings, first.pavement[i].rings);
  }
}

TEST(Centrelines, WidthsComeFromTheLineThenTheGroundThenTheStreetThenTheClass) {
  const Ground flat = testing::level_ground(200, 200, 1.0, 100.0F);
  std::vector<Centreline> lines = {line("k", "Kiln Street", {{-150, 0}, {150, 0}})};
  StreetCurbs found = curbs_from_centrelines(lines, flat, CentrelineSettings{});
  ASSERT_EQ(found.blocks.size(), 1U);
  EXPECT_EQ(found.blocks[0].width_from, WidthFrom::Class);
  EXPECT_EQ(found.blocks[0].width_m, 10.0);
  EXPECT_GT(found.blocks[0].curb_error_m, 1.0);
  EXPECT_FALSE(found.blocks[0].ground_width_m.has_value());
  lines[0].width_m = 8.5;
  found = curbs_from_centrelines(lines, flat, CentrelineSettings{});
  EXPECT_EQ(found.blocks[0].width_from, WidthFrom::Line);
  EXPECT_NEAR(area(found.pavement), 8.5 * 340.0, 1.0);  // runs on by 20 m at both ends
  // Half of a street has no curb: its other half says the width.
  const Strip west{{-150, 0}, {10, 0}, 6.0};
  const Ground half = ground_by(200, 200, 1.0, [&](Point p) {
    return p.x_m > 10.0 ? 100.0 : off_of(west, p) <= 0.0 ? 100.0 - 0.02 * std::abs(p.y_m) : 100.03;
  });
  lines = crossing();
  found = curbs_from_centrelines(lines, half, CentrelineSettings{});
  ASSERT_EQ(found.blocks.size(), 4U);
  EXPECT_EQ(found.blocks[0].width_from, WidthFrom::Ground);
  EXPECT_EQ(found.blocks[1].width_from, WidthFrom::Street);
  EXPECT_NEAR(found.blocks[1].width_m, 12.0, 0.5);
}

/// The pavement's height `off` metres to the left of the line, by its fall.
StreetBlock block_with_fall(const std::function<double(double)>& fall, double half_m, StreetClass kind,
                            double cell_m, double bearing_deg, std::uint64_t seed) {
  StreetShape shape;
  shape.bearing_deg = bearing_deg;
  const CrownedStreet axes = crowned_street(shape);  // for its axes only
  Ground ground = ground_by(static_cast<std::int64_t>(120.0 / cell_m),
                            static_cast<std::int64_t>(120.0 / cell_m), cell_m, [&](Point p) {
                              const double off = axes.left_m(p);
                              const double along = 100.0 + 0.01 * axes.along_m(p);
                              const double edge = std::clamp(off, -half_m, half_m);
                              const double lot =
                                  std::abs(off) > half_m ? 0.15 + 0.02 * (std::abs(off) - half_m) : 0.0;
                              return along + fall(edge) + lot;
                            });
  testing::add_shared_noise(ground, 0.03, 5.0, seed);
  Centreline one = line("c", "Adobe Lane", {axes.at(-200.0, 0.0), axes.at(200.0, 0.0)});
  one.street_class = kind;
  return curbs_from_centrelines({one}, ground, CentrelineSettings{}).blocks.at(0);
}

TEST(Centrelines, TellAlongWhichCurbWaterRuns) {
  struct Case {
    const char* name;
    std::function<double(double)> fall;
    double half_m;
    StreetClass kind;
    PavementFall left_up;  ///< seen along the axes; mirrored where the block runs the other way
  };
  const std::vector<Case> cases = {
      {"crowned", [](double t) { return -0.02 * std::abs(t); }, 5.0, StreetClass::Residential,
       PavementFall::Crowned},
      {"inverted alley", [](double t) { return 0.03 * std::abs(t); }, 2.4, StreetClass::Alley,
       PavementFall::Inverted},
      {"inverted street", [](double t) { return 0.02 * std::abs(t); }, 5.0, StreetClass::Residential,
       PavementFall::Inverted},
      {"to its left", [](double t) { return -0.02 * t; }, 5.0, StreetClass::Residential,
       PavementFall::ToLeft},
      {"flat", [](double) { return 0.0; }, 5.0, StreetClass::Residential, PavementFall::Unknown}};
  int right = 0;
  int wrong = 0;
  int all = 0;
  for (const Case& one : cases) {
    for (const double cell_m : {0.5, 1.0}) {
      for (double bearing_deg = 3.0; bearing_deg < 180.0; bearing_deg += 25.0) {
        const StreetBlock block = block_with_fall(one.fall, one.half_m, one.kind, cell_m, bearing_deg,
                                                  100 + static_cast<std::uint64_t>(all));
        ++all;
        PavementFall wanted = one.left_up;
        if (wanted == PavementFall::ToLeft && bearing_deg > 180.0) wanted = PavementFall::ToRight;
        right += block.fall == wanted ? 1 : 0;
        wrong += block.fall != wanted && block.fall != PavementFall::Unknown ? 1 : 0;
        EXPECT_TRUE(block.fall == wanted || block.fall == PavementFall::Unknown)
            << one.name << " " << cell_m << " " << bearing_deg << " " << static_cast<int>(block.fall);
      }
    }
  }
  std::printf("falls: %d right, %d wrong of %d\n", right, wrong, all);
  EXPECT_GE(right, all * 85 / 100);
}

TEST(Centrelines, ADividedStreetKeepsItsMedian) {
  const Strip north{{-150, 8}, {150, 8}, 4.0};
  const Strip south{{-150, -8}, {150, -8}, 4.0};
  const Ground ground = town(200, 0.5, {north, south});
  std::vector<Centreline> lines = {line("n", "Mesquite Street", {{-150, 8}, {150, 8}}),
                                   line("s", "Mesquite Street", {{150, -8}, {-150, -8}})};
  for (Centreline& one : lines) one.street_class = StreetClass::Arterial;
  const StreetCurbs found = curbs_from_centrelines(lines, ground, CentrelineSettings{});
  ASSERT_EQ(found.blocks.size(), 2U);
  ASSERT_EQ(found.curbs.size(), 4U);
  std::set<std::string> sides;
  for (const terrain::CurbLine& curb : found.curbs) sides.insert(curb.side);
  EXPECT_EQ(sides, (std::set<std::string>{"north", "south", "north median", "south median"}));
  for (const StreetBlock& block : found.blocks) {
    EXPECT_TRUE(block.divided);
    EXPECT_NEAR(block.width_m, 8.0, 0.5);
  }
}

TEST(Centrelines, DeadEndsAndBulbs) {
  // Ends at x = 20, with a bulb of 9 m there.
  const Strip stem{{-150, 0}, {20, 0}, 4.0};
  const Strip bulb{{20, 0}, {20.001, 0}, 9.0};
  Centreline one = line("k", "Sorrel Street", {{-150, 0}, {20, 0}});
  StreetCurbs found = curbs_from_centrelines({one}, town(160, 0.5, {stem, bulb}), CentrelineSettings{});
  double reach = 0.0;
  for (const terrain::CurbLine& curb : found.curbs) {
    for (const Point& p : curb.line) reach = std::max(reach, p.x_m);
    EXPECT_EQ(curb.kind, CurbKind::Vertical) << curb.id;
  }
  EXPECT_NEAR(reach, 29.0, 0.5);
  // Without a bulb: flat, with a curb across because the ground steps up (round here, so 4 m farther).
  found = curbs_from_centrelines({one}, town(160, 0.5, {stem}), CentrelineSettings{});
  reach = 0.0;
  for (const terrain::CurbLine& curb : found.curbs) {
    for (const Point& p : curb.line) reach = std::max(reach, p.x_m);
  }
  EXPECT_NEAR(reach, 20.0, 0.1);
  // On level ground nothing tells of a curb across the end: there is none.
  const Ground flat = testing::level_ground(160, 160, 0.5, 100.0F);
  found = curbs_from_centrelines({one}, flat, CentrelineSettings{});
  EXPECT_TRUE(std::any_of(found.curbs.begin(), found.curbs.end(),
                          [](const terrain::CurbLine& curb) { return curb.kind == CurbKind::None; }));
  one.street_class = StreetClass::CulDeSac;
  found = curbs_from_centrelines({one}, flat, CentrelineSettings{});
  reach = 0.0;
  for (const terrain::CurbLine& curb : found.curbs) {
    for (const Point& p : curb.line) reach = std::max(reach, p.x_m);
  }
  EXPECT_NEAR(reach, 32.0, 0.1);
}

TEST(Centrelines, AlleysHaveNoCurbUnlessTheGroundShowsOne) {
  Centreline alley = line("a", "Adobe Lane", {{-150, 0}, {150, 0}});
  alley.street_class = StreetClass::Alley;
  const StreetCurbs found =
      curbs_from_centrelines({alley}, testing::level_ground(160, 160, 0.5, 100.0F), CentrelineSettings{});
  ASSERT_FALSE(found.curbs.empty());
  EXPECT_EQ(found.curbs[0].kind, CurbKind::None);
  EXPECT_EQ(found.blocks[0].width_m, 4.5);
  const StreetCurbs shown = curbs_from_centrelines({alley}, town(160, 0.5, {Strip{{-150, 0}, {150, 0}, 2.5}}),
                                                   CentrelineSettings{});
  EXPECT_EQ(shown.curbs[0].kind, CurbKind::Vertical);
  EXPECT_NEAR(shown.blocks[0].width_m, 5.0, 0.5);
}

TEST(Centrelines, LinesThatCannotBeUsedAreNamed) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  std::vector<Centreline> lines = crossing();
  lines.push_back(line("lost", "", {{nan, 0}, {1, 1}}));
  lines.push_back(line("short", "", {{0, 0}, {0.2, 0}}));
  lines.push_back(line("away", "", {{5000, 0}, {6000, 0}}));
  lines.push_back(line("empty", "", {}));
  const StreetCurbs found = curbs_from_centrelines(lines, town(100, 1.0, {kKiln}), CentrelineSettings{});
  ASSERT_EQ(found.unused.size(), 4U);
  EXPECT_EQ(found.unused[0].id, "away");
  EXPECT_EQ(found.unused[0].reason, "outside the elevation");
  EXPECT_EQ(found.unused[1].reason, "the line is shorter than 1 m");
  EXPECT_EQ(found.unused[2].reason, "a coordinate is not a number");
  EXPECT_EQ(found.unused[3].reason, "the line is shorter than 1 m");
  EXPECT_TRUE(curbs_from_centrelines({}, town(10, 1.0, {kKiln}), CentrelineSettings{}).curbs.empty());
}

TEST(Centrelines, AnyTangleOfLinesGivesTheSameCurbsInAnyOrder) {
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    Chance chance(seed);
    Ground ground = ground_by(120, 120, 1.0, [](Point p) {
      return 100.0 + 0.01 * p.x_m + 0.3 * std::sin(p.x_m / 9.0) * std::cos(p.y_m / 7.0);
    });
    for (std::int64_t cell = 0; cell < ground.frame.cells(); ++cell) {
      if (chance.below(50) != 0) continue;
      ground.valid[cell] = 0;
      ground.height_m[cell] = 0.0F;
    }
    std::vector<Centreline> lines;
    const std::int64_t count = 1 + chance.below(12);
    for (std::int64_t i = 0; i < count; ++i) {
      const std::string street = chance.below(3) == 0 ? "" : "S" + std::to_string(chance.below(4));
      Centreline one = line(std::to_string(i), street, {});
      one.street_class = static_cast<StreetClass>(chance.below(5));
      if (chance.below(3) == 0) one.width_m = 2.0 + 20.0 * chance.share();
      for (std::int64_t k = 2 + chance.below(5); k > 0; --k) {
        const double grid = chance.below(2) == 0 ? 10.0 : 1.0;
        const double x = std::round((160.0 * chance.share() - 80.0) / grid) * grid;
        const double y = std::round((160.0 * chance.share() - 80.0) / grid) * grid;
        one.line.push_back({x, y});
      }
      if (chance.below(6) == 0) one.line.push_back(one.line.front());
      lines.push_back(std::move(one));
    }
    const StreetCurbs first = curbs_from_centrelines(lines, ground, CentrelineSettings{});
    std::reverse(lines.begin(), lines.end());
    for (Centreline& one : lines) {
      if (chance.below(2) == 0) std::reverse(one.line.begin(), one.line.end());
    }
    const StreetCurbs again = curbs_from_centrelines(lines, ground, CentrelineSettings{});
    ASSERT_EQ(again.curbs.size(), first.curbs.size()) << "seed " << seed;
    for (std::size_t i = 0; i < first.curbs.size(); ++i) {
      EXPECT_EQ(again.curbs[i].id, first.curbs[i].id) << "seed " << seed;
      EXPECT_EQ(again.curbs[i].line, first.curbs[i].line) << "seed " << seed;
      EXPECT_EQ(again.curbs[i].kind, first.curbs[i].kind) << "seed " << seed;
    }
    EXPECT_NO_THROW(terrain::place_curbs(ground, {}, first.curbs, {})) << "seed " << seed;
  }
}

TEST(Centrelines, NameTheEdgesOfPavementThatIsGiven) {
  const Ground ground = town(240, 1.0, {kKiln, kLantern});
  const std::vector<base::Polygon> pavement =
      curbs_from_centrelines(crossing(), ground, CentrelineSettings{}).pavement;
  const StreetCurbs named = name_pavement_edges(pavement, crossing(), ground, CentrelineSettings{});
  EXPECT_TRUE(named.pavement.empty());
  const auto curbs = by_id(named);
  ASSERT_EQ(curbs.count("lantern-street-west-kiln-street"), 1U);
  EXPECT_EQ(curbs.at("lantern-street-west-kiln-street")->street, "Lantern Street");
  for (const CurbFacts& facts : named.facts) {
    EXPECT_EQ(facts.from, CurbFrom::Pavement);
    EXPECT_FALSE(facts.position_error_m.has_value());
  }
}

}  // namespace
}  // namespace curbshed::street
