#include "curbshed/report/screening.hpp"

#include "curbshed/report/layers.hpp"
#include "curbshed/report/page.hpp"
#include "curbshed/report/summary.hpp"
#include "curbshed/report/terminal.hpp"

#include "support/small_facts.hpp"
#include "support/summary_schema.hpp"

#include <algorithm>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace curbshed::report {
namespace {

using curbshed::testing::SmallFacts;
using siting::RuleId;

siting::Measured known(double value, std::string from) {
  siting::Measured out;
  out.value = value;
  out.from = std::move(from);
  return out;
}

/// K1 is over one limit, K2 over none; two rules have values, all others no data.
struct Screened {
  SmallFacts small;
  siting::Screening screening;

  explicit Screened(siting::RuleSet rules = siting::default_rules()) {
    std::vector<siting::SiteMeasures> sites(2);
    sites[0][static_cast<std::size_t>(RuleId::Building)] = known(2.9, "building 12 Kiln Street");
    sites[1][static_cast<std::size_t>(RuleId::Building)] = known(3.048, "building 14 Kiln Street");
    for (siting::SiteMeasures& site : sites) {
      siting::Measured grade = known(0.035, "fit to the heights over 30 m");
      grade.doubt = 0.01;
      site[static_cast<std::size_t>(RuleId::GutterGrade)] = grade;
    }
    screening = siting::screen(std::move(rules), {SmallFacts::kK1, SmallFacts::kK2}, sites);
    small.facts.screening = &screening;
  }
};

std::string cell(const base::Table& table, std::size_t row, const char* column) {
  const base::Cell& value = table.rows[row][*table.column(column)];
  if (const auto* words = std::get_if<std::string>(&value)) return *words;
  if (const auto* number = std::get_if<double>(&value)) return std::to_string(*number);
  return "";
}

std::size_t row_of(const base::Table& table, const std::string& site, const std::string& rule) {
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    if (cell(table, i, "site") == site && cell(table, i, "rule") == rule) return i;
  }
  ADD_FAILURE() << site << " " << rule;
  return 0;
}

TEST(Screening, OneRowASiteAndRuleWithItsNumbersInItsUnit) {
  const Screened run;
  const base::Table table = screening_table(run.small.facts);
  EXPECT_EQ(table.rows.size(), 2 * siting::kRules);
  const std::size_t over = row_of(table, "K1", "building");
  EXPECT_NEAR(std::stod(cell(table, over, "measured")), 2.9 / 0.3048, 1e-5);
  EXPECT_EQ(cell(table, over, "unit"), "ft");
  EXPECT_NEAR(std::stod(cell(table, over, "limit")), 10.0, 1e-5);
  EXPECT_EQ(cell(table, over, "result"), "over limit");
  EXPECT_EQ(cell(table, over, "from"), "building 12 Kiln Street");
  EXPECT_EQ(cell(table, over, "whose"), "our limit, not this city's");
  EXPECT_NE(cell(table, over, "source").find("Minnesota"), std::string::npos);
  EXPECT_EQ(cell(table, over, "note"), "from a humid climate; ask your city for its own");
  EXPECT_EQ(cell(table, over, "what_to_do"), "Move the basin along the curb, or make it shorter.");
  EXPECT_EQ(cell(table, row_of(table, "K2", "building"), "result"), "within limit");
  const std::size_t grade = row_of(table, "K2", "gutter_grade");
  EXPECT_EQ(cell(table, grade, "result"), "measure on site");
  EXPECT_NEAR(std::stod(cell(table, grade, "doubt")), 1.0, 1e-5);
  EXPECT_EQ(cell(table, grade, "what_to_do").find("Measure it on the site. "), 0U);
  const std::size_t none = row_of(table, "K1", "meter");
  EXPECT_EQ(cell(table, none, "result"), "no data");
  EXPECT_EQ(cell(table, none, "measured"), "");
  EXPECT_EQ(cell(table, none, "what_to_do"), "Give [street.meters].");
}

TEST(Screening, EveryRowHasASourceAndSaysWhoseLimitItIs) {
  const Screened run;
  const base::Table table = screening_table(run.small.facts);
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    EXPECT_FALSE(cell(table, i, "source").empty()) << cell(table, i, "rule");
    EXPECT_FALSE(cell(table, i, "whose").empty()) << cell(table, i, "rule");
  }
}

