#include "curbshed/cli/centreline_layer.hpp"

#include "curbshed/cli/gather_inputs.hpp"

#include "support/program.hpp"
#include "support/small_study.hpp"

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

using testing::Ran;
using testing::run_program;
using testing::SmallStudy;
using testing::TempFolder;

/// The small street with elevation and a middle line only, `extra` among the line's attributes.
void write_little(const TempFolder& folder, const std::string& extra = "") {
  SmallStudy::write(folder);
  std::string text = SmallStudy::study();
  const std::size_t begin = text.find("[street.pavement]");
  text.replace(begin, text.find("[street.cuts]") - begin,
               "[street.centrelines]\nfile = \"middle.geojson\"\n"
               "fields = { street = \"name\", width = { field = \"wide\", unit = \"ft\" } }\n");
  folder.write("study.toml", text);
  folder.write("middle.geojson",
               SmallStudy::collection(SmallStudy::feature(
                   "LineString", fmt::format("[{},{}]", SmallStudy::at(-5, 0.4), SmallStudy::at(35, 0.4)),
                   "\"id\":\"m1\",\"name\":\"Kiln Street\",\"wide\":null" + extra)));
}

GatheredInputs gather(const TempFolder& folder) {
  return gather_inputs(study::read_study(folder.file("study.toml")), {false});
}

TEST(CentrelineLayer, ElevationAndMiddleLinesAreEnough) {
  const TempFolder folder;
  write_little(folder);
  const study::StudyInputs inputs = gather(folder).inputs;
  ASSERT_EQ(inputs.blocks.size(), 1U);
  EXPECT_EQ(inputs.blocks[0].width_from, street::WidthFrom::Ground);
  EXPECT_NEAR(inputs.blocks[0].width_m, 8.0, 0.5);
  ASSERT_EQ(inputs.curbs.size(), 2U);
  ASSERT_EQ(inputs.curb_facts.size(), 2U);
  EXPECT_EQ(inputs.curbs[0].street, "Kiln Street");
  EXPECT_EQ(inputs.curbs[0].side, "north");
  EXPECT_EQ(inputs.pavement.at(20, 5), 1);
  EXPECT_EQ(inputs.pavement.at(5, 5), 0);
  EXPECT_EQ(inputs.loss_classes[inputs.loss_class.at(20, 5)].name, "pavement");
  const Ran ran = run_program(folder, "run study.toml --out out");
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  EXPECT_NE(ran.out.find("Kiln Street, north side"), std::string::npos) << ran.out;
  EXPECT_NE(testing::read_text(folder.file("out/cuts.csv")).find("centreline, width from the ground"),
            std::string::npos);
}

TEST(CentrelineLayer, CheckTellsWidthsAndShownCurbs) {
  const TempFolder folder;
  write_little(folder);
  const Ran check = run_program(folder, "check study.toml");
  ASSERT_EQ(check.exit_code, 0) << check.err;
  EXPECT_NE(check.out.find("Kiln Street: 8.0"), std::string::npos) << check.out;
  EXPECT_NE(check.out.find("curbs in the ground"), std::string::npos) << check.out;
  EXPECT_NE(check.out.find("as a step of at least half"), std::string::npos) << check.out;
}

TEST(CentrelineLayer, AWidthThatIsGivenCounts) {
  const TempFolder folder;
  write_little(folder);
  std::string text = testing::read_text(folder.file("middle.geojson"));
  text.replace(text.find("\"wide\":null"), 11, "\"wide\":26.0");
  folder.write("middle.geojson", text);
  const study::StudyInputs inputs = gather(folder).inputs;
  ASSERT_EQ(inputs.blocks.size(), 1U);
  EXPECT_EQ(inputs.blocks[0].width_from, street::WidthFrom::Line);
  EXPECT_NEAR(inputs.blocks[0].width_m, 26.0 * 0.3048, 1e-9);
}

TEST(CentrelineLayer, CurbsComeBeforePavementAndPavementBeforeCentrelines) {
  const TempFolder folder;
  write_little(folder);
  std::string text = testing::read_text(folder.file("study.toml"));
  folder.write("study.toml", text + "[street.pavement]\nfile = \"pavement.geojson\"\n");
  study::StudyInputs inputs = gather(folder).inputs;
  ASSERT_FALSE(inputs.curbs.empty());
  EXPECT_EQ(inputs.curb_facts[0].from, street::CurbFrom::Pavement);
  folder.write("study.toml",
               text + "[street.curbs]\nfile = \"curbs.geojson\"\nclasses = { barrier = \"vertical\" }\n");
  inputs = gather(folder).inputs;
  ASSERT_EQ(inputs.curbs.size(), 2U);
  EXPECT_EQ(inputs.curbs[0].id, "north");
  EXPECT_FALSE(inputs.pavement.empty());  // tells on which side of a curb the street lies
}

TEST(CentrelineLayer, SettingsAreTheStudys) {
  const TempFolder folder;
  write_little(folder);
  folder.write("study.toml", testing::read_text(folder.file("study.toml")) +
                                 "[street]\nalley_width = \"14 ft\"\nreturn_radius = \"6 m\"\n");
  const street::CentrelineSettings settings =
      centreline_settings(study::read_study(folder.file("study.toml")));
  EXPECT_NEAR(settings.class_width_m[0], 14.0 * 0.3048, 1e-12);
  EXPECT_EQ(settings.class_width_m[1], 10.0);
  EXPECT_EQ(settings.return_radius_m, 6.0);
  EXPECT_EQ(settings.elevation_error_m, 0.03);
}

}  // namespace
}  // namespace curbshed::cli
