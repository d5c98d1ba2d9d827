#include "curbshed/siting/full_levels.hpp"

#include "curbshed/siting/screening.hpp"
#include "curbshed/study/storms.hpp"

#include "support/study_block.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace curbshed::testing {
namespace {

using namespace curbshed::siting;
using study::FieldValue;

/// Kiln Street falls 1 % to the east; its north lots fall 2 % away from the street, so houses there stand
/// lower than the walk. One cut at x = 0 on the north side, one on the south side, whose lots rise.
struct World {
  StraightStreet street;
  study::Settings settings = usual_settings();
  study::StudyInputs inputs;
  study::Preparation made;
  study::FullWater water;
  FullLevels levels;

  World() {
    street.lot_slope_at = [](double) { return -0.02; };
    DrawnBlock block = draw_block(street);
    block.cut("north", 0.0, 5.0);
    block.cut("south", 0.0, -5.0);
    block.outfall("out-n", 60.0, 5.0);
    block.outfall("out-s", 60.0, -5.0);
    inputs = inputs_of(block);
    inputs.surroundings.set_known(study::ThingKind::Building);
  }
  void house(const std::string& id, double x0, double y0, double x1, double y1) {
    inputs.surroundings.things.push_back(
        {study::ThingKind::Building,
         id,
         base::polygon_shape({{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}}}),
         {}});
  }
  void shot(const std::string& cut, FieldValue what, double value, double error_m) {
    study::FieldRow row;
    row.cut = cut;
    row.by = "levels.csv, line 2";
    row.where = {"levels.csv", "street.levels", "line 2"};
    row.values[static_cast<std::size_t>(what)] = value;
    row.error_m = error_m;
    inputs.field.push_back(row);
  }
  void run(base::Workers workers = {}) {
    made = prepare(inputs, settings, {});
    water = study::full_water(made.model, study::storms_of(settings), workers);
    levels = full_levels({&settings, &inputs, &made, &water}, workers);
  }
  const FullSite& of(const std::string& id) const { return *levels.find(node_of(made.model.network, id)); }
  double gutter_m(const std::string& id) const {
    return made.model.network.gutter_level_m[static_cast<std::size_t>(node_of(made.model.network, id))];
  }
};

Outcome judged(const Freeboard& freeboard) {
  Measured measured;
  measured.value = freeboard.value_m;
  measured.doubt = freeboard.doubt_m;
  return judge(default_rules().at(RuleId::Freeboard), measured);
}

TEST(FullLevels, ThePoolStandsAtTheGuttersWaterInTheLargestStorm) {
  World world;
  world.run();
  ASSERT_EQ(world.levels.sites.size(), 2U);
  const FullSite& site = world.of("north");
  EXPECT_EQ(world.levels.storm_id, "ten_year");
  EXPECT_NEAR(site.water.gutter_m, 99.9, 0.01) << "100 m less 5 m × 2 %";
  EXPECT_GT(site.water.depth_m, 0.02);
  EXPECT_LT(site.water.depth_m, 0.15);
  EXPECT_EQ(site.pool.level_m, site.water.gutter_m + site.water.depth_m);
  EXPECT_EQ(site.pool.from, LevelFrom::Surface);
  EXPECT_EQ(site.pool.doubt_m, world.settings.ground.elevation_error_m);
  EXPECT_EQ(site.rim_freeboard.value_m, site.rim.level_m - site.pool.level_m);
  EXPECT_FALSE(site.doorway.has_value()) << "no building stands near";
}

