#include "curbshed/siting/screening.hpp"

#include <cmath>
#include <random>

#include <gtest/gtest.h>

namespace curbshed::siting {
namespace {

Measured known(double value, double doubt = 0.0) {
  Measured m;
  m.value = value;
  m.doubt = doubt;
  return m;
}

/// A step toward the bad side.
double worse(const Rule& rule, double from, double by) {
  return rule_kind(rule.id).direction == Direction::AtMost ? from + by : from - by;
}

/// All rules well within.
SiteMeasures good_site(const RuleSet& rules) {
  SiteMeasures site;
  for (const Rule& rule : rules.rules) {
    const double bound = rule.look_at ? *rule.look_at : *rule.limit;
    site[static_cast<std::size_t>(rule.id)] = known(worse(rule, bound, -0.1 * std::abs(bound) - 0.01));
  }
  return site;
}

class EachRule : public ::testing::TestWithParam<std::size_t> {};

TEST_P(EachRule, IsWithinLookAtAndOverAtItsEdge) {
  const Rule& rule = default_rules().rules[GetParam()];
  const double first = rule.look_at ? *rule.look_at : *rule.limit;
  const double step = first == 0.0 ? 1e-3 : 1e-3 * std::abs(first);
  EXPECT_EQ(judge(rule, known(first)), Outcome::Within) << "equal is within";
  EXPECT_EQ(judge(rule, known(worse(rule, first, -step))), Outcome::Within);
  EXPECT_EQ(judge(rule, Measured{}), Outcome::NoData);
  if (rule.look_at) {
    EXPECT_EQ(judge(rule, known(worse(rule, *rule.look_at, step))), Outcome::MeasureOnSite);
  }
  if (rule.look_at && rule.limit) {
    EXPECT_EQ(judge(rule, known(*rule.limit)), Outcome::MeasureOnSite) << "at the limit, beyond look_at";
  }
  if (rule.limit) {
    const double limit_step = *rule.limit == 0.0 ? 1e-3 : 1e-3 * std::abs(*rule.limit);
    EXPECT_EQ(judge(rule, known(worse(rule, *rule.limit, limit_step))), Outcome::OverLimit);
  } else {
    EXPECT_EQ(judge(rule, known(worse(rule, first, 1e3))), Outcome::MeasureOnSite) << "no limit, never over";
  }
}

TEST_P(EachRule, WithinAndOverNeedTwiceTheDoubt) {
  const Rule& rule = default_rules().rules[GetParam()];
  const double first = rule.look_at ? *rule.look_at : *rule.limit;
  const double doubt = first == 0.0 ? 0.01 : 0.1 * std::abs(first);
  EXPECT_EQ(judge(rule, known(first, doubt)), Outcome::MeasureOnSite);
  EXPECT_EQ(judge(rule, known(worse(rule, first, -1.99 * doubt), doubt)), Outcome::MeasureOnSite);
  EXPECT_EQ(judge(rule, known(worse(rule, first, -2.0 * doubt), doubt)), Outcome::Within);
  if (rule.limit) {
    EXPECT_EQ(judge(rule, known(worse(rule, *rule.limit, 2.0 * doubt), doubt)), Outcome::MeasureOnSite);
    EXPECT_EQ(judge(rule, known(worse(rule, *rule.limit, 2.01 * doubt), doubt)), Outcome::OverLimit);
  }
}

TEST_P(EachRule, WithoutDataASiteIsNeverBetterThanToBeMeasuredWhereSafetyIsAtStake) {
  const RuleSet& rules = default_rules();
  const Rule& rule = rules.rules[GetParam()];
  SiteMeasures site = good_site(rules);
  EXPECT_EQ(verdict_of(rules, site).basin, Outcome::Within);
  EXPECT_EQ(verdict_of(rules, site).tree, Outcome::Within);
  site[GetParam()] = Measured{};
  const SiteVerdict verdict = verdict_of(rules, site);
  EXPECT_EQ(verdict.of_rule[GetParam()], Outcome::NoData);
  const RuleKind& kind = rule_kind(rule.id);
  const Outcome expected = kind.safety ? Outcome::MeasureOnSite : Outcome::Within;
  if (kind.used_for != UsedFor::Tree) {
    EXPECT_EQ(verdict.basin, expected);
  }
  if (kind.used_for != UsedFor::Basin) {
    EXPECT_EQ(verdict.tree, expected);
  }
  if (kind.used_for == UsedFor::Tree) {
    EXPECT_EQ(verdict.basin, Outcome::Within) << "a rule for trees keeps no basin out";
  }
}

INSTANTIATE_TEST_SUITE_P(Rules, EachRule, ::testing::Range<std::size_t>(0, kRules),
                         [](const auto& one) { return std::string(rule_kinds()[one.param].key); });

TEST(Screening, AFreeboardFromTheRasterIsNeverWithinBelow111Millimetres) {
  Rule rule = default_rules().at(RuleId::Freeboard);
  rule.limit = 0.051;
  rule.look_at.reset();
  for (int mm = -200; mm <= 400; ++mm) {
    const Outcome outcome = judge(rule, known(0.001 * mm, 0.030));
    EXPECT_EQ(outcome == Outcome::Within, mm >= 111) << mm;
    EXPECT_EQ(outcome == Outcome::OverLimit, mm < -9) << mm;
  }
}

TEST(Screening, AWeakOriginIsNeverWithinButMayBeOver) {
  const Rule& rule = default_rules().at(RuleId::Infiltration);
  Measured m = known(10.0 * *rule.limit);
  EXPECT_EQ(judge(rule, m), Outcome::Within);
  m.measure_at_best = true;
  EXPECT_EQ(judge(rule, m), Outcome::MeasureOnSite);
  m.value = 0.1 * *rule.limit;
  EXPECT_EQ(judge(rule, m), Outcome::OverLimit);
}

TEST(Screening, WhatDoesNotApplyIsWithin) {
  Measured m;
  m.does_not_apply = true;
  EXPECT_EQ(judge(default_rules().at(RuleId::StepOut), m), Outcome::Within);
}

TEST(Screening, ARuleThatIsOffSaysNothing) {
  RuleSet rules = default_rules();
  SiteMeasures site = good_site(rules);
  site[static_cast<std::size_t>(RuleId::Building)] = known(0.0);
  EXPECT_EQ(verdict_of(rules, site).basin, Outcome::OverLimit);
  rules.rules[static_cast<std::size_t>(RuleId::Building)].on = false;
  EXPECT_EQ(verdict_of(rules, site).basin, Outcome::Within);
  EXPECT_TRUE(biting_rules(rules, {site}).empty());
}

TEST(Screening, SaysWhichRuleBitesAloneWithOthersAndByATenth) {
  const RuleSet& rules = default_rules();
  const auto building = static_cast<std::size_t>(RuleId::Building);
  const auto ponding = static_cast<std::size_t>(RuleId::Ponding);
  const auto tree = static_cast<std::size_t>(RuleId::HydrantTree);
  std::vector<SiteMeasures> sites(5, good_site(rules));
  sites[0][building] = known(0.95 * 3.048);  // back when loosened by a tenth
  sites[1][building] = known(0.5 * 3.048);
  sites[2][building] = known(0.5 * 3.048);
  sites[2][ponding] = known(1.0);
  sites[3][tree] = known(0.0);  // keeps a tree out, no basin
  const std::vector<Bite> bites = biting_rules(rules, sites);
  ASSERT_EQ(bites.size(), 2U);
  EXPECT_EQ(bites[0].rule, RuleId::Building);
  EXPECT_EQ(bites[0].alone, 2);
  EXPECT_EQ(bites[0].with_others, 1);
  EXPECT_EQ(bites[0].back, 1);
  EXPECT_EQ(bites[1].rule, RuleId::Ponding);
  EXPECT_EQ(bites[1].alone, 0);
  EXPECT_EQ(bites[1].with_others, 1);
  EXPECT_EQ(bites[1].back, 0);

  const Screening all = screen(rules, {0, 1, 2, 3, 4}, sites);
  EXPECT_EQ(all.basins[static_cast<std::size_t>(Outcome::OverLimit)], 3);
  EXPECT_EQ(all.basins[static_cast<std::size_t>(Outcome::Within)], 2);
  EXPECT_EQ(all.trees[static_cast<std::size_t>(Outcome::OverLimit)], 1);
}

TEST(Screening, BitesAddUpToTheSitesThatAreOutOnRandomSites) {
  std::mt19937 random(20261);
  const RuleSet& rules = default_rules();
  std::vector<SiteMeasures> sites;
  for (int i = 0; i < 300; ++i) {
    SiteMeasures site = good_site(rules);
    for (std::size_t r = 0; r < kRules; ++r) {
      const auto draw = random() % 40;
      if (draw == 0) site[r] = known(worse(rules.rules[r], rules.rules[r].limit.value_or(0.0), 100.0));
      if (draw == 1) site[r] = Measured{};
    }
    sites.push_back(site);
  }
  const Screening all = screen(rules, std::vector<std::int32_t>(sites.size(), 0), sites);
  std::int64_t out = 0;
  std::int64_t alone = 0;
  std::int64_t single = 0;
  for (std::size_t i = 0; i < sites.size(); ++i) {
    int over = 0;
    for (std::size_t r = 0; r < kRules; ++r) {
      const bool basin = rule_kinds()[r].used_for != UsedFor::Tree;
      over += basin && all.verdicts[i].of_rule[r] == Outcome::OverLimit ? 1 : 0;
    }
    out += over > 0 ? 1 : 0;
    single += over == 1 ? 1 : 0;
    EXPECT_EQ(all.verdicts[i].basin == Outcome::OverLimit, over > 0);
  }
  for (const Bite& bite : all.bites) alone += bite.alone;
  EXPECT_EQ(alone, single);
  EXPECT_EQ(all.basins[static_cast<std::size_t>(Outcome::OverLimit)], out);
  EXPECT_EQ(all.basins[static_cast<std::size_t>(Outcome::NoData)], 0);
}

}  // namespace
}  // namespace curbshed::siting
