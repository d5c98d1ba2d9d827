#include "curbshed/cli/feature_rows.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/cli/gather_inputs.hpp"

#include "support/program.hpp"
#include "support/small_study.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace curbshed::cli {
namespace {

using testing::SmallStudy;
using testing::TempFolder;

std::string cut(const std::string& columns, const std::string& values) {
  return fmt::format("name,east,north,{}\nK1,{},{},{}\n", columns, SmallStudy::kWest_m + 10.0,
                     SmallStudy::kMiddle_m + 4.0, values);
}

study::SiteOverrides read(const std::string& columns, const std::string& values) {
  const TempFolder folder;
  SmallStudy::write(folder);
  folder.write("cuts.csv", cut(columns, values));
  return gather_inputs(study::read_study(folder.file("study.toml")), {}).inputs.overrides[0];
}

TEST(FeatureRows, ACutBringsWhatItsRowSays) {
  const study::SiteOverrides own = read("opening,ponding,infiltration,words", "2 ft,4 in,1 in/h,by the kiln");
  EXPECT_NEAR(own.opening_m.value(), 0.6096, 1e-12);
  EXPECT_NEAR(own.ponding_m.value(), 0.1016, 1e-12);
  EXPECT_NEAR(own.infiltration_m_s.value(), 0.0254 / 3600.0, 1e-15);
  EXPECT_EQ(own.words, "by the kiln");
  EXPECT_FALSE(own.basin_length_m.has_value());
}

TEST(FeatureRows, ABasinWithoutAFloorIsRefused) {
  EXPECT_NO_THROW(read("side_slope", "4"));
  EXPECT_THROW(read("side_slope", "5"), base::InputError);  // 2 × 5 × 0.15 m = 1.5 m, its width
}

/// A polygon of 4 m × 1.5 m behind the northern curb, 15 m from the western end.
std::string polygon(const std::string& properties) {
  return SmallStudy::collection(
      SmallStudy::feature("Polygon", SmallStudy::box(13, 4.3, 17, 5.8), properties));
}

void write_basins(const TempFolder& folder, const std::string& features) {
  SmallStudy::write(folder);
  folder.write("basins.geojson", features);
  folder.write("study.toml", SmallStudy::study() + "[street.existing_basins]\nfile = \"basins.geojson\"\n");
}

TEST(FeatureRows, APolygonIsABasinBesideItsCurb) {
  const TempFolder folder;
  write_basins(folder, polygon("\"id\":\"B1\",\"volume\":\"900 L\",\"opening\":\"1 m\""));
  const study::StudyInputs inputs = gather_inputs(study::read_study(folder.file("study.toml")), {}).inputs;
  ASSERT_EQ(inputs.sites.size(), 4U);
  EXPECT_EQ(inputs.sites.back().kind, street::SiteKind::Basin);
  EXPECT_NEAR(inputs.sites.back().at.x_m, SmallStudy::kWest_m + 15.0, 1e-6);
  EXPECT_NEAR(inputs.sites.back().at.y_m, SmallStudy::kMiddle_m + 4.0, 1e-6);
  const study::SiteOverrides& own = inputs.overrides.back();
  EXPECT_NEAR(own.basin_length_m.value(), 4.0, 1e-6);
  EXPECT_NEAR(own.basin_width_m.value(), 1.5, 1e-6);
  EXPECT_NEAR(own.ponding_m.value(), 0.15, 1e-6);  // 0.9 m3 on 6 m2
  EXPECT_EQ(own.side_slope.value(), 0.0);
  EXPECT_EQ(own.opening_m.value(), 1.0);
  EXPECT_TRUE(own.volume_told) << "mulch adds nothing to a volume that was told";
}

TEST(FeatureRows, ExistingBasinsTakeWaterWithoutTheCutsToo) {
  const TempFolder folder;
  write_basins(folder, polygon("\"id\":\"B1\""));
  const testing::Ran ran = testing::run_program(folder, "run study.toml --out out");
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  EXPECT_NE(ran.out.find("the 2 basins take"), std::string::npos) << ran.out;  // those of K1 and K2
  const nlohmann::json summary = nlohmann::json::parse(testing::read_text(folder.file("out/summary.json")));
  EXPECT_EQ(summary["cuts"].size(), 2U);
  ASSERT_EQ(summary["existing_basins"].size(), 1U);
  const nlohmann::json& b1 = summary["existing_basins"][0];
  EXPECT_EQ(b1["id"], "B1");
  EXPECT_EQ(b1["next_down"], "cut K2");
  const nlohmann::json& common = b1["storms"]["common"];
  EXPECT_GT(common["captured_before_m3"].get<double>(), 0.0);
  EXPECT_LE(common["arriving_m3"].get<double>(), common["arriving_before_m3"].get<double>());
  EXPECT_NE(testing::read_text(folder.file("out/existing_basins.csv")).find("\nB1,"), std::string::npos);
  EXPECT_NE(testing::run_program(folder, "check study.toml").out.find("existing basins 1,"),
            std::string::npos);
}

}  // namespace
}  // namespace curbshed::cli
