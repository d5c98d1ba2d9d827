#include "curbshed/study/rule_rows.hpp"

#include <gtest/gtest.h>

namespace curbshed::study {
namespace {

std::string refusal(std::string_view text) {
  try {
    rule_rows_of(text, "rules.toml");
  } catch (const base::InputError& error) {
    return error.what();
  }
  return "accepted";
}

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

TEST(RuleRows, KeepNumbersWordsAndLines) {
  const RuleRows rows = rule_rows_of(
      "format = 1\n\n[[rule]]\nid = \"building\"\nunit = \"ft\"\nlimit = 12\nlook_at = 20.5\n"
      "source = \"city\"\nwhose = \"Arroyo Bend\"\n\n[[rule]]\nid = \"well\"\non = false\n",
      "rules.toml");
  ASSERT_EQ(rows.rows.size(), 2U);
  const RuleRow& row = rows.rows[0];
  EXPECT_EQ(row.id, "building");
  EXPECT_EQ(row.unit, "ft");
  EXPECT_DOUBLE_EQ(row.limit.value(), 12.0);
  EXPECT_DOUBLE_EQ(row.look_at.value(), 20.5);
  EXPECT_EQ(row.whose, "Arroyo Bend");
  EXPECT_FALSE(row.direction);
  EXPECT_EQ(rows.where(row, "limit").file, "rules.toml:6");
  EXPECT_EQ(rows.where(row, "note").file, "rules.toml:3") << "without the key the row itself";
  EXPECT_FALSE(rows.rows[1].on.value());
}

TEST(RuleRows, RefuseWhatIsNoTableOfRules) {
  EXPECT_TRUE(has(refusal("[[rule]]\nid = \"well\"\n"),
                  "rules.toml:1, [[rule]], rule: the first key is not `format`"));
  EXPECT_TRUE(has(refusal("format = 2\n"), "rules.toml:1"));
  EXPECT_TRUE(has(refusal(""), "the table of rules is empty"));
  EXPECT_TRUE(has(refusal("format = 1\nrules = 3\n"), "rules.toml:2, [[rule]], rules: there is no `rules`"));
  EXPECT_TRUE(has(refusal("format = 1\nrule = 3\n"), "rules.toml:2"));
  EXPECT_TRUE(has(refusal("format = 1\n[[rule]]\nunit = \"ft\"\n"), "a rule has no id"));
  EXPECT_TRUE(has(refusal("format = 1\n[[rule]]\nid = \"well\"\nlimt = 3\n"), "rules.toml:4"));
  EXPECT_TRUE(has(refusal("format = 1\n[[rule]]\nid = \"well\"\nlimt = 3\n"), "write `limit`"));
  EXPECT_TRUE(
      has(refusal("format = 1\n[[rule]]\nid = \"well\"\nlimit = \"3\"\n"), "\"3\" cannot be used here"));
  EXPECT_TRUE(has(refusal("format = 1\n[[rule]]\nid = \"well\"\nlimit = nan\n"), "rules.toml:4"));
  EXPECT_TRUE(has(refusal("format = 1\n[[rule]]\nid = \"well\"\non = 1\n"), "true, false"));
  EXPECT_TRUE(has(refusal("format = 1\n[[rule\n"), "rules.toml:2: this is no TOML"));
}

}  // namespace
}  // namespace curbshed::study
