#include "curbshed/report/field_words.hpp"

#include "curbshed/report/manifest.hpp"
#include "curbshed/report/page.hpp"
#include "curbshed/report/sheets.hpp"
#include "curbshed/report/summary.hpp"
#include "curbshed/report/terminal.hpp"

#include "support/small_facts.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace curbshed::report {
namespace {

using study::FieldValue;
using testing::SmallFacts;

/// Somebody measured K1 and saw no water at K2.
struct Measured : SmallFacts {
  Measured() {
    settings.street.field.file = "field.csv";
    preparation.field.overrides = {
        {kK1, FieldValue::Grade, 0.013, 0.01, "fitted", "field.csv, line 2", "", ""},
        {kK1, FieldValue::Infiltration, 0.040 / 3600.0, 0.025 / 3600.0, "study", "field.csv, line 2",
         "1 ft hole", "3 May"}};
    preparation.field.water = {{kK2, false, "field.csv, line 3", "14 July"}};
    preparation.field.dry = {{kK2, 1240.0, "14 July", "field.csv, line 3"}};
    settings.basin.infiltration_origin = "soil map";
  }
};

const std::string kSentence =
    "LOOK AGAIN: no water was seen at cut K2 on 14 July (field.csv, line 3), but the water of 1,240 m2 of "
    "ground "
    "should come by.";

TEST(FieldWords, NoWaterSeenComesFirstOnTheTerminal) {
  const Measured run;
  std::string text = terminal_text(run.facts, {});
  EXPECT_EQ(text.find("LOOK AGAIN"), text.find('\n') + 2)
      << text.substr(0, 400);  // after title and a blank line
  for (char& c : text) c = c == '\n' ? ' ' : c;
  EXPECT_NE(text.find(kSentence), std::string::npos) << text.substr(0, 500);
  EXPECT_NE(text.find("on their floor (from the soil map); 1 of them as measured on the street."),
            std::string::npos);
}

TEST(FieldWords, NoWaterSeenComesFirstOnThePage) {
  const Measured run;
  const std::string page = page_html(run.facts, {}, Units::Metric);
  const std::size_t at = page.find(kSentence);
  ASSERT_NE(at, std::string::npos);
  EXPECT_LT(at, page.find("<div class=\"mind\">"));
  EXPECT_EQ(page.find("<p"), page.rfind("<p", at));  // no paragraph before it
}

TEST(FieldWords, SummaryBeginsWithIt) {
  const Measured run;
  const nlohmann::ordered_json json = nlohmann::ordered_json::parse(summary_json(run.facts));
  ASSERT_EQ(json["look_again"].size(), 1U);
  EXPECT_EQ(json["look_again"][0]["id"], "K2");
  EXPECT_EQ(json["look_again"][0]["area_arriving_m2"], 1240.0);
  EXPECT_EQ(json["look_again"][0]["text"].get<std::string>().rfind(kSentence, 0), 0U);
  EXPECT_LT(std::distance(json.begin(), json.find("look_again")),
            std::distance(json.begin(), json.find("storms")));
}

TEST(FieldWords, ManifestNamesEveryOverride) {
  const Measured run;
  const nlohmann::json json = nlohmann::json::parse(manifest_json(run.facts, {}));
  ASSERT_EQ(json["field"]["overrides"].size(), 2U);
  const nlohmann::json& grade = json["field"]["overrides"][0];
  EXPECT_EQ(grade["place"], "K1");
  EXPECT_EQ(grade["what"], "grade");
  EXPECT_NEAR(grade["value"].get<double>(), 1.3, 1e-12);
  EXPECT_NEAR(grade["before"].get<double>(), 1.0, 1e-12);
  EXPECT_EQ(grade["unit"], "%");
  EXPECT_EQ(grade["before_origin"], "fitted");
  EXPECT_EQ(grade["by"], "field.csv, line 2");
  EXPECT_FALSE(grade.contains("method"));
  const nlohmann::json& rate = json["field"]["overrides"][1];
  EXPECT_NEAR(rate["value"].get<double>(), 40.0, 1e-9);
  EXPECT_EQ(rate["unit"], "mm/h");
  EXPECT_EQ(rate["method"], "1 ft hole");
  EXPECT_EQ(rate["date"], "3 May");
  EXPECT_EQ(json["field"]["water_seen"][0]["place"], "K2");
  EXPECT_EQ(json["field"]["water_seen"][0]["seen"], false);
}

std::string cell(const base::Table& table, const std::string& id, const std::string& column) {
  const std::size_t c = *table.column(column);
  for (const auto& row : table.rows) {
    if (std::get<std::string>(row[*table.column("id")]) == id) {
      const std::string* text = std::get_if<std::string>(&row[c]);
      return text == nullptr ? "" : *text;
    }
  }
  return "no such row";
}

TEST(FieldWords, TablesSayWhereEachValueComesFrom) {
  Measured run;
  run.preparation.model.network.grade_from[SmallFacts::kK1] = street::ValueFrom::Measured;
  run.preparation.model.network.cross_slope_from[SmallFacts::kK2] = street::ValueFrom::Study;
  run.inputs.overrides[2].infiltration_m_s = 1e-5;
  const base::Table cuts = table_of(cuts_sheet(run.facts), run.facts);
  EXPECT_EQ(cell(cuts, "K1", "grade_origin"), "measured");
  EXPECT_EQ(cell(cuts, "K2", "grade_origin"), "fitted");
  EXPECT_EQ(cell(cuts, "K1", "cross_slope_origin"), "fitted");
  EXPECT_EQ(cell(cuts, "K2", "cross_slope_origin"), "study");
  EXPECT_EQ(cell(cuts, "K1", "curb_height_origin"), "study");
  EXPECT_EQ(cell(cuts, "K1", "gutter_level_origin"), "fitted");
  EXPECT_EQ(cell(cuts, "K1", "water_seen"), "");
  EXPECT_EQ(cell(cuts, "K2", "water_seen"), "no");
  const base::Table basins = table_of(basins_sheet(run.facts), run.facts);
  EXPECT_EQ(cell(basins, "K1", "infiltration_origin"), "measured");
  EXPECT_EQ(cell(basins, "K2", "infiltration_origin"), "study");
  EXPECT_EQ(cell(basins, "K1", "rim_origin"), "fitted");
}

TEST(FieldWords, WithoutAFieldLayerTheManifestHasNone) {
  const SmallFacts run;
  EXPECT_FALSE(nlohmann::json::parse(manifest_json(run.facts, {})).contains("field"));
  EXPECT_TRUE(nlohmann::json::parse(summary_json(run.facts))["look_again"].empty());
}

}  // namespace
}  // namespace curbshed::report
