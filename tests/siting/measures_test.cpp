#include "curbshed/siting/measures.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include <gtest/gtest.h>

namespace curbshed::siting {
namespace {

using base::Point;
using base::Polygon;
using study::ThingKind;

Polygon rectangle(double x0, double y0, double x1, double y1) {
  return {{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}}};
}

/// Kiln Street runs east, its north curb on y = 0; Lantern Street crosses at x = 0. One cut at x = 50; behind
/// it a basin 3 m long and 1.5 m wide, 0.3 m behind the curb. The gutter falls west, to an outfall at x = 10.
struct World {
  study::Settings settings;
  study::StudyInputs inputs;
  study::Preparation made;
  std::vector<study::StormComparison> storms;
  RuleSet rules = default_rules();
  bool shot = false;                ///< gutter, rim and doorway were measured without error
  std::optional<double> doorway_m;  ///< lowest doorway side near

  World() {
    settings.basin.setback_m = 0.3;
    settings.basin.infiltration_origin = "measured";
    settings.ground.elevation_error_m = 0.03;
    inputs.curbs = {{"north", "Kiln Street", "north", {{5.0, 0.0}, {100.0, 0.0}}, {}, {}, {}},
                    {"across", "Lantern Street", "", {{0.0, -20.0}, {0.0, 20.0}}, {}, {}, {}}};
    inputs.sites.resize(2);
    inputs.overrides.resize(2);
    make_network();
    study::BasinParams& basin = made.model.params[0].basin;
    basin.length_m = 3.0;
    basin.width_m = 1.5;
    basin.side_slope = 2.0;
    basin.ponding_m = 0.15;
    basin.infiltration_m_s = 0.025 / 3600.0;
    basin.invert_m = 100.0;
    basin.rim_m = 100.3;
    made.model.params[0].opening_m = 0.4572;
    made.maps.basins.resize(3);
    made.maps.basins[0] = rectangle(48.5, 0.3, 51.5, 1.8);
    made.maps.gutters = {{{50.0, -0.25}, {10.0, -0.25}}, {}, {}};
    add_storm();
  }

  void make_network() {
    using street::NodeKind;
    street::Network& n = made.model.network;
    n.kind = {NodeKind::Cut, NodeKind::Outfall, NodeKind::DataEdge};
    n.id = {"K1", "end", "edge"};
    n.site = {0, 1, -1};
    n.downstream = {1, -1, -1};
    n.at = {{50.0, 0.0}, {10.0, 0.0}, {0.0, 0.0}};
    n.behind.assign(3, {0.0, 1.0});
    n.curb = {0, 0, -1};
    n.along_curb_m = {45.0, 5.0, 0.0};
    n.grade.assign(3, 0.01);
    n.grade_error.assign(3, 0.001);
    n.cross_slope.assign(3, 0.02);
    n.cross_slope_error.assign(3, 0.001);
    n.grade_from.assign(3, street::ValueFrom::Fitted);
    n.cross_slope_from.assign(3, street::ValueFrom::Fitted);
    n.curb_height_m.assign(3, 0.15);
    n.gutter_level_m.assign(3, 100.0);
    n.in_sag.assign(3, -1);
    n.edge_cuts_above.assign(3, 0);
    made.model.params.resize(3);
    study::LossClass street;
    street.paved = true;
    study::LossClass yard;
    yard.paved = false;
    made.model.loss_classes = {street, yard};
    street::Contribution& c = made.model.contribution;
    c.cell_area_m2 = 1.0;
    c.first = {0, 2, 2, 2};
    c.entries = {{0, 0, 0, 300}, {1, 0, 0, 700}};
    made.maps.street.faces = street::BlockFaces(inputs.curbs, 1.5);
    made.maps.street.places.resize(3);
    made.maps.street.places[0].place = made.maps.street.faces.place(0, 45.0);
  }

  void add_storm() {
    study::StormComparison storm;
    storm.storm.id = "two_year";
    for (study::StormResult* result : {&storm.base, &storm.with_cuts, &storm.second}) result->nodes.resize(3);
    for (std::size_t n = 0; n < 2; ++n) {
      storm.base.nodes[n].max_spread_m = 2.0;
      storm.with_cuts.nodes[n].max_spread_m = 2.0;
      storm.base.nodes[n].max_depth_m = 0.05;
    }
    storms.push_back(storm);
  }

  void add(ThingKind kind, base::Shape shape, std::optional<double> size_m = {}) {
    inputs.surroundings.things.push_back({kind, "x", std::move(shape), size_m});
    inputs.surroundings.set_known(kind);
  }

