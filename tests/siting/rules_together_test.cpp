#include "curbshed/siting/rules_together.hpp"

#include "curbshed/base/quantity.hpp"

#include <iostream>

#include <gtest/gtest.h>

namespace curbshed::siting {
namespace {

constexpr double kFoot = base::kMetresPerFoot;
constexpr double kInch = base::kMetresPerInch;

std::string refusal(const std::string& rows) {
  try {
    rules_of(study::rule_rows_of("format = 1\n" + rows, "rules.toml"));
  } catch (const base::InputError& error) {
    return error.what();
  }
  return "accepted";
}
std::string row(const std::string& id, const std::string& unit, const std::string& limit) {
  return "[[rule]]\nid = \"" + id + "\"\nunit = \"" + unit + "\"\nlimit = " + limit + "\nsource = \"test\"\n";
}
bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

TEST(RulesTogether, TheLeastWidthIsTheSumOfItsParts) {
  // By hand: 0.3 m + 2 × 2 × (3 in + 2 in) + 0.45 m + 12 in = 32 in + 0.75 m.
  EXPECT_NEAR(least_width(default_rules(), false).total_m(), 32.0 * kInch + 0.75, 1e-9);
  // Beside parked cars 18 in instead of 0.3 m.
  EXPECT_NEAR(least_width(default_rules(), true).total_m(), 50.0 * kInch + 0.45, 1e-9);
}

TEST(RulesTogether, OurRulesAdmitABasinInASixFootStrip) {
  const auto plain = admitted_in(default_rules(), 6.0 * kFoot, false);
  const auto parked = admitted_in(default_rules(), 6.0 * kFoot, true);
  ASSERT_TRUE(plain && parked);
  // (72 in − 12 in − 0.75 m) / 4 − 2 in of drop.
  EXPECT_NEAR(plain->ponding_m, (60.0 * kInch - 0.75) / 4.0 - 2.0 * kInch, 1e-9);
  EXPECT_NEAR(parked->ponding_m, (42.0 * kInch - 0.45) / 4.0 - 2.0 * kInch, 1e-9);
  EXPECT_NEAR(plain->width.total_m(), 6.0 * kFoot, 1e-9) << "it fills the strip";
  std::cout << admitted_words(default_rules(), 6.0 * kFoot) << "\n";
  EXPECT_EQ(
      admitted_words(default_rules(), 6.0 * kFoot),
      "A strip of 6.00 ft where no cars park holds a basin with up to 5.6 in of ponding: 11.8 in behind the "
      "curb + 2 × 2 × (5.6 in ponding + 2.0 in drop) + 17.7 in floor + 12.0 in shelf = 6.00 ft. A strip of "
      "6.00 ft beside parked cars holds a basin with up to 4.1 in of ponding: 18.0 in behind the curb + 2 × "
      "2 × (4.1 in ponding + 2.0 in drop) + 17.7 in floor + 12.0 in shelf = 6.00 ft.");
}

TEST(RulesTogether, AStripAtTheLeastWidthHoldsTheLeastBasinAndANarrowerOneNone) {
  const double least_m = least_width(default_rules(), false).total_m();
  const auto at = admitted_in(default_rules(), least_m, false);
  ASSERT_TRUE(at);
  EXPECT_NEAR(at->ponding_m, 3.0 * kInch, 1e-9);
  EXPECT_FALSE(admitted_in(default_rules(), least_m - 0.001, false));
  EXPECT_TRUE(has(admitted_words(default_rules(), 1.0), "holds no basin"));
  const auto wide = admitted_in(default_rules(), 50.0, false);
  ASSERT_TRUE(wide);
  EXPECT_NEAR(wide->ponding_m, 12.0 * kInch, 1e-9) << "not deeper than the limit";
}

TEST(RulesTogether, ASetUnderWhichNoBasinCanExistIsRefusedWithTheArithmetic) {
  const std::string slopes = refusal(row("building", "ft", "5") + row("side_slope", "to 1", "12"));
  EXPECT_TRUE(has(slopes, "rules.toml:7, [[rule]], side_slope: no basin can exist")) << slopes;
  EXPECT_TRUE(has(slopes,
                  "11.8 in behind the curb + 2 × 12 × (3.0 in ponding + 2.0 in drop) + 17.7 in floor + 12.0 "
                  "in shelf = 13.46 ft"))
      << slopes;
  EXPECT_TRUE(has(slopes, "at most 12.00 ft")) << slopes;
  EXPECT_TRUE(
      has(refusal(row("floor_width", "m", "3")), "rules.toml:2, [[rule]], floor_width: no basin can exist"));
  EXPECT_TRUE(has(refusal(row("strip_width", "ft", "13")), "a strip of at least 13.00 ft is asked for"));
  EXPECT_TRUE(
      has(refusal(row("ponding_least", "in", "14")), "ponding of at least 14.0 in and of at most 12.0 in"));
  EXPECT_TRUE(has(refusal(row("ponding", "in", "2")), "ponding of at least 3.0 in and of at most 2.0 in"));
  EXPECT_EQ(refusal(row("side_slope", "to 1", "4")), "accepted");
}

}  // namespace
}  // namespace curbshed::siting
