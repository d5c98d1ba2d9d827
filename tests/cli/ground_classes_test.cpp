#include "curbshed/cli/ground_classes.hpp"

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

/// Covers the columns [first, last) of the top row of a strip of six cells of 1 m.
base::Shape columns(double first, double last) {
  base::Polygon polygon;
  polygon.rings = {{{first, 0.0}, {last, 0.0}, {last, 1.0}, {first, 1.0}, {first, 0.0}}};
  return base::polygon_shape(polygon);
}

study::StudyInputs strip() {
  study::StudyInputs inputs;
  inputs.ground.frame = {0.0, 1.0, 1.0, 1, 6};
  inputs.ground.height_m = terrain::Grid<float>(1, 6, 10.0F);
  inputs.ground.valid = terrain::Grid<std::uint8_t>(1, 6, 1);
  return inputs;
}

std::string name_at(const study::StudyInputs& inputs, std::int64_t col) {
  return inputs.loss_classes[inputs.loss_class.at(0, col)].name;
}

TEST(GroundClasses, LaterLayersCoverEarlierOnes) {
  GroundCover cover;
  cover.yards = {{columns(1, 6)}, {"grass_poor"}};
  cover.surfaces = {{columns(2, 6)}, {"gravel"}};
  cover.pavement = {columns(3, 6)};
  cover.buildings = {columns(4, 5)};
  cover.soil_groups = {{columns(0, 2)}, {"A"}};
  study::StudyInputs inputs = strip();
  classify_ground(cover, study::Settings(), {2}, inputs);
  EXPECT_EQ(name_at(inputs, 0), "yard_desert/A");
  EXPECT_EQ(name_at(inputs, 1), "grass_poor/A");
  EXPECT_EQ(name_at(inputs, 2), "gravel/C");
  EXPECT_EQ(name_at(inputs, 3), "pavement");
  EXPECT_EQ(name_at(inputs, 4), "roof");
  EXPECT_EQ(name_at(inputs, 5), "pavement");
  EXPECT_EQ(inputs.pavement.at(0, 4), 1);
  EXPECT_EQ(inputs.roof.at(0, 4), 1);
  EXPECT_EQ(inputs.roof.at(0, 3), 0);
  EXPECT_EQ(inputs.loss_classes.size(), 5U);
}

TEST(GroundClasses, OfTwoOverlappingPolygonsTheSmallerCountsInAnyOrder) {
  for (const bool turned : {false, true}) {
    GroundCover cover;
    cover.surfaces = {{columns(0, 5), columns(2, 4)}, {"gravel", "walk"}};
    if (turned) {
      std::swap(cover.surfaces.shapes[0], cover.surfaces.shapes[1]);
      std::swap(cover.surfaces.classes[0], cover.surfaces.classes[1]);
    }
    study::StudyInputs inputs = strip();
    classify_ground(cover, study::Settings(), {2}, inputs);
    EXPECT_EQ(name_at(inputs, 1), "gravel/C");
    EXPECT_EQ(name_at(inputs, 2), "walk");
  }
}

TEST(GroundClasses, DefaultsAreCountedWhereThereIsGround) {
  study::StudyInputs inputs = strip();
  inputs.ground.valid.at(0, 5) = 0;
  GroundCover cover;
  cover.pavement = {columns(0, 2)};
  classify_ground(cover, study::Settings(), {2}, inputs);
  EXPECT_EQ(inputs.notes.at(base::NoteId::SurfaceClassMissing).count, 3);
  EXPECT_EQ(inputs.notes.at(base::NoteId::SoilGroupMissing).count, 5);
  EXPECT_TRUE(inputs.roof.empty());
}

TEST(GroundClasses, SharesThatRunStraightOnComeFromTheStudy) {
  study::Settings settings;
  settings.lots.roof_connected = 0.25;
  settings.lots.yard_paving_connected = 0.5;
  GroundCover cover;
  cover.buildings = {columns(0, 1)};
  cover.surfaces = {{columns(1, 2)}, {"yard_paving"}};
  study::StudyInputs inputs = strip();
  classify_ground(cover, settings, {2}, inputs);
  EXPECT_DOUBLE_EQ(inputs.loss_classes[inputs.loss_class.at(0, 0)].connected, 0.25);
  EXPECT_DOUBLE_EQ(inputs.loss_classes[inputs.loss_class.at(0, 1)].connected, 0.5);
  EXPECT_DOUBLE_EQ(inputs.loss_classes[inputs.loss_class.at(0, 2)].connected, 1.0);
  EXPECT_TRUE(inputs.loss_classes[inputs.loss_class.at(0, 2)].pervious);
}

TEST(GroundClasses, TexturesMakeClassesOfTheirOwnOnOpenGroundOnly) {
  study::Settings settings;
  settings.soil.default_texture = "loam";
  settings.soil.saturation = 0.3;
  GroundCover cover;
  cover.surfaces = {{columns(4, 6)}, {"walk"}};
  cover.soil_groups = {{columns(0, 1), columns(1, 2)}, {"A/sand", "A"}};
  study::StudyInputs inputs = strip();
  classify_ground(cover, settings, {2}, inputs);
  EXPECT_EQ(name_at(inputs, 0), "yard_desert/A/sand");
  EXPECT_EQ(name_at(inputs, 1), "yard_desert/A");
  EXPECT_EQ(name_at(inputs, 2), "yard_desert/C/loam");
  EXPECT_EQ(name_at(inputs, 5), "walk");
  const study::LossClass& loam = inputs.loss_classes[inputs.loss_class.at(0, 2)];
  EXPECT_TRUE(loam.bursts_by_infiltration);
  EXPECT_EQ(loam.rule, study::LossRule::CurveNumber);
  EXPECT_NEAR(loam.infiltration->suction_deficit_m, 0.0889 * 0.7 * 0.434, 1e-12);
  EXPECT_FALSE(inputs.loss_classes[inputs.loss_class.at(0, 5)].infiltration.has_value());
  settings.soil.losses = "green_ampt";
  study::StudyInputs other = strip();
  classify_ground(cover, settings, {2}, other);
  EXPECT_EQ(other.loss_classes[other.loss_class.at(0, 2)].rule, study::LossRule::Infiltration);
}

}  // namespace
}  // namespace curbshed::cli
