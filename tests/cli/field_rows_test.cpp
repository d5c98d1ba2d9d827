#include "curbshed/cli/field_rows.hpp"

#include "curbshed/cli/gather_inputs.hpp"

#include "support/csv_rows.hpp"
#include "support/program.hpp"
#include "support/small_study.hpp"

#include <filesystem>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace curbshed::cli {
namespace {

using study::FieldValue;
using testing::SmallStudy;
using testing::TempFolder;

void write(const TempFolder& folder, const std::string& rows, const std::string& keys = "") {
  SmallStudy::write(folder);
  folder.write("field.csv", rows);
  folder.write("study.toml", SmallStudy::study() + "[street.field]\nfile = \"field.csv\"\n" + keys);
}

std::optional<double> value(const study::FieldRow& row, FieldValue what) {
  return row.values[static_cast<std::size_t>(what)];
}

TEST(FieldRows, ReadASpreadsheetWithUnitsInItsCells) {
  const TempFolder folder;
  write(folder,
        "cut,grade,curb_height,infiltration,method,date,water\n"
        "K2, 1.2 %,6 in,1 in/h,\"1 ft hole, third filling\",3 May,Yes\n"
        ",,,,,,\n"
        " K1 ,0.9 %,,,,,no\n");
  const std::vector<study::FieldRow> rows =
      gather_inputs(study::read_study(folder.file("study.toml")), {}).inputs.field;
  ASSERT_EQ(rows.size(), 2U);
  const study::FieldRow& k2 = rows[0].cut == "K2" ? rows[0] : rows[1];
  const study::FieldRow& k1 = rows[0].cut == "K2" ? rows[1] : rows[0];
  EXPECT_NEAR(value(k2, FieldValue::Grade).value(), 0.012, 1e-12);
  EXPECT_NEAR(value(k2, FieldValue::CurbHeight).value(), 0.1524, 1e-12);
  EXPECT_NEAR(value(k2, FieldValue::Infiltration).value(), 0.0254 / 3600.0, 1e-15);
  EXPECT_EQ(k2.method, "1 ft hole, third filling");
  EXPECT_EQ(k2.by, "field.csv, line 2");
  EXPECT_TRUE(k2.water_seen.value());
  EXPECT_EQ(k1.cut, "K1");
  EXPECT_EQ(k1.by, "field.csv, line 4");
  EXPECT_FALSE(k1.water_seen.value());
  EXPECT_FALSE(value(k1, FieldValue::CurbHeight).has_value());
}

TEST(FieldRows, ColumnsOfAnyNameAndUnitAreMapped) {
  const TempFolder folder;
  write(folder, "Name;Curb;Rain seen\nK1;5.5;dry\n",
        "fields = { cut = \"Name\", curb_height = { field = \"Curb\", unit = \"in\" }, water = \"Rain seen\" "
        "}\n"
        "classes = { dry = \"no\", wet = \"yes\" }\n");
  const std::vector<study::FieldRow> rows =
      gather_inputs(study::read_study(folder.file("study.toml")), {}).inputs.field;
  ASSERT_EQ(rows.size(), 1U);
  EXPECT_NEAR(value(rows[0], FieldValue::CurbHeight).value(), 0.1397, 1e-12);
  EXPECT_FALSE(rows[0].water_seen.value());
}

TEST(FieldRows, WithoutACutThePlaceCounts) {
  const TempFolder folder;
  write(folder, "street,side,corner,distance,grade\nKiln Street,north,west end,10.4 m,1.2 %\n");
  const std::vector<study::FieldRow> rows =
      gather_inputs(study::read_study(folder.file("study.toml")), {}).inputs.field;
  ASSERT_EQ(rows.size(), 1U);
  EXPECT_NEAR(rows[0].at.value().x_m, SmallStudy::kWest_m + 10.4, 0.01);
}

TEST(FieldRows, GoThroughTheWholeProgram) {
  const TempFolder folder;
  write(folder, "cut,grade,infiltration,method,water\nK1,1.4 %,30 mm/h,hole,\nK2,,,,no\n",
        "[street]\ndry_area = \"20 m2\"\n");
  const testing::Ran ran = testing::run_program(folder, "run study.toml --out out");
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  EXPECT_EQ(ran.out.rfind(
                "Kiln Street, small\n\nLOOK AGAIN: no water was seen at cut K2 (field.csv, line 3), but", 0),
            0U)
      << ran.out.substr(0, 300);
  const nlohmann::json manifest = nlohmann::json::parse(testing::read_text(folder.file("out/manifest.json")));
  ASSERT_EQ(manifest["field"]["overrides"].size(), 2U);
  EXPECT_EQ(manifest["field"]["overrides"][0]["by"], "field.csv, line 2");
  const nlohmann::json summary = nlohmann::json::parse(testing::read_text(folder.file("out/summary.json")));
  EXPECT_EQ(summary["look_again"][0]["id"], "K2");
  for (const nlohmann::json& cut : summary["cuts"]) {
    EXPECT_EQ(cut["grade_origin"], cut["id"] == "K1" ? "measured" : "fitted");
  }
  const testing::Ran check = testing::run_program(folder, "check study.toml");
  EXPECT_NE(check.out.find("LOOK AGAIN"), std::string::npos);
  EXPECT_LT(check.out.find("LOOK AGAIN"), check.out.find("elevation.asc"));
}

TEST(FieldRows, LevelsAreReadAgainstTheTopOfTheCurb) {
  const TempFolder folder;
  SmallStudy::write(folder);
  folder.write("levels.csv",
               "cut,what,height,error,method,date\n"
               "K1,Gutter,-6 in,,string and line level,3 May\n"
               "K1,walk,-1 cm,8 mm,,\n"
               ",,,,,\n"
               "K2,doorway,1 ft,,,\n");
  folder.write("study.toml", SmallStudy::study() + "[street.levels]\nfile = \"levels.csv\"\n");
  const std::vector<study::FieldRow> rows =
      gather_inputs(study::read_study(folder.file("study.toml")), {}).inputs.field;
  ASSERT_EQ(rows.size(), 3U);
  std::array<std::optional<double>, study::kFieldValues> met;
  for (const study::FieldRow& row : rows) {
    for (std::size_t i = 0; i < study::kFieldValues; ++i) {
      if (row.values[i]) met[i] = row.values[i];
    }
    if (value(row, FieldValue::CurbHeight)) {
      EXPECT_EQ(row.by, "levels.csv, line 2");
      EXPECT_EQ(row.method, "string and line level");
      EXPECT_EQ(row.date, "3 May");
      EXPECT_FALSE(row.error_m.has_value());
    }
    if (value(row, FieldValue::RimBelowCurb)) {
      EXPECT_NEAR(row.error_m.value(), 0.008, 1e-12);
    }
    if (value(row, FieldValue::DoorwayAboveCurb)) {
      EXPECT_EQ(row.cut, "K2");
    }
  }
  EXPECT_NEAR(met[static_cast<std::size_t>(FieldValue::CurbHeight)].value(), 0.1524, 1e-12);
  EXPECT_NEAR(met[static_cast<std::size_t>(FieldValue::RimBelowCurb)].value(), 0.01, 1e-12);
  EXPECT_NEAR(met[static_cast<std::size_t>(FieldValue::DoorwayAboveCurb)].value(), 0.3048, 1e-12);
}

TEST(FieldRows, ThreeFilesOfLevelsMoveOneSiteFromMeasureToWithinAndToOver) {
  // The four blocks: their ground goes on beyond the areas of the cuts, so a result may be "within".
  const std::string sample = std::string(CURBSHED_SOURCE_DIR) + "/sample-rasters/four-blocks";
  const auto found = [&](const std::string& levels) {
    const TempFolder folder;
    std::filesystem::copy(
        sample, folder.path(),
        std::filesystem::copy_options::overwrite_existing | std::filesystem::copy_options::recursive);
    folder.write("levels.csv", "cut,what,height,error\n" + levels);
    folder.write("study.toml",
                 testing::read_text(sample + "/study.toml") + "\n[street.levels]\nfile = \"levels.csv\"\n");
    const testing::Ran ran = testing::run_program(folder, "run study.toml --out out");
    EXPECT_EQ(ran.exit_code, 0) << ran.err;
    const nlohmann::json manifest =
        nlohmann::json::parse(testing::read_text(folder.file("out/manifest.json")));
    EXPECT_EQ(manifest["field"]["levels"].size(), 2U);
    EXPECT_EQ(manifest["field"]["levels"][0]["by"], "levels.csv, line 2");
    const testing::CsvRow basin =
        testing::csv_rows_by_id(testing::read_text(folder.file("out/basins.csv"))).at("kiln-n-4");
    EXPECT_EQ(basin.at("pool_full_origin"), "measured (levels.csv, line 2)");
    for (const testing::CsvRow& row :
         testing::csv_rows(testing::read_text(folder.file("out/screening.csv")))) {
      if (row.at("site") == "kiln-n-4" && row.at("rule") == "freeboard") return row.at("result");
    }
    return std::string("no row");
  };
  EXPECT_EQ(found("kiln-n-4,gutter,-15 cm,30 mm\nkiln-n-4,walk,-1 cm,30 mm\n"), "measure on site");
  EXPECT_EQ(found("kiln-n-4,gutter,-15 cm,\nkiln-n-4,walk,-1 cm,\n"), "within limit");
  EXPECT_EQ(found("kiln-n-4,gutter,-15 cm,\nkiln-n-4,walk,-13 cm,\n"), "over limit");
}

}  // namespace
}  // namespace curbshed::cli
