#include "curbshed/siting/rules.hpp"

#include "curbshed/base/quantity.hpp"

#include <algorithm>
#include <set>

#include <gtest/gtest.h>

namespace curbshed::siting {
namespace {

RuleSet read(const std::string& rows) {
  return rules_of(study::rule_rows_of("format = 1\n" + rows, "rules.toml"));
}

std::string refusal(const std::string& rows) {
  try {
    read(rows);
  } catch (const base::InputError& error) {
    return error.what();
  }
  return "accepted";
}

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

const std::string kWell = "[[rule]]\nid = \"well\"\n";  // line 2 and 3 of the file

TEST(Rules, EveryRuleSaysWhatItMeasuresFromWhereAndHowToGetIt) {
  std::set<std::string_view> keys;
  for (const Rule& rule : default_rules().rules) {
    const RuleKind& kind = rule_kind(rule.id);
    EXPECT_TRUE(keys.insert(kind.key).second) << kind.key;
    EXPECT_FALSE(kind.measures.empty()) << kind.key;
    EXPECT_FALSE(rule.source.empty()) << kind.key;
    EXPECT_FALSE(kind.get.empty()) << kind.key;
    EXPECT_TRUE(rule.look_at || rule.limit) << kind.key;
    EXPECT_EQ(rule.limit.has_value(), !kind.mend.empty())
        << kind.key << ": a limit says what to do beyond it";
    EXPECT_TRUE(rule.ours()) << kind.key;
    EXPECT_TRUE(rule.on) << kind.key;
    EXPECT_EQ(find_rule_kind(kind.key), &kind);
  }
  EXPECT_EQ(keys.size(), kRules);
  EXPECT_EQ(find_rule_kind("no_such_rule"), nullptr);
}

TEST(Rules, NumbersAreInSi) {
  const RuleSet& rules = default_rules();
  EXPECT_NEAR(*rules.at(RuleId::Building).limit, 3.048, 1e-12);
  EXPECT_NEAR(*rules.at(RuleId::DrainTime).limit, 48.0 * 3600.0, 1e-9);
  EXPECT_NEAR(*rules.at(RuleId::GutterGrade).look_at, 0.04, 1e-15);
  EXPECT_NEAR(*rules.at(RuleId::Infiltration).limit, 0.0127 / 3600.0, 1e-15);
  EXPECT_EQ(limit_words(rules.at(RuleId::Ponding)), "look at at most 9 in, limit at most 12 in");
  EXPECT_EQ(in_rule_unit(rules.at(RuleId::Building), 3.0), "9.84");
  EXPECT_EQ(in_rule_unit(rules.at(RuleId::Building), 0.0), "0");
}

TEST(Rules, HumidPlacesAreMarked) {
  for (const RuleId id : {RuleId::Building, RuleId::PropertyLine, RuleId::Catchment, RuleId::StripWidth}) {
    EXPECT_TRUE(has(default_rules().at(id).note, "from a humid climate")) << rule_kind(id).key;
  }
}

TEST(Rules, TheFileWrittenReadsBackTheSame) {
  const RuleSet& ours = default_rules();
  const RuleSet back = rules_of(study::rule_rows_of(rules_toml(ours), "rules.toml"));
  ASSERT_EQ(back.rules.size(), ours.rules.size());
  for (std::size_t i = 0; i < ours.rules.size(); ++i) {
    EXPECT_EQ(back.rules[i].look_at, ours.rules[i].look_at) << rule_kinds()[i].key;
    EXPECT_EQ(back.rules[i].limit, ours.rules[i].limit) << rule_kinds()[i].key;
    EXPECT_EQ(back.rules[i].source, ours.rules[i].source);
    EXPECT_EQ(back.rules[i].note, ours.rules[i].note);
    EXPECT_EQ(back.rules[i].whose, ours.rules[i].whose);
    EXPECT_GT(back.rules[i].line, 0);
  }
}

TEST(Rules, ARowCountsAsAWholeAndTheOthersStay) {
  const RuleSet rules = read(
      "[[rule]]\nid = \"ponding\"\nunit = \"cm\"\nlimit = 20\nsource = \"city code 12\"\nwhose = \"Arroyo "
      "Bend\"\n");
  const Rule& ponding = rules.at(RuleId::Ponding);
  EXPECT_FALSE(ponding.look_at) << "what a row does not say is not there";
  EXPECT_NEAR(*ponding.limit, 0.20, 1e-12);
  EXPECT_FALSE(ponding.ours());
  EXPECT_EQ(rules.at(RuleId::Building).limit, default_rules().at(RuleId::Building).limit);
  EXPECT_EQ(rules.file, "rules.toml");
}

TEST(Rules, OneMayBeSwitchedOff) { EXPECT_FALSE(read(kWell + "on = false\n").at(RuleId::Well).on); }

TEST(Rules, BadRowsAreRefusedWithTheirLine) {
  const std::string source = "source = \"here\"\n";
  EXPECT_TRUE(
      has(refusal("[[rule]]\nid = \"biulding\"\n"), "rules.toml:3, [[rule]], biulding: there is no rule"));
  EXPECT_TRUE(has(refusal("[[rule]]\nid = \"biulding\"\n"), "Allowed: building"));
  EXPECT_TRUE(
      has(refusal(kWell + "limit = 3\n" + source), "rules.toml:2, [[rule]], well: the rule has no unit"));
  EXPECT_TRUE(
      has(refusal(kWell + "unit = \"h\"\nlimit = 3\n" + source), "rules.toml:4, [[rule]], well: \"h\""));
  EXPECT_TRUE(has(refusal(kWell + "unit = \"ft\"\nlimit = 30\nlook_at = 20\n" + source),
                  "rules.toml:6, [[rule]], well: look_at 20 ft lies beyond the limit 30 ft"));
  EXPECT_TRUE(has(refusal("[[rule]]\nid = \"ponding\"\nunit = \"in\"\nlimit = 9\nlook_at = 12\n" + source),
                  "rules.toml:6, [[rule]], ponding: look_at 12 in lies beyond the limit 9 in"));
  EXPECT_TRUE(has(refusal(kWell + "unit = \"ft\"\nlimit = 3\n"), "does not say where its limit comes from"));
  EXPECT_TRUE(has(refusal(kWell + "unit = \"ft\"\n" + source), "neither look_at nor limit"));
  EXPECT_TRUE(has(refusal(kWell + "on = false\n" + kWell + "on = false\n"), "rules.toml:6"));
  EXPECT_TRUE(has(refusal(kWell + "on = false\n" + kWell + "on = false\n"), "there twice, first in line 2"));
  EXPECT_TRUE(
      has(refusal(kWell + "direction = \"at most\"\nunit = \"ft\"\nlimit = 3\n" + source), "rules.toml:4"));
  EXPECT_TRUE(has(refusal(kWell + "for = \"tree\"\nunit = \"ft\"\nlimit = 3\n" + source), "rules.toml:4"));
  EXPECT_TRUE(has(refusal("[[rule]]\nid = \"side_slope\"\nunit = \"%\"\nlimit = 3\n" + source), "to 1"));
  EXPECT_EQ(refusal(kWell + "unit = \"ft\"\nlimit = 30\nlook_at = 30\n" + source), "accepted");
}

}  // namespace
}  // namespace curbshed::siting