TEST(FullLevels, AHouseLowerThanTheWalkAndOneHigherByHand) {
  World world;
  world.house("low", -5.1, 9.1, 5.1, 18.0);
  world.house("high", -5.1, -18.0, 5.1, -9.1);
  world.run();
  const FullSite& north = world.of("north");
  const FullSite& south = world.of("south");
  ASSERT_TRUE(north.doorway && south.doorway);
  EXPECT_EQ(north.doorway->building, "low");
  EXPECT_EQ(south.doorway->building, "high");
  // One cell outside the wall at y = 9.1 is the cell around 8.75; the street falls east, so its last cell is
  // the lowest: 100 − 0.01 × 5.25 − 0.1 + 0.15 ∓ 0.02 × 3.75.
  EXPECT_NEAR(north.doorway->height.level_m, 99.9225, 1e-4);
  EXPECT_NEAR(south.doorway->height.level_m, 100.0725, 1e-4);
  EXPECT_EQ(north.doorway->at.value(), (base::Point{5.25, 8.75}));
  EXPECT_EQ(north.doorway_freeboard->value_m, north.doorway->height.level_m - north.pool.level_m);
  EXPECT_LT(north.doorway_freeboard->value_m, south.doorway_freeboard->value_m - 0.1);
  EXPECT_GT(south.doorway_freeboard->value_m, 0.05);
  EXPECT_LT(north.doorway->height.level_m, north.rim.level_m + 0.01) << "lower than the walk";
}

TEST(FullLevels, OnlyWallsThatFaceTheBasinAndBuildingsNearItCount) {
  World world;
  world.house("far", -5.1, 5.0 + 0.3 + 1.5 + kDoorwayWithin_m + 6.0, 5.1, 40.0);
  world.house("near", -5.1, 14.1, 5.1, 20.0);
  world.run();
  const FullSite& site = world.of("north");
  ASSERT_TRUE(site.doorway);
  EXPECT_EQ(site.doorway->building, "near");
  EXPECT_NEAR(site.doorway->at->y_m, 13.75, 1e-9) << "not the lower ground behind it";
}

TEST(FullLevels, TheDoubtOfTwoPlacesOnOneSurfaceIsTheStatedErrorAtLeast) {
  const FullHeight a{10.0, 0.03, LevelFrom::Surface, ""};
  const FullHeight shot{10.0, 0.005, LevelFrom::Measured, "levels.csv, line 2"};
  EXPECT_EQ(difference_doubt_m(a, a, 0.0, 5.0), 0.03);
  EXPECT_EQ(difference_doubt_m(a, a, 3.0, 5.0), 0.03);
  EXPECT_NEAR(difference_doubt_m(a, a, 50.0, 5.0), 0.03 * std::sqrt(2.0), 1e-5);
  EXPECT_NEAR(difference_doubt_m(a, shot, 0.0, 5.0), std::sqrt(0.03 * 0.03 + 0.005 * 0.005), 1e-12);
  EXPECT_NEAR(difference_doubt_m(shot, shot, 50.0, 5.0), 0.005 * std::sqrt(2.0), 1e-12);
}

TEST(FullLevels, AFreeboardFromTheRasterIsNeverWithinBelow111Millimetres) {
  World world;
  world.settings.ground.elevation_error_m = 0.03;
  world.run();
  const double doubt_m = world.of("north").rim_freeboard.doubt_m;
  EXPECT_GE(doubt_m, 0.03);
  for (int mm = -200; mm <= 400; ++mm) {
    const Outcome outcome = judged({mm / 1000.0, doubt_m});
    if (mm < 111) {
      EXPECT_NE(outcome, Outcome::Within) << mm;
    }
    if (mm >= 112) {
      EXPECT_EQ(outcome, Outcome::Within) << mm;
    }
    if (mm < -10) {
      EXPECT_EQ(outcome, Outcome::OverLimit) << mm;
    }
    if (mm > -9 && mm < 110) {
      EXPECT_EQ(outcome, Outcome::MeasureOnSite) << mm;
    }
  }
}

