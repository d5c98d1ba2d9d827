// The rules by which open ground loses water, chosen in a study, through the whole program.
#include "support/program.hpp"
#include "support/small_study.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace curbshed::cli {
namespace {

using testing::run_program;
using testing::SmallStudy;
using testing::TempFolder;

struct Told {
  double arriving_m3 = 0.0;  ///< at the cuts, without them, in the 10-year hour
  double burst_m3 = 0.0;     ///< in a rain of 20 min
};

Told told(const std::string& soil) {
  const TempFolder folder;
  SmallStudy::write(folder);
  folder.write("soils.geojson", SmallStudy::collection(SmallStudy::feature(
                                    "Polygon", SmallStudy::box(0, -10, 30, 10),
                                    "\"id\":\"S1\",\"ksat\":5.0,\"soil\":\"sandy_loam\"")));
  folder.write("study.toml",
               SmallStudy::study() +
                   "[[rain.storm]]\nid = \"burst\"\ndepth = \"25 mm\"\nduration = \"20 min\"\n[soil]\n" +
                   soil);
  const testing::Ran ran = run_program(folder, "run study.toml --out out -q");
  EXPECT_EQ(ran.exit_code, 0) << soil << ran.err;
  if (ran.exit_code != 0) return {};
  const nlohmann::json summary = nlohmann::json::parse(testing::read_text(folder.file("out/summary.json")));
  Told out;
  for (const nlohmann::json& cut : summary["cuts"]) {
    out.arriving_m3 += cut["storms"]["ten_year"]["arriving_before_m3"].get<double>();
    out.burst_m3 += cut["storms"]["burst"]["arriving_before_m3"].get<double>();
  }
  return out;
}

const std::string kTexture = "default_texture = \"sandy_loam\"\nsaturation = 0.3\n";

TEST(SoilLosses, EachRuleIsTakenAndTheyDiffer) {
  const Told number = told("");
  const Told revised = told("losses = \"curve_number_005\"\n");
  const Told green_ampt = told("losses = \"green_ampt\"\n" + kTexture);
  const Told horton = told(
      "losses = \"horton\"\nhorton_initial = \"60 mm/h\"\nhorton_final = \"10 mm/h\"\nhorton_decay = \"2 "
      "1/h\"\n");
  const Told none = told("losses = \"coefficient\"\ncoefficient = 0\n");
  const Told all = told("losses = \"coefficient\"\ncoefficient = 1\n");
  for (const Told& one : {number, revised, green_ampt, horton}) {
    EXPECT_GT(one.arriving_m3, none.arriving_m3);
    EXPECT_LT(one.arriving_m3, all.arriving_m3);
  }
  EXPECT_NE(number.arriving_m3, revised.arriving_m3);
  EXPECT_NE(number.arriving_m3, green_ampt.arriving_m3);
  EXPECT_NE(green_ampt.arriving_m3, horton.arriving_m3);
  // All of it runs off: rain on the ground that drains to the cuts, less what the pavement keeps.
  EXPECT_GT(all.arriving_m3, 1.5 * number.arriving_m3);
}

TEST(SoilLosses, BurstsGoByTheSoilOnceItsTextureIsKnown) {
  const Told number = told("");
  const Told known = told(kTexture);
  const Told green_ampt = told("losses = \"green_ampt\"\n" + kTexture);
  EXPECT_EQ(known.arriving_m3, number.arriving_m3) << "an hour goes by the curve number";
  EXPECT_NE(known.burst_m3, number.burst_m3);
  EXPECT_EQ(known.burst_m3, green_ampt.burst_m3);
}

TEST(SoilLosses, LayerBringsGroupByConductivityAndTexture) {
  const std::string layer = "[soil.groups]\nfile = \"soils.geojson\"\n";
  // 5 um/s is group B (4 to 10); the default is C.
  const Told by_rate = told(layer + "fields = { conductivity = { field = \"ksat\", unit = \"um/s\" } }\n");
  const Told as_b = told("default_group = \"B\"\n");
  EXPECT_NEAR(by_rate.arriving_m3, as_b.arriving_m3, 1e-9);
  EXPECT_LT(as_b.arriving_m3, told("").arriving_m3);
  const Told textured =
      told("saturation = 0.3\ndefault_texture = \"clay\"\nlosses = \"green_ampt\"\n" + layer +
           "fields = { conductivity = { field = \"ksat\", unit = \"um/s\" }, texture = \"soil\" }\n");
  const Told sandy = told("losses = \"green_ampt\"\n" + kTexture);
  EXPECT_NEAR(textured.arriving_m3, sandy.arriving_m3, 1e-9);
  EXPECT_LT(sandy.arriving_m3,
            told("losses = \"green_ampt\"\ndefault_texture = \"clay\"\nsaturation = 0.3\n").arriving_m3);
}

}  // namespace
}  // namespace curbshed::cli
