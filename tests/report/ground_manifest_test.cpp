#include "curbshed/report/ground_manifest.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace curbshed::report {
namespace {

TEST(GroundManifest, NamesTheInputTheGroundAndTheOutputs) {
  GroundWaterFacts facts;
  facts.version = "1";
  facts.file = {"elevation", "dem.tif", "", "abc", 12, -1, 0, ""};
  facts.rows = 3;
  facts.cols = 4;
  facts.cell_m = 0.5;
  facts.wet_cells = 2;
  facts.standing_m3 = 0.25;
  facts.deepest_m = 0.5;
  const nlohmann::json json =
      nlohmann::json::parse(ground_manifest_json(facts, {{"rasters/standing_water_m.tif", "def"}}));
  EXPECT_EQ(json["program"], "curbshed");
  EXPECT_EQ(json["inputs"][0]["sha256"], "abc");
  EXPECT_EQ(json["ground"]["columns"], 4);
  EXPECT_EQ(json["standing_water"]["volume_m3"], 0.25);
  EXPECT_EQ(json["outputs"]["rasters/standing_water_m.tif"], "def");
}

TEST(GroundManifest, WithoutAChecksumTheInputHasNone) {
  const nlohmann::json json = nlohmann::json::parse(ground_manifest_json({}, {}));
  EXPECT_FALSE(json["inputs"][0].contains("sha256"));
}

}  // namespace
}  // namespace curbshed::report