TEST(Screening, ManySitesKeepOnlyWhatIsOverOrToBeMeasuredUnlessAsked) {
  Screened run;
  const siting::SiteMeasures good = run.screening.measures[1];
  std::vector<siting::SiteMeasures> sites(kMostFullSites + 1, good);
  sites[0] = run.screening.measures[0];
  run.screening = siting::screen(siting::default_rules(),
                                 std::vector<std::int32_t>(sites.size(), SmallFacts::kK1), sites);
  EXPECT_EQ(screening_table(run.small.facts).rows.size(), sites.size() + 1) << "the grades, and one building";
  run.small.settings.rules.every_row = true;
  EXPECT_EQ(screening_table(run.small.facts).rows.size(), sites.size() * siting::kRules);
}

TEST(Screening, TheLayerHasOnePolygonASiteAndTheCautions) {
  const Screened run;
  const base::MapLayer layer = screening_layer(run.small.facts);
  base::check(layer);
  ASSERT_EQ(layer.shapes.size(), 2U);
  EXPECT_EQ(cell(layer.table, 0, "id"), "K1");
  EXPECT_EQ(cell(layer.table, 0, "basin"), "over limit");
  EXPECT_EQ(cell(layer.table, 0, "over_limit"), "building");
  EXPECT_EQ(cell(layer.table, 0, "to_measure"), "gutter_grade");
  EXPECT_EQ(cell(layer.table, 1, "basin"), "measure on site");
  EXPECT_NE(layer.table.description.find("our limits, not this city's"), std::string::npos);
  EXPECT_NE(layer.table.description.find("Screening only"), std::string::npos);
  const std::vector<base::MapLayer> all = map_layers(run.small.facts);
  EXPECT_TRUE(
      std::any_of(all.begin(), all.end(), [](const auto& one) { return one.table.name == "screening"; }));
}

TEST(Screening, SaysCountsWhoseLimitsAndWhatBites) {
  const Screened run;
  const RunFacts& facts = run.small.facts;
  EXPECT_EQ(screening_sentence(facts),
            "Of 2 places, 1 is over a limit, 1 is to be measured on site, 0 are within all limits.");
  EXPECT_NE(whose_sentence(facts).find("are our limits, not this city's"), std::string::npos);
  ASSERT_EQ(biting_lines(facts, 5).size(), 1U);
  EXPECT_EQ(biting_lines(facts, 5).front(),
            "building (limit at least 10 ft): 1 place over it, 1 by it alone, 1 of these back if it were "
            "loosened by a "
            "tenth");
  EXPECT_NE(missing_sentence(facts).find("meter"), std::string::npos);
  EXPECT_EQ(missing_sentence(facts).find("building"), std::string::npos);
  const std::string terminal = terminal_text(facts, {Units::Metric, false});
  EXPECT_NE(terminal.find("The places against the rules"), std::string::npos);
  EXPECT_NE(terminal.find("- building (limit at least 10 ft): 1 place over it"), std::string::npos);
  const std::string page = screening_section(facts);
  EXPECT_NE(page.find("building: 9.51 ft (limit at least 10 ft)"), std::string::npos);
  EXPECT_NE(page.find("not this city&#39;s") == std::string::npos ? page.find("not this city's") : 0U,
            std::string::npos);
}

TEST(Screening, ACitysOwnLimitCarriesItsName) {
  siting::RuleSet rules = siting::default_rules();
  for (siting::Rule& rule : rules.rules) rule.whose = "Arroyo Bend";
  const Screened run(rules);
  EXPECT_EQ(cell(screening_table(run.small.facts), 0, "whose"), "Arroyo Bend");
  EXPECT_EQ(whose_sentence(run.small.facts).find("not this city"), std::string::npos);
}

TEST(Screening, TheSummaryHasTheCounts) {
  const Screened run;
  const auto json = nlohmann::json::parse(summary_json(run.small.facts));
  const auto& screening = json.at("screening");
  EXPECT_EQ(screening.at("rules"), "built in");
  EXPECT_EQ(screening.at("places"), 2);
  EXPECT_EQ(screening.at("basins").at("over_limit"), 1);
  EXPECT_EQ(screening.at("basins").at("measure_on_site"), 1);
  EXPECT_EQ(screening.at("rules_that_bite").at(0).at("rule"), "building");
  EXPECT_EQ(screening.at("rules_that_bite").at(0).at("back_if_loosened_by_a_tenth"), 1);
  const SmallFacts plain;
  EXPECT_TRUE(nlohmann::json::parse(summary_json(plain.facts)).at("screening").is_null());
}

TEST(Screening, WithoutAScreeningThereIsNothingToSay) {
  const SmallFacts plain;
  EXPECT_TRUE(screening_table(plain.facts).rows.empty());
  EXPECT_TRUE(screening_layer(plain.facts).shapes.empty());
  EXPECT_EQ(screening_section(plain.facts), "");
  EXPECT_EQ(terminal_text(plain.facts, {Units::Metric, false}).find("against the rules"), std::string::npos);
}

}  // namespace
}  // namespace curbshed::report
