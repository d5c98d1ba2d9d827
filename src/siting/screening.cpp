#include "curbshed/siting/screening.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>

namespace curbshed::siting {
namespace {

constexpr double kEqualToZero = 1e-6;

/// How far a value lies on the good side of a bound; 0 where it is equal to it.
double margin(Direction direction, double value, double bound) {
  const double good = direction == Direction::AtMost ? bound - value : value - bound;
  const double equal = bound == 0.0 ? kEqualToZero : kEqualShare * std::abs(bound);
  return std::abs(good) <= equal ? 0.0 : good;
}

bool holds_for(UsedFor used_for, UsedFor what) { return used_for == UsedFor::Both || used_for == what; }

Outcome overall(const RuleSet& rules, const SiteVerdict& verdict, UsedFor what) {
  Outcome worst = Outcome::Within;
  for (const Rule& rule : rules.rules) {
    const RuleKind& kind = rule_kind(rule.id);
    if (!rule.on || !holds_for(kind.used_for, what)) continue;
    switch (verdict.of_rule[static_cast<std::size_t>(rule.id)]) {
      case Outcome::OverLimit:
        return Outcome::OverLimit;
      case Outcome::MeasureOnSite:
        worst = Outcome::MeasureOnSite;
        break;
      case Outcome::NoData:
        if (kind.safety) worst = Outcome::MeasureOnSite;
        break;
      case Outcome::Within:
        break;
    }
  }
  return worst;
}

Rule loosened(const Rule& rule) {
  Rule out = rule;
  const double factor = rule_kind(rule.id).direction == Direction::AtMost ? 1.0 + kLoosened : 1.0 - kLoosened;
  if (out.limit) *out.limit *= factor;
  return out;
}

}  // namespace

std::string_view word_of(Outcome outcome) {
  switch (outcome) {
    case Outcome::Within:
      return "within limit";
    case Outcome::MeasureOnSite:
      return "measure on site";
    case Outcome::OverLimit:
      return "over limit";
    case Outcome::NoData:
      return "no data";
  }
  return "";
}

Outcome judge(const Rule& rule, const Measured& measured) {
  if (measured.does_not_apply) return Outcome::Within;
  if (!measured.value) return Outcome::NoData;
  base::ensure(std::isfinite(*measured.value) && measured.doubt >= 0.0, "measured values are numbers");
  const Direction direction = rule_kind(rule.id).direction;
  const double doubt = 2.0 * measured.doubt;
  const double slack = kEqualShare * doubt;
  if (rule.limit && margin(direction, *measured.value, *rule.limit) < -(doubt + slack)) {
    return Outcome::OverLimit;
  }
  const double bound = rule.look_at ? *rule.look_at : rule.limit.value_or(*measured.value);
  const bool within = margin(direction, *measured.value, bound) >= doubt - slack;
  return within && !measured.measure_at_best ? Outcome::Within : Outcome::MeasureOnSite;
}

SiteVerdict verdict_of(const RuleSet& rules, const SiteMeasures& site) {
  SiteVerdict verdict;
  for (const Rule& rule : rules.rules) {
    const auto i = static_cast<std::size_t>(rule.id);
    if (rule.on) verdict.of_rule[i] = judge(rule, site[i]);
  }
  verdict.basin = overall(rules, verdict, UsedFor::Basin);
  verdict.tree = overall(rules, verdict, UsedFor::Tree);
  return verdict;
}

std::vector<Bite> biting_rules(const RuleSet& rules, const std::vector<SiteMeasures>& sites) {
  std::vector<Bite> bites(kRules);
  for (std::size_t i = 0; i < kRules; ++i) bites[i].rule = static_cast<RuleId>(i);
  for (const SiteMeasures& site : sites) {
    std::vector<std::size_t> over;
    for (const Rule& rule : rules.rules) {
      const auto i = static_cast<std::size_t>(rule.id);
      const bool counts = rule.on && holds_for(rule_kind(rule.id).used_for, UsedFor::Basin);
      if (counts && judge(rule, site[i]) == Outcome::OverLimit) over.push_back(i);
    }
    for (const std::size_t i : over) {
      if (over.size() > 1) {
        ++bites[i].with_others;
        continue;
      }
      ++bites[i].alone;
      if (judge(loosened(rules.rules[i]), site[i]) != Outcome::OverLimit) ++bites[i].back;
    }
  }
  bites.erase(std::remove_if(bites.begin(), bites.end(),
                             [](const Bite& bite) { return bite.alone + bite.with_others == 0; }),
              bites.end());
  std::stable_sort(bites.begin(), bites.end(), [](const Bite& a, const Bite& b) {
    return a.alone != b.alone ? a.alone > b.alone : a.with_others > b.with_others;
  });
  return bites;
}

Screening screen(RuleSet rules, std::vector<std::int32_t> nodes, std::vector<SiteMeasures> measures) {
  base::ensure(nodes.size() == measures.size(), "one set of measures a site");
  Screening out;
  out.rules = std::move(rules);
  out.nodes = std::move(nodes);
  out.measures = std::move(measures);
  for (const SiteMeasures& site : out.measures) {
    out.verdicts.push_back(verdict_of(out.rules, site));
    ++out.basins[static_cast<std::size_t>(out.verdicts.back().basin)];
    ++out.trees[static_cast<std::size_t>(out.verdicts.back().tree)];
  }
  out.bites = biting_rules(out.rules, out.measures);
  return out;
}

}  // namespace curbshed::siting