TEST(FullLevels, OneSiteGoesFromMeasureToWithinAndToOverByThreeFilesOfLevels) {
  const auto site_with = [](double walk_m, double error_m) {
    World world;
    world.shot("south", FieldValue::CurbHeight, 0.15, error_m);
    world.shot("south", FieldValue::RimBelowCurb, -walk_m, error_m);
    world.run();
    return world.of("south");
  };
  const FullSite rough = site_with(0.02, 0.03);
  EXPECT_EQ(judged(rough.rim_freeboard), Outcome::MeasureOnSite);
  const FullSite fine = site_with(0.02, 0.005);
  EXPECT_EQ(fine.rim.from, LevelFrom::Measured);
  EXPECT_EQ(fine.rim.by, "levels.csv, line 2");
  EXPECT_NEAR(fine.rim_freeboard.doubt_m, 0.005 * std::sqrt(2.0), 1e-12);
  EXPECT_EQ(judged(fine.rim_freeboard), Outcome::Within);
  EXPECT_EQ(points_to_shoot(fine, false), "");
  EXPECT_EQ(judged(site_with(-0.10, 0.005).rim_freeboard), Outcome::OverLimit);
}

TEST(FullLevels, AMeasuredDoorwayCountsInsteadOfTheSurface) {
  World world;
  world.house("low", -5.1, 9.1, 5.1, 18.0);
  world.shot("north", FieldValue::DoorwayAboveCurb, 0.25, 0.004);
  world.run();
  const FullSite& site = world.of("north");
  EXPECT_NEAR(site.doorway->height.level_m, world.gutter_m("north") + 0.15 + 0.25, 1e-5);
  // Height above a curb top that nobody measured from the gutter: as doubtful as the surface.
  EXPECT_EQ(site.doorway->height.from, LevelFrom::Surface);
  EXPECT_GE(site.doorway_freeboard->doubt_m, 0.03);
  EXPECT_EQ(points_to_shoot(site, true),
            "the gutter at the cut and the ground at the lowest doorway near it");

  World shot;
  shot.house("low", -5.1, 9.1, 5.1, 18.0);
  shot.shot("north", FieldValue::CurbHeight, 0.15, 0.004);
  shot.shot("north", FieldValue::DoorwayAboveCurb, 0.25, 0.004);
  shot.run();
  EXPECT_EQ(shot.of("north").doorway->height.from, LevelFrom::Measured);
  EXPECT_NEAR(shot.of("north").doorway_freeboard->doubt_m, 0.004 * std::sqrt(2.0), 1e-12);
  EXPECT_EQ(points_to_shoot(shot.of("north"), true), "");
}

TEST(FullLevels, ThePathNamesTheHouseThatItPasses) {
  World world;
  world.house("beside", 1.1, 12.0, 4.0, 18.0);
  world.run();
  const FullSite& site = world.of("north");
  EXPECT_EQ(site.path.over, study::RimKind::Ground);
  EXPECT_EQ(site.path.into, -1);
  ASSERT_TRUE(site.path_to_building_m.has_value());
  EXPECT_EQ(site.path_building, "beside");
  EXPECT_LE(*site.path_to_building_m, kPathBeside_m);
  EXPECT_FALSE(world.of("south").path_to_building_m.has_value());
}

TEST(FullLevels, ThreadsAndTheOrderOfBuildingsChangeNothing) {
  World one;
  one.house("a", -9.1, 9.1, -1.1, 18.0);
  one.house("b", 1.1, 9.1, 9.1, 18.0);
  one.run({1});
  World two;
  two.house("b", 1.1, 9.1, 9.1, 18.0);
  two.house("a", -9.1, 9.1, -1.1, 18.0);
  two.run({4});
  for (std::size_t i = 0; i < one.levels.sites.size(); ++i) {
    const FullSite& a = one.levels.sites[i];
    const FullSite& b = two.levels.sites[i];
    EXPECT_EQ(a.pool.level_m, b.pool.level_m);
    EXPECT_EQ(a.rim_freeboard.value_m, b.rim_freeboard.value_m);
    ASSERT_EQ(a.doorway.has_value(), b.doorway.has_value());
    if (a.doorway) {
      EXPECT_EQ(a.doorway->height.level_m, b.doorway->height.level_m);
    }
  }
}

}  // namespace
}  // namespace curbshed::testing
