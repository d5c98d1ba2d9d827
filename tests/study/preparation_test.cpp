#include "curbshed/study/preparation.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/study/storm.hpp"
#include "curbshed/water/travel.hpp"

#include "support/chain_worlds.hpp"
#include "support/study_block.hpp"

#include <cmath>
#include <numeric>

#include <gtest/gtest.h>

namespace curbshed::testing {
namespace {

using namespace curbshed::study;

std::size_t node(const ChainModel& model, const std::string& id) {
  const std::int32_t found = node_of(model.network, id);
  EXPECT_GE(found, 0) << id;
  return static_cast<std::size_t>(found);
}

/// Kiln Street at 0.5 m, one cut in the middle of its north side and an outfall below it.
DrawnBlock one_cut(const StraightStreet& street) {
  DrawnBlock block = draw_block(street);
  block.cut("cut-1", 0.0, 5.0);
  block.outfall("out-1", 40.0, 5.0);
  return block;
}

TEST(Preparation, EveryValidCellIsInOneContributionEntry) {
  DrawnBlock block = one_cut({});
  for (std::int64_t cell = 0; cell < 200; ++cell) {
    block.ground.valid[cell * 37] = 0;
  }
  const Preparation p = prepare(inputs_of(block), usual_settings(), {});
  std::int64_t valid = 0;
  for (const std::uint8_t v : block.ground.valid.values()) {
    valid += v;
  }
  const std::vector<std::int64_t> cells = street::cells_of_nodes(p.model.contribution);
  EXPECT_EQ(std::accumulate(cells.begin(), cells.end(), std::int64_t{0}), valid);
  EXPECT_EQ(p.model.params.size(), p.model.network.size());
  EXPECT_EQ(p.maps.gutters.size(), p.model.network.size());
  EXPECT_EQ(p.maps.basins.size(), p.model.network.size());
  std::int64_t traced = 0;
  for (const terrain::LabelArea& area : p.maps.areas) {
    traced += area.cells;
  }
  EXPECT_EQ(traced, valid);
}

TEST(Preparation, ThreadsAndTilesChangeNothing) {
  DrawnBlock block = one_cut({});
  add_noise(block.ground, 0.02, 7);
  const StudyInputs inputs = inputs_of(block);
  const Preparation one = prepare(inputs, usual_settings(), {});
  const Preparation two = prepare(inputs, usual_settings(), {2, 60, 90});
  ASSERT_EQ(one.model.contribution.entries.size(), two.model.contribution.entries.size());
  for (std::size_t i = 0; i < one.model.contribution.entries.size(); ++i) {
    EXPECT_EQ(one.model.contribution.entries[i].cells, two.model.contribution.entries[i].cells);
    EXPECT_EQ(one.model.contribution.entries[i].time_bin, two.model.contribution.entries[i].time_bin);
    EXPECT_EQ(one.model.contribution.entries[i].join_part, two.model.contribution.entries[i].join_part);
  }
  EXPECT_EQ(one.maps.travel_time_s.values(), two.maps.travel_time_s.values());
  for (std::size_t n = 0; n < one.model.network.size(); ++n) {
    EXPECT_EQ(one.model.params[n].basin.rim_m, two.model.params[n].basin.rim_m);
  }
}

TEST(Preparation, AStormRunsWithEveryRasterReleased) {
  ChainModel model;
  {
    const StudyInputs inputs = inputs_of(one_cut({}));
    Preparation p = prepare(inputs, usual_settings(), {});
    model = std::move(p.model);
  }
  const StormComparison c = compare_storm(model, hour_storm(0.022), true);
  const NodeResult& cut = c.with_cuts.nodes[node(model, "cut-1")];
  EXPECT_GT(cut.captured_m3, 0.1);
  EXPECT_LT(c.with_cuts.ledger.left_at_outfalls_m3, c.base.ledger.left_at_outfalls_m3);
}

TEST(Preparation, OpeningsTakeTheSitesMeasuresThenTheStudys) {
  DrawnBlock block = one_cut({});
  block.inlet("inlet-1", 20.0, 5.0);
  StudyInputs inputs = inputs_of(block);
  inputs.overrides[0].opening_m = 0.6;
  inputs.overrides[0].basin_length_m = 5.0;
  Settings settings = usual_settings();
  settings.street.inlets_blocked = true;
  const Preparation p = prepare(inputs, settings, {});
  const NodeParams& cut = p.model.params[node(p.model, "cut-1")];
  EXPECT_EQ(cut.opening_m, 0.6);
  EXPECT_EQ(cut.clogging, settings.basin.opening_clogging);
  EXPECT_EQ(cut.basin.length_m, 5.0);
  EXPECT_EQ(cut.basin.width_m, settings.basin.width_m);
  EXPECT_NEAR(cut.grade, 0.01, 5e-4);
  EXPECT_NEAR(cut.cross_slope, 0.02, 1e-3);
  // Crown 100 − 0.01 · 0, less 5 m at 2 %.
  EXPECT_NEAR(cut.basin.invert_m, 99.9, 0.01);
  const NodeParams& inlet = p.model.params[node(p.model, "inlet-1")];
  EXPECT_EQ(inlet.opening_m, 1.5);
  EXPECT_TRUE(inlet.blocked);
  EXPECT_TRUE(p.model.notes.has(base::NoteId::InletAssumed));
  EXPECT_TRUE(p.model.notes.has(base::NoteId::OpeningOutsideTests));
}

TEST(Preparation, GradesUnderTheLeastAreLiftedAndNoted) {
  StraightStreet street;
  street.grade = 0.001;
  const Preparation p = prepare(inputs_of(one_cut(street)), usual_settings(), {});
  EXPECT_EQ(p.model.params[node(p.model, "cut-1")].grade, 0.003);
  EXPECT_TRUE(p.model.notes.has(base::NoteId::GradeBelowFormula));
}

TEST(Preparation, AWalledYardKeepsItsRainFromTheCut) {
  const DrawnBlock block = one_cut({});
  StudyInputs inputs = inputs_of(block);
  const Preparation open = prepare(inputs, usual_settings(), {});
  inputs.walls = {{"yard", {{-40.0, 10.0}, {-20.0, 10.0}, {-20.0, 20.0}, {-40.0, 20.0}, {-40.0, 10.0}}, {}}};
  const Preparation walled = prepare(inputs, usual_settings(), {});
  const auto area = [](const Preparation& p) { return own_areas_m2(p.model)[node(p.model, "cut-1")]; };
  // 200 m2 are closed off; what runs along the walls comes by all the same.
  EXPECT_NEAR(area(open) - area(walled), 200.0, 12.0);
  ASSERT_TRUE(walled.model.notes.has(base::NoteId::SagKept));  // it holds its rain
}

TEST(Preparation, DrainsThatWereNotGivenAndRoofsOverHolesAreNoted) {
  DrawnBlock block = one_cut({});
  block.roof = Grid<std::uint8_t>(block.ground.frame.rows, block.ground.frame.cols, 0);
  for (std::int64_t c = 100; c < 108; ++c) {
    for (std::int64_t r = 20; r < 25; ++r) {
      block.roof.at(r, c) = 1;
      block.ground.valid.at(r, c) = 0;
    }
  }
  StudyInputs inputs = inputs_of(block);
  inputs.inlets_given = false;
  const Preparation p = prepare(inputs, usual_settings(), {});
  EXPECT_TRUE(p.model.notes.has(base::NoteId::DrainsNotGiven));
  EXPECT_EQ(p.maps.roof_over_hole_m2, 40 * 0.25);
  EXPECT_EQ(p.model.notes.at(base::NoteId::RoofOverHole).worst, 10.0);
}

TEST(Preparation, AGutterLineLeadsToTheNextNode) {
  const Preparation p = prepare(inputs_of(one_cut({})), usual_settings(), {});
  const std::size_t cut = node(p.model, "cut-1");
  const base::Polyline& line = p.maps.gutters[cut];
  ASSERT_GE(line.size(), 2U);
  EXPECT_NEAR(line.front().x_m, 0.0, 1.5);
  EXPECT_NEAR(line.back().x_m, 40.0, 1.5);
  EXPECT_NEAR(base::length_m(line), p.model.network.reach_length_m[cut], 1.5);
  EXPECT_TRUE(p.maps.gutters[node(p.model, "out-1")].empty());
}

// ---- basins

TEST(BasinSite, IsARectangleBehindTheCurbCentredOnTheCut) {
  const Preparation p = prepare(inputs_of(one_cut({})), usual_settings(), {});
  const base::Polygon& line = p.maps.basins[node(p.model, "cut-1")];
  ASSERT_EQ(line.rings.size(), 1U);
  EXPECT_NEAR(base::area_m2(line), 3.0 * 1.5, 1e-9);
  base::Shape shape = base::polygon_shape(line);
  const base::Box box = base::box_of(shape);
  EXPECT_NEAR(box.min_y_m, 5.3, 0.01);
  EXPECT_NEAR(box.max_y_m, 6.8, 0.01);
  EXPECT_NEAR(0.5 * (box.min_x_m + box.max_x_m), p.model.network.at[node(p.model, "cut-1")].x_m, 1e-9);
  // Counter-clockwise.
  double twice = 0.0;
  for (std::size_t i = 0; i + 1 < line.rings[0].size(); ++i) {
    twice +=
        line.rings[0][i].x_m * line.rings[0][i + 1].y_m - line.rings[0][i + 1].x_m * line.rings[0][i].y_m;
  }
  EXPECT_GT(twice, 0.0);
}

TEST(BasinSite, ABasinWithNoFloorIsRefusedWithItsArithmetic) {
  StudyInputs inputs = inputs_of(one_cut({}));
  inputs.overrides[0].basin_width_m = 0.5;
  try {
    prepare(inputs, usual_settings(), {});
    FAIL();
  } catch (const base::InputError& error) {
    const std::string text = error.what();
    EXPECT_NE(text.find("cut-1"), std::string::npos) << text;
    EXPECT_NE(text.find("0.50"), std::string::npos) << text;
    EXPECT_NE(text.find("0.15"), std::string::npos) << text;
  }
}

TEST(BasinSite, GroundThatIsNotKnownAndPavementUnderItAreNoted) {
  DrawnBlock block = one_cut({});
  const GridFrame& f = block.ground.frame;
  block.ground.valid[f.cell_at({1.0, 6.6})] = 0;
  block.pavement[f.cell_at({-1.0, 6.1})] = 1;
  const Preparation p = prepare(inputs_of(block), usual_settings(), {});
  EXPECT_EQ(p.model.notes.at(base::NoteId::BasinGroundUnknown).worst, 0.25);
  EXPECT_EQ(p.model.notes.at(base::NoteId::BasinOnHardGround).worst, 0.25);
}

/// What the drawn basins are asked: where is the rim lowest, and what became of the water?
struct DrawnBasin {
  const char* name;
  bool spills;
};

struct Outcome {
  ChainModel model;
  StormComparison storm;
  std::size_t cut = 0;
};

Outcome run_block(const DrawnBlock& block, const Settings& settings) {
  Outcome out;
  Preparation p = prepare(inputs_of(block), settings, {});
  out.model = std::move(p.model);
  out.storm = compare_storm(out.model, hour_storm(0.03), false);
  out.cut = node(out.model, "cut-1");
  return out;
}

/// What is missing at the outfall with the cut, of the runoff of the same ground: that of the basin's place
/// comes off in the base case only.
double missing_m3(const Outcome& o) {
  double missing = o.storm.base.ledger.left_at_outfalls_m3 - o.storm.with_cuts.ledger.left_at_outfalls_m3;
  for (std::size_t n = 0; n < o.storm.base.nodes.size(); ++n) {
    if (o.model.network.kind[n] == street::NodeKind::DataEdge) continue;
    missing += o.storm.with_cuts.nodes[n].own_runoff_m3 - o.storm.base.nodes[n].own_runoff_m3;
  }
  return missing;
}

void expect_spill(const Outcome& o) {
  const BasinParams& basin = o.model.params[o.cut].basin;
  const NodeResult& site = o.storm.with_cuts.nodes[o.cut];
  EXPECT_TRUE(basin.rim_below_invert());
  EXPECT_TRUE(o.model.notes.has(base::NoteId::BasinSpillsOverRim));
  EXPECT_GT(site.over_rim_m3, 0.1);
  EXPECT_GT(site.over_rim_first_minute, 0.0);
  EXPECT_GE(basin.rim_to, 0);
  EXPECT_EQ(site.returned_m3, 0.0);
  EXPECT_NEAR(missing_m3(o) + site.rain_on_m3, site.over_rim_m3 + site.infiltrated_m3 + site.stored_at_end_m3,
              0.005);
  EXPECT_NEAR(site.rain_on_m3, 0.03 * basin.length_m * basin.width_m, 1e-9) << "its own rain, once";
}

Settings long_basin(double length_m) {
  Settings settings = usual_settings();
  settings.basin.length_m = length_m;
  settings.basin.opening_m = 1.0;
  return settings;
}

TEST(FourDrawnBasins, RimLowerAtTheHouse) {
  StraightStreet street;
  street.lot_slope_at = [](double x) { return std::abs(x) < 4.0 ? -0.15 : 0.02; };
  const Outcome o = run_block(one_cut(street), long_basin(4.0));
  expect_spill(o);
  EXPECT_GT(o.model.params[o.cut].basin.rim_at.y_m, 6.8);
}

TEST(FourDrawnBasins, RimLowerAtTheWalk) {
  StraightStreet street;
  DrawnBlock block = one_cut(street);
  for (std::int64_t cell = 0; cell < block.ground.frame.cells(); ++cell) {
    const base::Point p = block.ground.frame.centre(cell);
    // A sunken walk that crosses the strip beside the basin and leads away from the street.
    if (p.x_m > -3.5 && p.x_m < -2.0 && p.y_m > 5.25) {
      block.ground.height_m[cell] = static_cast<float>(99.86 - 0.01 * (p.y_m - 5.0));
    }
  }
  const Outcome o = run_block(block, long_basin(4.0));
  expect_spill(o);
  EXPECT_LT(o.model.params[o.cut].basin.rim_at.x_m, -2.0);
}

TEST(FourDrawnBasins, RimLowerAtTheDownstreamEndOfAFourPercentGrade) {
  StraightStreet street;
  street.grade = 0.04;
  street.lot_slope = 0.005;
  Settings settings = long_basin(5.0);
  settings.basin.mouth_at = 0.0;  // the cut at the upper end
  const Outcome o = run_block(one_cut(street), settings);
  expect_spill(o);
  EXPECT_GT(o.model.params[o.cut].basin.rim_at.x_m, 4.5);
  settings.basin.mouth_at = 1.0;
  const Outcome below = run_block(one_cut(street), settings);
  EXPECT_FALSE(below.model.params[below.cut].basin.rim_below_invert())
      << "the same basin with its cut at the lower end";
}

TEST(FourDrawnBasins, RimLowerNowherePassesItsWaterOnDownTheGutter) {
  const Outcome o = run_block(one_cut({}), long_basin(4.0));
  const NodeResult& site = o.storm.with_cuts.nodes[o.cut];
  EXPECT_FALSE(o.model.params[o.cut].basin.rim_below_invert());
  EXPECT_NEAR(o.model.params[o.cut].basin.rim_m - o.model.params[o.cut].basin.invert_m, 0.13, 0.04);
  EXPECT_EQ(site.over_rim_m3, 0.0);
  EXPECT_GE(site.filled_minute, 0.0);
  EXPECT_NEAR(missing_m3(o) + site.rain_on_m3, site.infiltrated_m3 + site.stored_at_end_m3, 0.005);
}

// ---- a street whose lots fall away

/// A street that fills its low curb, with northern lots that fall away from it.
DrawnBlock low_side(terrain::CurbKind kind) {
  StraightStreet street;
  street.curb_m = 0.03;  // a low curb, so that half a street fills it
  street.lot_slope = -0.05;
  street.lot_slope_at = [](double) { return -0.05; };
  DrawnBlock block = draw_block(street);
  block.outfall("out-1", 40.0, 5.0);
  block.cut("cut-1", 20.0, 5.0);
  for (terrain::CurbLine& curb : block.curbs) {
    curb.height_m = 0.03;
    curb.kind = kind;
  }
  return block;
}

TEST(LowSide, SpillsAboveItsCrestWhatTheGutterCannotCarry) {
  const Preparation p = prepare(inputs_of(low_side(terrain::CurbKind::Vertical)), usual_settings(), {});
  const std::size_t cut = node(p.model, "cut-1");
  double begins_m = 0.0;
  for (const street::SideWay& way : p.model.network.side_ways) {
    if (way.from == static_cast<std::int32_t>(cut) && way.to < 0) begins_m = way.begins_depth_m;
  }
  EXPECT_NEAR(begins_m, 0.03, 0.002);
  // Izzard's triangle by hand: T = d / Sx, Q = 0.376 / n · Sx^(5/3) · S^(1/2) · T^(8/3).
  const NodeParams& gutter = p.model.params[cut];
  const double carries = 0.376 / gutter.roughness * std::pow(gutter.cross_slope, 5.0 / 3.0) *
                         std::sqrt(gutter.grade) * std::pow(begins_m / gutter.cross_slope, 8.0 / 3.0);
  const NodeResult small = compare_storm(p.model, hour_storm(0.006), false).base.nodes[cut];
  EXPECT_LT(small.peak_arriving_m3_s, carries);
  EXPECT_EQ(small.over_curb_m3, 0.0);
  const Storm storm = hour_storm(0.060);
  const EventReaches reaches = event_reaches(p.model, storm);
  const auto closed = all_closed(p.model);
  const StormResult spills = run_storm(p.model, reaches, storm, closed, empty_state(p.model));
  const NodeResult& large = spills.nodes[cut];
  EXPECT_GT(large.peak_arriving_m3_s, 1.2 * carries);
  EXPECT_NEAR(large.peak_leaving_m3_s, carries, 1e-9);
  EXPECT_NEAR(large.arriving_m3, large.passed_on_m3 + large.over_curb_m3, 1e-9);
  // With no way over the curb here, all that arrives goes on: Q of each step.
  ChainModel kept = p.model;
  std::erase_if(kept.network.side_ways,
                [&](const street::SideWay& way) { return way.from == static_cast<std::int32_t>(cut); });
  const StormResult all = run_storm(kept, reaches, storm, closed, empty_state(kept));
  ASSERT_NEAR(all.nodes[cut].arriving_m3, large.arriving_m3, 1e-9);
  double over_m3 = 0.0;
  for (std::size_t k = 0; k < storm.rain_m.size(); ++k) {
    const double arrives_m3_s = static_cast<double>(all.leaving_m3_s[cut][k]);
    const double spilled_m3_s = arrives_m3_s - static_cast<double>(spills.leaving_m3_s[cut][k]);
    EXPECT_NEAR(spilled_m3_s, std::max(0.0, arrives_m3_s - carries), 1e-7) << k;
    over_m3 += std::max(0.0, arrives_m3_s - carries) * storm.step_s;
  }
  EXPECT_GT(over_m3, 0.1);
  EXPECT_NEAR(large.over_curb_m3, over_m3, 0.01 * over_m3);
}

// ---- side ways: over a low curb, over a driveway's lip, over a low crown

struct SideWayStreet {
  const char* name;
  street::SideWayKind kind;
  double begins_m;  ///< as drawn: crest, lip or crown above the gutter
  DrawnBlock block;
};

std::vector<SideWayStreet> side_way_streets() {
  StraightStreet driveway;
  driveway.lot_slope_at = [](double x) { return x > 0.0 && x < 25.0 ? -0.03 : 0.02; };
  DrawnBlock lip = draw_block(driveway);
  const terrain::CurbLine north = lip.curbs[0];
  lip.curbs[0].line = {north.line[0], {10.0, 5.0}};
  lip.curbs.push_back(north);
  lip.curbs.back().id = "n2";
  lip.curbs.back().line = {{14.0, 5.0}, north.line[1]};
  lip.curbs.push_back(curb_line("gap", "Kiln Street", "north", {{10.0, 5.0}, {14.0, 5.0}}));
  lip.curbs.back().kind = terrain::CurbKind::Gap;
  for (std::int64_t cell = 0; cell < lip.ground.frame.cells(); ++cell) {
    const base::Point p = lip.ground.frame.centre(cell);
    if (p.y_m > 5.0 && p.x_m > 10.0 && p.x_m < 14.0) lip.ground.height_m[cell] -= 0.15F;
  }
  lip.cut("cut-1", 30.25, 5.2);
  StraightStreet flat;
  flat.half_width_m = 4.0;
  flat.crossfall = 0.01;
  DrawnBlock crown = draw_block(flat);
  crown.cut("cut-1", 40.25, 4.2);
  return {{"curb", street::SideWayKind::OverCurb, 0.03, low_side(terrain::CurbKind::Vertical)},
          {"lip", street::SideWayKind::OverLip, 0.025, std::move(lip)},
          {"crown", street::SideWayKind::OverCrown, 0.04, std::move(crown)}};
}

TEST(SideWays, FlowInIsFlowOnPlusFlowOverAtTheDepthOfTheGeometry) {
  for (const SideWayStreet& drawn : side_way_streets()) {
    SCOPED_TRACE(drawn.name);
    const Preparation p = prepare(inputs_of(drawn.block), usual_settings(), {});
    const std::size_t cut = node(p.model, "cut-1");
    const street::SideWay way = side_way_of(p.model.network, static_cast<std::int32_t>(cut), drawn.kind);
    ASSERT_EQ(way.from, static_cast<std::int32_t>(cut));
    EXPECT_NEAR(way.begins_depth_m, drawn.begins_m, 0.01);
    const Storm storm = hour_storm(0.120);
    const StormResult result =
        run_storm(p.model, event_reaches(p.model, storm), storm, all_closed(p.model), empty_state(p.model));
    EXPECT_GT(result.nodes[cut].over_curb_m3, 0.1);
    int with_ways = 0;
    for (std::size_t n = 0; n < p.model.network.size(); ++n) {
      double lowest_m = 1e9;
      for (const street::SideWay& one : p.model.network.side_ways) {
        if (one.from == static_cast<std::int32_t>(n)) lowest_m = std::min(lowest_m, one.begins_depth_m);
      }
      if (lowest_m > 1e8 || p.model.network.kind[n] == street::NodeKind::Sag) continue;
      ++with_ways;
      const NodeResult& here = result.nodes[n];
      const double in_m3 = std::max(1.0, here.arriving_m3);
      EXPECT_NEAR(here.arriving_m3, here.passed_on_m3 + here.over_curb_m3, 1e-9 * in_m3);
      // Izzard's triangle by hand, as above: never more goes on than stands in the gutter at that depth.
      const NodeParams& gutter = p.model.params[n];
      const double carries = 0.376 / gutter.roughness * std::pow(gutter.cross_slope, 5.0 / 3.0) *
                             std::sqrt(gutter.grade) * std::pow(lowest_m / gutter.cross_slope, 8.0 / 3.0);
      EXPECT_LE(here.peak_leaving_m3_s, carries + 1e-9);
      if (here.over_curb_m3 > 0.0) {
        EXPECT_NEAR(here.peak_leaving_m3_s, carries, 1e-9);
      }
    }
    EXPECT_GE(with_ways, 1);
  }
}

// ---- travel times

TEST(TravelTimes, SheetFlowTakesTheKinematicTimeOfTheWayThatIsLeft) {
  StraightStreet street;
  street.grade = 0.0001;
  street.lot_m = 25.0;
  Settings settings = usual_settings();
  settings.rain.sheet_intensity_m_s = 0.05 / 3600.0;
  const Preparation p = prepare(inputs_of(one_cut(street)), settings, {});
  const GridFrame f = one_cut(street).ground.frame;
  // Lots fall 2 % to the curb at y = 5; yard n 0.05. A curb step of 0.15 m lies within the first 10 m of way.
  for (const double y : {20.25, 25.25}) {
    const double way = y - 4.75;
    const double seconds = std::pow(0.05 * way, 0.6) / (std::pow(0.05 / 3600.0, 0.4) * std::pow(0.02, 0.3));
    const double found = static_cast<double>(p.maps.travel_time_s[f.cell_at({-20.0, y})]);
    EXPECT_LT(found, seconds * 1.01);
    EXPECT_GT(found, seconds * 0.75);  // faster over the curb's step
  }
  // On the street itself: 2 %, n 0.011, exact.
  const double y = 1.25;
  const double seconds = std::pow(0.011 * 3.5, 0.6) / (std::pow(0.05 / 3600.0, 0.4) * std::pow(0.02, 0.3));
  EXPECT_NEAR(static_cast<double>(p.maps.travel_time_s[f.cell_at({-20.0, y})]), seconds, 0.03 * seconds);
}

TEST(TravelTimes, NothingIsTimedTwice) {
  const Preparation p = prepare(inputs_of(one_cut({})), usual_settings(), {});
  for (std::int64_t cell = 0; cell < p.maps.curbs.gutter.cells(); ++cell) {
    if (p.maps.curbs.gutter[cell] != 0) {
      EXPECT_EQ(p.maps.travel_time_s[cell], 0.0F);
    }
  }
  // The farthest gutter water of the cut joins about 80 m above it.
  EXPECT_NEAR(p.model.contribution.join_length_m[node(p.model, "cut-1")], 79.0, 3.0);
}

TEST(TravelTimes, FlatGroundIsOnTheFloorAndCounted) {
  StraightStreet street;
  street.lot_slope = 0.0005;
  street.grade = 0.001;
  const Preparation p = prepare(inputs_of(one_cut(street)), usual_settings(), {});
  EXPECT_GT(p.maps.slope_floor_share, 0.05);
  EXPECT_LT(p.maps.slope_floor_share, 0.9);
  EXPECT_TRUE(p.model.notes.has(base::NoteId::SlopeAtFloor));
}

/// A plane 100 m long that falls 2 % to a curb, 50 mm/h on CN 100, n 0.015; the sheet limit is out of the
/// way.
TEST(TravelTimes, APlaneOnTheGridRisesLikeTheKinematicWave) {
  StraightStreet street;
  street.length_m = 40.0;
  street.half_width_m = 100.0;
  street.lot_m = 4.0;
  street.behind_m = 4.0;
  street.grade = 0.0;
  street.cell_m = 1.0;
  DrawnBlock block = draw_block(street);
  block.outfall("out-1", 0.0, 99.5);
  StudyInputs inputs = inputs_of(block);
  inputs.loss_classes[0].curve_number = 100.0;
  inputs.loss_classes[0].sheet_roughness = 0.015;
  Settings settings = usual_settings();
  settings.rain.sheet_limit_m = 1000.0;
  settings.rain.sheet_intensity_m_s = 0.05 / 3600.0;
  const Preparation p = prepare(inputs, settings, {});
  // By the table of times alone, without the gutter: share of the plane that has arrived.
  std::vector<double> seconds;
  for (std::int64_t cell = 0; cell < block.ground.frame.cells(); ++cell) {
    const base::Point at = block.ground.frame.centre(cell);
    if (at.y_m > 0.0 && at.y_m < 99.0) {
      seconds.push_back(static_cast<double>(p.maps.travel_time_s[cell]));
    }
  }
  std::sort(seconds.begin(), seconds.end());
  const double at_90 = seconds[static_cast<std::size_t>(0.9 * static_cast<double>(seconds.size()))];
  const double exact = 361.642 * std::pow(0.9, 0.6);
  EXPECT_NEAR(at_90, exact, 0.05 * exact);
}

}  // namespace
}  // namespace curbshed::testing
