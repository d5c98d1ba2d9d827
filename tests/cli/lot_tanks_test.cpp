// Tanks of lots through the whole program.
#include "curbshed/cli/lot_tanks.hpp"

#include "support/program.hpp"
#include "support/small_study.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace curbshed::cli {
namespace {

using testing::run_program;
using testing::SmallStudy;
using testing::TempFolder;

const std::string kLayers =
    "[lots.lots]\nfile = \"lots.geojson\"\nfields = { tank = \"TANK\" }\n[lots.buildings]\nfile = "
    "\"buildings.geojson\"\n";
const std::string kTank = "[lots.tank]\nsize = \"2 m3\"\nroof_share = 0.5\nstart = 0\n";

testing::Ran ran(const TempFolder& folder, const std::string& tank) {
  SmallStudy::write(folder);
  folder.write(
      "lots.geojson",
      SmallStudy::collection(SmallStudy::feature("Polygon", SmallStudy::box(2, 5, 12, 9.9),
                                                 "\"id\":\"A\",\"yard\":\"yard_desert\",\"TANK\":null") +
                             ",\n" +
                             SmallStudy::feature("Polygon", SmallStudy::box(12, 5, 24, 9.9),
                                                 "\"id\":\"B\",\"yard\":\"yard_desert\",\"TANK\":\"0 L\"")));
  folder.write("buildings.geojson",
               SmallStudy::collection(
                   SmallStudy::feature("Polygon", SmallStudy::box(3, 6, 10, 9), "\"id\":\"H1\"") + ",\n" +
                   SmallStudy::feature("Polygon", SmallStudy::box(14, 6, 20, 9), "\"id\":\"H2\"")));
  folder.write("study.toml", SmallStudy::study() + kLayers + tank);
  return run_program(folder, "run study.toml --out out -q");
}

nlohmann::json summary_of(const std::string& tank) {
  const TempFolder folder;
  const testing::Ran result = ran(folder, tank);
  EXPECT_EQ(result.exit_code, 0) << result.err;
  return result.exit_code != 0 ? nlohmann::json()
                               : nlohmann::json::parse(testing::read_text(folder.file("out/summary.json")));
}

TEST(LotTanks, AStudyWithoutThemHasNone) {
  const nlohmann::json summary = summary_of("");
  EXPECT_TRUE(summary["lots"].empty());
  EXPECT_TRUE(summary["storms"][0]["lots_kept_m3"].is_null());
}

TEST(LotTanks, KeepWaterOfTheirOwnRoofsOnly) {
  const nlohmann::json summary = summary_of(kTank);
  ASSERT_EQ(summary["lots"].size(), 1U);  // lot B says it has none
  const nlohmann::json& lot = summary["lots"][0];
  EXPECT_EQ(lot["id"], "A");
  EXPECT_NEAR(lot["roof_m2"].get<double>(), 21.0, 1e-9);
  EXPECT_NEAR(lot["led_m2"].get<double>(), 10.5, 1e-9);
  const nlohmann::json& common = lot["storms"]["common"];
  EXPECT_GT(common["kept_m3"].get<double>(), 0.05);
  EXPECT_NEAR(common["led_m3"].get<double>(), common["kept_m3"].get<double>(), 1e-12);
  EXPECT_EQ(common["to_street_m3"], 0.0);
  EXPECT_NEAR(summary["storms"][0]["lots_kept_m3"].get<double>(), common["kept_m3"].get<double>(), 1e-12);
}

TEST(LotTanks, ThatAreNewLowerTheStreetsWaterOnlyWithTheCuts) {
  const nlohmann::json none = summary_of("");
  const nlohmann::json there = summary_of(kTank);
  const nlohmann::json later = summary_of(kTank + "when = \"new\"\n");
  const auto before = [](const nlohmann::json& summary) {
    return summary["outfalls"][0]["storms"]["ten_year"]["left_before_m3"].get<double>();
  };
  EXPECT_NEAR(before(later), before(none), 1e-9);
  EXPECT_LE(before(there), before(none));
}

}  // namespace
}  // namespace curbshed::cli