  /// When all is full the water stands 50 mm deep at the cut.
  FullLevels full() const {
    const auto height = [&](double level_m) {
      return FullHeight{level_m, shot ? 0.0 : settings.ground.elevation_error_m,
                        shot ? LevelFrom::Measured : LevelFrom::Surface, shot ? "levels.csv, line 2" : ""};
    };
    FullSite site;
    site.node = 0;
    site.water = {100.0, 0.05};
    site.pool = height(site.water.level_m());
    site.rim = height(made.model.params[0].basin.rim_m);
    site.rim_freeboard = {site.rim.level_m - site.pool.level_m, site.rim.doubt_m};
    site.path.line = {{50.0, 0.2}};
    if (doorway_m) {
      site.doorway = DoorwaySide{height(*doorway_m), Point{50.0, 9.0}, "12"};
      site.doorway_freeboard = Freeboard{*doorway_m - site.pool.level_m, site.rim.doubt_m};
    }
    FullLevels levels;
    levels.buildings_known = inputs.surroundings.knows(ThingKind::Building);
    levels.sites = {site};
    return levels;
  }

  SiteMeasures measure() const {
    const FullLevels levels = full();
    return measure_sites({&settings, &inputs, &made, &storms, &rules, &levels}, {0}).front();
  }
  Measured at(RuleId id) const { return measure()[static_cast<std::size_t>(id)]; }
  Outcome outcome(RuleId id) const { return judge(rules.at(id), at(id)); }
};

TEST(Measures, WithoutLayersThereIsNoDataAndNothingBetterThanMeasure) {
  const World world;
  const SiteVerdict verdict = verdict_of(world.rules, world.measure());
  EXPECT_EQ(verdict.basin, Outcome::MeasureOnSite);
  for (const RuleId id : {RuleId::StepOut,
                          RuleId::StripWidth,
                          RuleId::Shelf,
                          RuleId::WalkWidth,
                          RuleId::Hardpan,
                          RuleId::WaterTable,
                          RuleId::SwellingGround,
                          RuleId::CollapsingGround,
                          RuleId::DirtyGround,
                          RuleId::Well,
                          RuleId::Septic,
                          RuleId::Building,
                          RuleId::PropertyLine,
                          RuleId::Driveway,
                          RuleId::Ramp,
                          RuleId::RampBelow,
                          RuleId::StopBelow,
                          RuleId::HydrantBasin,
                          RuleId::HydrantTree,
                          RuleId::PoleBasin,
                          RuleId::PoleTree,
                          RuleId::MeterBasin,
                          RuleId::MeterTree,
                          RuleId::BuriedWater,
                          RuleId::BuriedGas,
                          RuleId::BuriedSewer,
                          RuleId::BuriedPower,
                          RuleId::BuriedTelecom,
                          RuleId::BuriedOther,
                          RuleId::BuriedTree,
                          RuleId::Cover,
                          RuleId::ExistingTree,
                          RuleId::TreeSpacing,
                          RuleId::OverheadWire,
                          RuleId::AccessibleParking,
                          RuleId::Stop,
                          RuleId::Loading,
                          RuleId::FireLane,
                          RuleId::BicycleLane}) {
    EXPECT_EQ(verdict.of_rule[static_cast<std::size_t>(id)], Outcome::NoData) << rule_kind(id).key;
  }
}

/// One layer: how to put its thing at a distance from the basin, and the rules that read it.
struct LayerCase {
  ThingKind kind;
  std::vector<RuleId> rules;
  std::function<base::Shape(double)> shape;
};

std::vector<LayerCase> layer_cases() {
  const auto point_east = [](double d) { return base::point_shape({51.5 + d, 1.0}); };
  const auto line_behind = [](double d) { return base::line_shape({{0.0, 1.8 + d}, {90.0, 1.8 + d}}); };
  const auto area_behind = [](double d) { return base::polygon_shape(rectangle(0.0, 1.8 + d, 90.0, 60.0)); };
  const auto area_east = [](double d) { return base::polygon_shape(rectangle(51.5 + d, -3.0, 70.0, 4.0)); };
  return {{ThingKind::Building, {RuleId::Building}, area_behind},
          {ThingKind::Lot, {RuleId::PropertyLine}, area_behind},
          {ThingKind::Driveway, {RuleId::Driveway}, area_east},
          {ThingKind::Ramp, {RuleId::Ramp}, point_east},
          {ThingKind::Hydrant, {RuleId::HydrantBasin, RuleId::HydrantTree}, point_east},
          {ThingKind::Pole, {RuleId::PoleBasin, RuleId::PoleTree}, point_east},
          {ThingKind::Meter, {RuleId::MeterBasin, RuleId::MeterTree}, point_east},
          {ThingKind::Cover, {RuleId::Cover}, point_east},
          {ThingKind::BuriedWater, {RuleId::BuriedWater}, line_behind},
          {ThingKind::BuriedGas, {RuleId::BuriedGas}, line_behind},
          {ThingKind::BuriedSewer, {RuleId::BuriedSewer}, line_behind},
          {ThingKind::BuriedPower, {RuleId::BuriedPower}, line_behind},
          {ThingKind::BuriedTelecom, {RuleId::BuriedTelecom}, line_behind},
          {ThingKind::BuriedOther, {RuleId::BuriedOther}, line_behind},
          {ThingKind::OverheadWire, {RuleId::OverheadWire}, line_behind},
          {ThingKind::Tree, {RuleId::TreeSpacing}, point_east},
          {ThingKind::AccessibleParking, {RuleId::AccessibleParking}, area_east},
          {ThingKind::Stop, {RuleId::Stop}, point_east},
          {ThingKind::Loading, {RuleId::Loading}, area_east},
          {ThingKind::FireLane, {RuleId::FireLane}, area_east},
          {ThingKind::BicycleLane, {RuleId::BicycleLane}, area_east},
          {ThingKind::Well, {RuleId::Well}, point_east},
          {ThingKind::Septic, {RuleId::Septic}, point_east},
          {ThingKind::Swelling, {RuleId::SwellingGround}, area_behind},
          {ThingKind::Collapsing, {RuleId::CollapsingGround}, area_behind},
          {ThingKind::Dirty, {RuleId::DirtyGround}, area_behind}};
}

TEST(Measures, DistancesAreThoseDrawnAndEachEdgeIsWithinLookAtOver) {
  for (const LayerCase& one : layer_cases()) {
    for (const RuleId id : one.rules) {
      const Rule& rule = default_rules().at(id);
      const auto outcome_at = [&](double distance_m) {
        World world;
        world.add(one.kind, one.shape(distance_m));
        EXPECT_NEAR(world.at(id).value.value_or(-1.0), distance_m, 1e-9) << rule_kind(id).key;
        return world.outcome(id);
      };
      const double first_m = rule.look_at ? *rule.look_at : *rule.limit;
      EXPECT_EQ(outcome_at(first_m), Outcome::Within) << rule_kind(id).key << ": equal is within";
      if (rule.look_at) {
        EXPECT_EQ(outcome_at(first_m - 0.01), Outcome::MeasureOnSite) << rule_kind(id).key;
      }
      if (rule.limit) {
        EXPECT_EQ(outcome_at(*rule.limit - 0.01), Outcome::OverLimit) << rule_kind(id).key;
      }
    }
  }
}

TEST(Measures, ALayerThatIsTakenAwayGivesNoDataAndOneWithNothingNearIsWithin) {
  World full;
  for (const LayerCase& one : layer_cases()) full.add(one.kind, one.shape(150.0));
  for (const LayerCase& one : layer_cases()) {
    World world = full;
    auto& things = world.inputs.surroundings.things;
    things.erase(std::remove_if(things.begin(), things.end(),
                                [&](const study::Thing& thing) { return thing.kind == one.kind; }),
                 things.end());
    for (const RuleId id : one.rules) {
      EXPECT_EQ(full.outcome(id), Outcome::Within) << rule_kind(id).key;
      EXPECT_EQ(world.outcome(id), Outcome::Within) << rule_kind(id).key << ": known, and none is there";
      EXPECT_TRUE(world.at(id).or_more);
      World away = world;
      away.inputs.surroundings.known[static_cast<std::size_t>(one.kind)] = false;
      EXPECT_EQ(away.outcome(id), Outcome::NoData) << rule_kind(id).key;
      EXPECT_NE(verdict_of(away.rules, away.measure()).basin, Outcome::Within);
    }
  }
}

TEST(Measures, TreesKeepTheirRootsToTheDripLineOrFifteenFeet) {
  const auto roots = [](std::optional<double> crown_m, double off_m) {
    World world;
    world.add(ThingKind::Tree, base::point_shape({51.5 + off_m, 1.0}), crown_m);
    return world.at(RuleId::ExistingTree).value.value();
  };
  EXPECT_NEAR(roots(4.0, 5.0), 3.0, 1e-9);
  EXPECT_NEAR(roots(4.0, 1.0), -1.0, 1e-9) << "under the crown";
  EXPECT_NEAR(roots(30.0, 10.0), 10.0 - 4.572, 1e-9) << "at most 15 ft";
  EXPECT_NEAR(roots({}, 10.0), 10.0 - 4.572, 1e-9) << "a crown that nobody measured";
  World world;
  world.add(ThingKind::Tree, base::point_shape({54.5, 1.0}), 1.0);
  world.add(ThingKind::Tree, base::point_shape({55.5, 1.0}), 7.0);
  EXPECT_NEAR(world.at(RuleId::ExistingTree).value.value(), 0.5, 1e-9) << "the larger one farther off counts";
  world.inputs.surroundings.things.back().size_m = 8.0;
  EXPECT_EQ(world.outcome(RuleId::ExistingTree), Outcome::Within) << "at the drip line";
  world.inputs.surroundings.things.back().size_m = 8.1;
  EXPECT_EQ(world.outcome(RuleId::ExistingTree), Outcome::OverLimit);
}

TEST(Measures, GapsOfTheCurbAreDriveways) {
  World world;
  terrain::CurbLine gap{
      "gap-1", "Kiln Street", "north", {{53.5, 0.0}, {57.0, 0.0}}, terrain::CurbKind::Gap, {}, {}};
  world.inputs.curbs.push_back(gap);
  EXPECT_NEAR(world.at(RuleId::Driveway).value.value(), 2.0, 1e-9) << "the drive lies behind its gap";
  EXPECT_EQ(world.at(RuleId::Driveway).from, "gap of the curb gap-1");
  world.inputs.curbs.back().line = {{51.0, 0.0}, {54.0, 0.0}};
  EXPECT_EQ(world.outcome(RuleId::Driveway), Outcome::OverLimit);
}

TEST(Measures, TheStripEndsAtTheWalk) {
  const auto with_walk = [](double from_m, double to_m) {
    World world;
    world.add(ThingKind::Walk, base::polygon_shape(rectangle(0.0, from_m, 90.0, to_m)));
    world.add(ThingKind::Lot, base::polygon_shape(rectangle(0.0, to_m, 90.0, 60.0)));
    return world;
  };
  const World roomy = with_walk(2.2, 3.8);
  EXPECT_NEAR(roomy.at(RuleId::StripWidth).value.value(), 2.2, 1e-9);
  EXPECT_NEAR(roomy.at(RuleId::Shelf).value.value(), 0.4, 1e-9);
  EXPECT_NEAR(roomy.at(RuleId::WalkWidth).value.value(), 1.6, 1e-9);
  EXPECT_EQ(roomy.outcome(RuleId::StripWidth), Outcome::Within);
  EXPECT_EQ(roomy.outcome(RuleId::Shelf), Outcome::Within);
  EXPECT_EQ(roomy.outcome(RuleId::WalkWidth), Outcome::Within);
  EXPECT_EQ(with_walk(1.8 + 0.3048, 4.0).outcome(RuleId::Shelf), Outcome::Within) << "equal";
  EXPECT_EQ(with_walk(1.8 + 0.29, 4.0).outcome(RuleId::Shelf), Outcome::OverLimit);
  EXPECT_EQ(with_walk(1.7, 4.0).outcome(RuleId::StripWidth), Outcome::MeasureOnSite);
  const World tight = with_walk(0.0, 1.5);
  EXPECT_NEAR(tight.at(RuleId::StripWidth).value.value(), 0.0, 1e-9);
  EXPECT_EQ(tight.outcome(RuleId::Shelf), Outcome::OverLimit);
  EXPECT_EQ(tight.outcome(RuleId::WalkWidth), Outcome::OverLimit) << "nothing of the walk is left";
  EXPECT_EQ(tight.at(RuleId::Shelf).words, "The walk lies at the curb: there is no strip.");
}

TEST(Measures, WithoutWalksTheLotTellsTheStripAtBestToBeMeasured) {
  World world;
  world.add(ThingKind::Lot, base::polygon_shape(rectangle(0.0, 4.0, 90.0, 60.0)));
  EXPECT_NEAR(world.at(RuleId::StripWidth).value.value(), 4.0, 1e-9);
  EXPECT_EQ(world.outcome(RuleId::StripWidth), Outcome::MeasureOnSite);
  EXPECT_EQ(world.outcome(RuleId::Shelf), Outcome::NoData);
  world.inputs.surroundings.set_known(ThingKind::Walk);
  EXPECT_EQ(world.outcome(RuleId::StripWidth), Outcome::Within);
  EXPECT_EQ(world.outcome(RuleId::Shelf), Outcome::Within) << "no walk lies there";
}

TEST(Measures, ParkedCarsAskForAStripToStepOut) {
  World world;
  world.inputs.surroundings.set_known(ThingKind::Parking);
  EXPECT_TRUE(world.at(RuleId::StepOut).does_not_apply);
  world.add(ThingKind::Parking, base::polygon_shape(rectangle(40.0, -2.4, 60.0, 0.0)));
  EXPECT_EQ(world.outcome(RuleId::StepOut), Outcome::OverLimit) << "0.3 m under 18 in";
  world.made.maps.basins[0] = rectangle(48.5, 0.4572, 51.5, 1.95);
  world.inputs.overrides[0].setback_m = 0.4572;
  EXPECT_EQ(world.outcome(RuleId::StepOut), Outcome::Within) << "equal";
}

TEST(Measures, WhatLiesBelowIsFoundDownTheGutter) {
  World world;
  world.inputs.surroundings.set_known(ThingKind::Ramp);
  EXPECT_TRUE(world.at(RuleId::RampBelow).or_more);
  world.add(ThingKind::Ramp, base::point_shape({55.0, 0.5}));  // above the cut
  EXPECT_TRUE(world.at(RuleId::RampBelow).or_more || *world.at(RuleId::RampBelow).value > 3.0);
  world.add(ThingKind::Ramp, base::point_shape({46.0, 0.5}));
  EXPECT_NEAR(world.at(RuleId::RampBelow).value.value(), 4.25, 0.01)
      << "from the cut into the gutter, then 4 m";
  EXPECT_EQ(world.outcome(RuleId::RampBelow), Outcome::Within);
  world.add(ThingKind::Stop, base::polygon_shape(rectangle(47.0, -2.0, 48.0, 0.0)));
  EXPECT_EQ(world.outcome(RuleId::StopBelow), Outcome::MeasureOnSite);
}

TEST(Measures, CornersCountAlongTheCurb) {
  World world;
  // The tape starts at x = 0; the basin's near end lies at 48.5.
  EXPECT_NEAR(world.at(RuleId::CornerBasin).value.value(), 48.5, 0.01);
  EXPECT_NEAR(world.at(RuleId::SightTriangle).value.value(), 48.8, 0.01);
  EXPECT_EQ(world.outcome(RuleId::CornerTree), Outcome::Within);
  world.made.maps.street.places[0].place.distance_m = 1.5 + 20.0 * 0.3048;
  EXPECT_EQ(world.outcome(RuleId::CornerBasin), Outcome::Within) << "equal";
  EXPECT_EQ(world.outcome(RuleId::CornerTree), Outcome::OverLimit);
  EXPECT_EQ(world.outcome(RuleId::SightTriangle), Outcome::MeasureOnSite);
  world.made.maps.street.places[0].place.face = -1;
  EXPECT_EQ(world.outcome(RuleId::CornerBasin), Outcome::NoData);
}

TEST(Measures, GradesCarryTheirErrors) {
  World world;
  street::Network& n = world.made.model.network;
  n.grade[0] = 0.0385;
  n.grade_error[0] = 0.001;
  EXPECT_EQ(world.outcome(RuleId::GutterGrade), Outcome::MeasureOnSite)
      << "under 4 %, but not by twice the error";
  n.grade_from[0] = street::ValueFrom::Measured;
  EXPECT_EQ(world.outcome(RuleId::GutterGrade), Outcome::Within);
  n.grade[0] = 0.09;
  EXPECT_EQ(world.outcome(RuleId::GutterGrade), Outcome::OverLimit);
  n.grade[0] = 0.002;
  EXPECT_EQ(world.outcome(RuleId::GutterGradeLeast), Outcome::MeasureOnSite);
  n.in_sag[0] = 1;
  EXPECT_EQ(world.outcome(RuleId::GutterGradeLeast), Outcome::Within) << "a hollow is asked for nothing here";
  n.cross_slope[0] = -0.02;
  EXPECT_EQ(world.outcome(RuleId::CrossSlopeLeast), Outcome::OverLimit);
  n.cross_slope[0] = 0.07;
  EXPECT_EQ(world.outcome(RuleId::CrossSlope), Outcome::OverLimit);
  n.cross_slope_from[0] = street::ValueFrom::Study;
  EXPECT_EQ(world.outcome(RuleId::CrossSlope), Outcome::NoData) << "assumed is not known";
  n.cross_fall = {street::CrossFall{-0.02, 0.004}, {}, {}};
  EXPECT_EQ(world.outcome(RuleId::CrossSlopeLeast), Outcome::OverLimit) << "falls away from the curb";
  n.cross_fall[0]->slope = -0.005;
  EXPECT_EQ(world.outcome(RuleId::CrossSlopeLeast), Outcome::MeasureOnSite);
}

TEST(Measures, TheRimAndTheFreeboardCarryTheDoubtOfTheHeightsUnlessMeasured) {
  World world;
  study::BasinParams& basin = world.made.model.params[0].basin;
  // Limit 2 in, doubt 30 mm, water 50 mm deep: within from 50.8 + 60 + 50 mm on.
  basin.rim_m = 100.0 + 0.1609;
  EXPECT_EQ(world.outcome(RuleId::Freeboard), Outcome::Within);
  basin.rim_m = 100.0 + 0.1600;
  EXPECT_EQ(world.outcome(RuleId::Freeboard), Outcome::MeasureOnSite);
  basin.rim_m = 100.0 + 0.0420;
  EXPECT_EQ(world.outcome(RuleId::Freeboard), Outcome::MeasureOnSite);
  basin.rim_m = 100.0 + 0.0400 - 0.0005;
  EXPECT_EQ(world.outcome(RuleId::Rim), Outcome::MeasureOnSite);
  basin.rim_m = 100.0 - 0.07;
  EXPECT_EQ(world.outcome(RuleId::Rim), Outcome::OverLimit);
  EXPECT_EQ(world.outcome(RuleId::Freeboard), Outcome::OverLimit);
  study::FieldOverride shot;
  shot.node = 0;
  shot.what = study::FieldValue::RimLevel;
  shot.by = "field.csv, line 2";
  world.made.field.overrides.push_back(shot);
  world.shot = true;
  basin.rim_m = 100.0 + 0.102;
  EXPECT_EQ(world.outcome(RuleId::Freeboard), Outcome::Within) << "measured: 52 mm over 50.8";
  basin.rim_m = 100.0 + 0.100;
  EXPECT_EQ(world.outcome(RuleId::Freeboard), Outcome::OverLimit);
}

TEST(Measures, TheDoorwaysFreeboardNeedsBuildingsAndNamesThePointsToShoot) {
  World world;
  EXPECT_EQ(world.outcome(RuleId::DoorwayFreeboard), Outcome::NoData) << "buildings are not known";
  world.inputs.surroundings.set_known(ThingKind::Building);
  EXPECT_EQ(world.outcome(RuleId::DoorwayFreeboard), Outcome::Within) << "none is near";
  // Pool at 100.05 m, limit 2 in, doubt 30 mm.
  world.doorway_m = 100.05 + 0.0508 + 0.0601;
  EXPECT_EQ(world.outcome(RuleId::DoorwayFreeboard), Outcome::Within);
  world.doorway_m = 100.05 + 0.0508 + 0.0599;
  EXPECT_EQ(world.outcome(RuleId::DoorwayFreeboard), Outcome::MeasureOnSite);
  EXPECT_NE(world.at(RuleId::DoorwayFreeboard).words.find("the lowest doorway of building 12"),
            std::string::npos);
  EXPECT_NE(world.at(RuleId::Freeboard).words.find("the gutter at the cut and the lowest ground"),
            std::string::npos);
  world.doorway_m = 100.05 + 0.0508 - 0.0601;
  EXPECT_EQ(world.outcome(RuleId::DoorwayFreeboard), Outcome::OverLimit);
  world.shot = true;
  world.doorway_m = 100.05 + 0.0508;
  EXPECT_EQ(world.outcome(RuleId::DoorwayFreeboard), Outcome::Within) << "equal is within";
  EXPECT_EQ(world.at(RuleId::DoorwayFreeboard).words.find("shoot"), std::string::npos);
}

TEST(Measures, DrainTimeSaysTheDepthThatWouldPass) {
  World world;
  study::BasinParams& basin = world.made.model.params[0].basin;
  // By hand: floor 2.4 × 0.9 = 2.16 m²; frustum 2.16·0.15 + 2·3.3·0.15² + 16/3·0.15³ = 0.4905 m³.
  const double hours = 0.4905 / 2.16 / 0.025;
  EXPECT_NEAR(world.at(RuleId::DrainTime).value.value() / 3600.0, hours, 1e-9);
  EXPECT_EQ(world.outcome(RuleId::DrainTime), Outcome::Within);
  basin.infiltration_m_s = 0.004 / 3600.0;
  EXPECT_EQ(world.outcome(RuleId::DrainTime), Outcome::OverLimit) << "57 h";
  EXPECT_NE(world.at(RuleId::DrainTime).words.find("of ponding would pass"), std::string::npos);
  EXPECT_EQ(world.outcome(RuleId::StandingWater), Outcome::Within);
  EXPECT_EQ(world.outcome(RuleId::Infiltration), Outcome::OverLimit);
  basin.infiltration_m_s = 0.0;
  EXPECT_TRUE(world.at(RuleId::DrainTime).or_more);
  EXPECT_EQ(world.outcome(RuleId::StandingWater), Outcome::OverLimit);
}

TEST(Measures, DrainTimeKnowsMulchWettedGroundAndDams) {
  World world;
  study::BasinParams& basin = world.made.model.params[0].basin;
  const auto hours = [&] { return world.at(RuleId::DrainTime).value.value() / 3600.0; };
  const double plain = hours();
  basin.mulch_m = 0.10;
  basin.mulch_voids = 0.3;
  EXPECT_NEAR(hours(), plain + 0.03 / 0.025, 1e-9) << "3 cm of water in the mulch, at 25 mm/h";
  basin.soaks_wetted = true;
  EXPECT_NEAR(hours(), (0.15 + 0.03) / 0.025, 1e-9) << "the pool through all the ground under it";
  basin.soaks_wetted = false;
  basin.mulch_voids = 0.0;
  basin.floor_grade = 0.02;
  EXPECT_LT(hours(), plain) << "a falling floor holds less over the same ground";
}

TEST(Measures, RoofsWithTanksAndGroundUnderBasinsArePavedAsTheirClassSays) {
  World world;
  const double paved_m2 = world.at(RuleId::CatchmentPaved).value.value();
  study::ChainModel& model = world.made.model;
  std::size_t soft = model.loss_classes.size();
  model.loss_classes.push_back({.name = "yard", .pervious = true, .paved = false});
  model.contribution.first_place.assign(model.network.size() + 1, 1);
  model.contribution.first_place[0] = 0;
  model.contribution.places = {{0, static_cast<std::uint16_t>(soft), 0, 0, 40}};
  EXPECT_EQ(world.at(RuleId::CatchmentPaved).value.value(), paved_m2);
}

TEST(Measures, ARateFromASoilMapIsNeverWithin) {
  for (const char* origin : {"measured", "study", "soil map", "assumed"}) {
    World world;
    world.settings.basin.infiltration_origin = origin;
    const bool weak = std::string(origin) == "soil map" || std::string(origin) == "assumed";
    EXPECT_EQ(world.outcome(RuleId::Infiltration), weak ? Outcome::MeasureOnSite : Outcome::Within) << origin;
    EXPECT_EQ(world.outcome(RuleId::DrainTime), weak ? Outcome::MeasureOnSite : Outcome::Within) << origin;
    study::FieldOverride hole;
    hole.node = 0;
    hole.what = study::FieldValue::Infiltration;
    world.made.field.overrides.push_back(hole);
    EXPECT_EQ(world.outcome(RuleId::Infiltration), Outcome::Within) << "measured at the site";
  }
}

TEST(Measures, HardpanAndWaterTableCountFromTheFloor) {
  World world;
  world.add(ThingKind::Hardpan, base::polygon_shape(rectangle(0.0, 0.0, 90.0, 60.0)), 0.3 + 0.9144);
  EXPECT_EQ(world.outcome(RuleId::Hardpan), Outcome::Within) << "equal: floor 0.3 m under the curb's top";
  world.inputs.surroundings.things.back().size_m = 1.2;
  EXPECT_EQ(world.outcome(RuleId::Hardpan), Outcome::OverLimit);
  world.inputs.surroundings.things.back().shape = base::polygon_shape(rectangle(60.0, 0.0, 90.0, 60.0));
  EXPECT_EQ(world.outcome(RuleId::Hardpan), Outcome::Within) << "not under this place";
  EXPECT_EQ(world.outcome(RuleId::WaterTable), Outcome::NoData);
}

TEST(Measures, SpreadIsComparedWithAndWithoutTheBasins) {
  World world;
  EXPECT_EQ(world.outcome(RuleId::SpreadAtSite), Outcome::Within);
  world.storms[0].with_cuts.nodes[1].max_spread_m = 2.1;
  EXPECT_NEAR(world.at(RuleId::SpreadBelow).value.value(), 0.1, 1e-12);
  EXPECT_EQ(world.outcome(RuleId::SpreadBelow), Outcome::MeasureOnSite);
  EXPECT_EQ(world.outcome(RuleId::SpreadAtSite), Outcome::Within);
  world.storms[0].with_cuts.nodes[1].max_spread_m = 2.2;
  EXPECT_EQ(world.outcome(RuleId::SpreadBelow), Outcome::OverLimit);
  world.storms[0].with_cuts.nodes[0].max_spread_m = 2.1524;
  EXPECT_EQ(world.outcome(RuleId::SpreadAtSite), Outcome::MeasureOnSite) << "at the limit, beyond look_at";
}

TEST(Measures, TheEdgeOfTheDataLeavesFlowToBeMeasured) {
  World world;
  EXPECT_NEAR(world.at(RuleId::Catchment).value.value(), 1000.0, 1e-9);
  EXPECT_NEAR(world.at(RuleId::CatchmentPaved).value.value(), 300.0, 1e-9);
  const RuleId flow[] = {RuleId::Catchment,    RuleId::CatchmentPaved, RuleId::CatchmentLeast,
                         RuleId::SpreadAtSite, RuleId::SpreadBelow,    RuleId::Freeboard};
  for (const RuleId id : flow) EXPECT_EQ(world.outcome(id), Outcome::Within) << rule_kind(id).key;
  world.made.model.network.edge_cuts_above[0] = 1;
  for (const RuleId id : flow) EXPECT_EQ(world.outcome(id), Outcome::MeasureOnSite) << rule_kind(id).key;
}

TEST(Measures, TheBasinsOwnMeasuresComeFromTheStudy) {
  World world;
  study::BasinParams& basin = world.made.model.params[0].basin;
  EXPECT_NEAR(world.at(RuleId::DropBesideWalk).value.value(), 0.30, 1e-12);
  EXPECT_NEAR(world.at(RuleId::FloorWidth).value.value(), 0.9, 1e-12);
  EXPECT_EQ(world.outcome(RuleId::SideSlope), Outcome::MeasureOnSite)
      << "2 to 1 is the limit, 3 to 1 is wanted";
  EXPECT_EQ(world.outcome(RuleId::BackOfCurb), Outcome::Within) << "0.3 m is 0.3 m";
  EXPECT_EQ(world.outcome(RuleId::RoadBase), Outcome::Within) << "0.3 m is 0.3 m";
  EXPECT_EQ(world.outcome(RuleId::OpeningWidth), Outcome::Within);
  EXPECT_EQ(world.outcome(RuleId::BasinLength), Outcome::Within);
  world.made.maps.basins[0] = rectangle(48.5, 0.29, 51.5, 1.79);
  EXPECT_EQ(world.outcome(RuleId::BackOfCurb), Outcome::OverLimit);
  EXPECT_EQ(world.outcome(RuleId::RoadBase), Outcome::OverLimit);
  basin.ponding_m = 0.31;
  basin.side_slope = 1.0;
  EXPECT_EQ(world.outcome(RuleId::Ponding), Outcome::OverLimit);
  EXPECT_EQ(world.outcome(RuleId::SideSlope), Outcome::OverLimit);
}

TEST(Measures, ManySitesOnAnyNumberOfThreadsAreTheSame) {
  World world;
  for (const LayerCase& one : layer_cases()) world.add(one.kind, one.shape(3.0));
  const FullLevels levels = world.full();
  const MeasureInputs in{&world.settings, &world.inputs, &world.made, &world.storms, &world.rules, &levels};
  const std::vector<std::int32_t> nodes(40, 0);
  const std::vector<SiteMeasures> one = measure_sites(in, nodes, {1});
  for (const int threads : {2, 3, 7}) {
    const std::vector<SiteMeasures> many = measure_sites(in, nodes, {threads});
    ASSERT_EQ(many.size(), one.size());
    for (std::size_t i = 0; i < one.size(); ++i) {
      for (std::size_t r = 0; r < kRules; ++r) {
        EXPECT_EQ(many[i][r].value, one[i][r].value);
        EXPECT_EQ(many[i][r].words, one[i][r].words);
      }
    }
  }
  EXPECT_EQ(cut_nodes(world.made.model.network), (std::vector<std::int32_t>{0}));
  EXPECT_EQ(screen_cuts(in).nodes.size(), 1U);
}

}  // namespace
}  // namespace curbshed::siting
