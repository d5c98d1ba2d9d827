#include "curbshed/cli/gather_inputs.hpp"

#include "curbshed/base/error.hpp"

#include "support/small_study.hpp"

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

using base::InputError;
using testing::SmallStudy;
using testing::TempFolder;

GatheredInputs gather(const TempFolder& folder, bool strict = false) {
  return gather_inputs(study::read_study(folder.file("study.toml")), {strict});
}

TEST(GatherInputs, BringsEveryLayerOntoTheGrid) {
  const TempFolder folder;
  SmallStudy::write(folder);
  const GatheredInputs gathered = gather(folder);
  const study::StudyInputs& inputs = gathered.inputs;
  EXPECT_EQ(inputs.ground.frame.cols, 60);
  EXPECT_EQ(inputs.pavement.at(20, 5), 1);  // just below the crown
  EXPECT_EQ(inputs.pavement.at(5, 5), 0);
  ASSERT_EQ(inputs.curbs.size(), 2U);
  EXPECT_EQ(inputs.curbs[0].street, "Kiln Street");
  EXPECT_EQ(inputs.curbs[0].kind, terrain::CurbKind::Vertical);
  EXPECT_NEAR(inputs.curbs[0].height_m.value(), 0.1524, 1e-12);
  ASSERT_EQ(inputs.sites.size(), 3U);
  EXPECT_EQ(inputs.sites[0].id, "K1");
  EXPECT_EQ(inputs.sites[2].kind, street::SiteKind::Outfall);
  EXPECT_FALSE(inputs.overrides[0].opening_m.has_value());
  EXPECT_NEAR(inputs.overrides[1].opening_m.value(), 0.6096, 1e-12);
  EXPECT_FALSE(inputs.inlets_given);
}

TEST(GatherInputs, ListsTheFilesWithTheirChecksums) {
  const TempFolder folder;
  SmallStudy::write(folder);
  const GatheredInputs gathered = gather(folder);
  ASSERT_EQ(gathered.files.size(), 5U);
  EXPECT_EQ(gathered.files[0].role, "ground.elevation");
  EXPECT_EQ(gathered.files[0].file, "elevation.asc");
  for (const report::InputFile& file : gathered.files) {
    EXPECT_EQ(file.sha256.size(), 64U) << file.file;
  }
}

TEST(GatherInputs, WithoutCurbsThePavementHasEdges) {
  const TempFolder folder;
  SmallStudy::write(folder);
  std::string text = SmallStudy::study();
  const std::size_t begin = text.find("[street.curbs]");
  text.erase(begin, text.find("[street.cuts]") - begin);
  folder.write("study.toml", text);
  EXPECT_FALSE(gather(folder).inputs.curbs.empty());
}

TEST(GatherInputs, InletsAreSetAsideCutsAreNot) {
  const TempFolder folder;
  SmallStudy::write(folder);
  std::string rows = "id,x,y,length\n";
  for (int i = 0; i < 30; ++i) {
    rows += fmt::format("D{},{},{},\n", i, SmallStudy::kWest_m + 5.0 + 0.7 * i, SmallStudy::kMiddle_m - 4.0);
  }
  folder.write("inlets.csv",
               rows + fmt::format("D3,{},{},\n", SmallStudy::kWest_m + 28.0, SmallStudy::kMiddle_m - 4.0));
  folder.write("study.toml", SmallStudy::study() + "[street.inlets]\nfile = \"inlets.csv\"\n");
  const GatheredInputs gathered = gather(folder);
  EXPECT_TRUE(gathered.inputs.inlets_given);
  ASSERT_EQ(gathered.set_aside.size(), 1U);
  EXPECT_EQ(gathered.set_aside[0].id, "D3");
  EXPECT_EQ(gathered.set_aside[0].layer, "street.inlets");
  EXPECT_EQ(gathered.features.at("street.inlets"), 31);
  EXPECT_THROW(gather(folder, true), InputError);
}

TEST(GatherInputs, FlowLinesAndCornerPointsComeAsTheyWereDrawn) {
  const TempFolder folder;
  SmallStudy::write(folder);
  folder.write("lines.geojson",
               SmallStudy::collection(SmallStudy::feature(
                   "LineString", fmt::format("[{},{}]", SmallStudy::at(5, 3), SmallStudy::at(9, -3)),
                   "\"id\":\"V1\",\"kind\":\"speed hump\",\"height\":\"3 in\"")));
  folder.write("corners.csv", fmt::format("id,x,y,way\nA,{},{},cross\n", SmallStudy::kWest_m + 10,
                                          SmallStudy::kMiddle_m + 4));
  std::string text = SmallStudy::study();
  text.insert(text.find("[rain]"),
              "[street.flow_lines]\nfile = \"lines.geojson\"\nclasses = { \"speed hump\" = \"hump\" }\n"
              "[street.corners]\nfile = \"corners.csv\"\n");
  folder.write("study.toml", text);
  const study::StudyInputs inputs = gather(folder).inputs;
  ASSERT_EQ(inputs.flow_lines.size(), 1U);
  EXPECT_EQ(inputs.flow_lines[0].id, "V1");
  EXPECT_TRUE(inputs.flow_lines[0].hump);
  EXPECT_NEAR(inputs.flow_lines[0].height_m, 0.0762, 1e-12);
  EXPECT_NEAR(inputs.flow_lines[0].line[0].x_m, SmallStudy::kWest_m + 5.0, 1e-6);
  ASSERT_EQ(inputs.corner_points.size(), 1U);
  EXPECT_EQ(inputs.corner_points[0].turns, 0.0);
  EXPECT_NEAR(inputs.corner_points[0].at.y_m, SmallStudy::kMiddle_m + 4.0, 1e-6);
}

TEST(GatherInputs, SurfacesTranslateTheirClasses) {
  const TempFolder folder;
  SmallStudy::write(folder);
  folder.write("surfaces.geojson", SmallStudy::collection(SmallStudy::feature(
                                       "Polygon", SmallStudy::box(0, 5, 30, 8), "\"code\":\"G1\"")));
  folder.write("study.toml",
               SmallStudy::study() +
                   "[lots.surfaces]\nfile = \"surfaces.geojson\"\nfields = { surface = \"code\" }\n"
                   "classes = { G1 = \"gravel\" }\n");
  const study::StudyInputs inputs = gather(folder).inputs;
  EXPECT_EQ(inputs.loss_classes[inputs.loss_class.at(7, 30)].name, "gravel/C");
}

TEST(GatherInputs, CutsMayComeAsLongitudeAndLatitude) {
  const TempFolder folder;
  SmallStudy::write(folder);
  // K1 stands at 500010, 3560014 in EPSG:26912; degrees by PROJ 9.1.1.
  const study::StudyInputs metres = gather(folder).inputs;
  std::string study = SmallStudy::study();
  const std::string cuts = "file = \"cuts.csv\"\n";
  study.replace(study.find(cuts), cuts.size(), cuts + "crs = \"EPSG:4326\"\n");
  folder.write("study.toml", study);
  folder.write("cuts.csv", "name,east,north,opening\nK1,-110.9998939260,32.1766293765,\n");
  const study::StudyInputs degrees = gather(folder).inputs;
  EXPECT_NEAR(degrees.sites[0].at.x_m, metres.sites[0].at.x_m, 0.001);
  EXPECT_NEAR(degrees.sites[0].at.y_m, metres.sites[0].at.y_m, 0.001);
}

}  // namespace
}  // namespace curbshed::cli
