// The engine: measured values against rules. It knows nothing of streets.
#pragma once

#include "curbshed/siting/rules.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace curbshed::siting {

enum class Outcome : std::uint8_t { Within, MeasureOnSite, OverLimit, NoData };
inline constexpr std::size_t kOutcomes = 4;
/// "within limit", "measure on site", "over limit", "no data".
std::string_view word_of(Outcome outcome);

/// What is known of one site for one rule; SI.
struct Measured {
  std::optional<double> value;   ///< absent: no data, unless it does not apply
  double doubt = 0.0;            ///< standard error of the value
  bool or_more = false;          ///< the value is a bound: nothing nearer was found
  bool does_not_apply = false;   ///< known, and the rule asks nothing here: within
  bool measure_at_best = false;  ///< too weak an origin ever to be within
  std::string from;              ///< where the value comes from: "buildings", "fit to the heights"
  std::string words;             ///< what else is to be said, "" = nothing
};
using SiteMeasures = std::array<Measured, kRules>;  ///< by RuleId

/// Equal to a limit is within: a difference of less than this share of the limit (of 1 µm where it is 0) is
/// none.
inline constexpr double kEqualShare = 1e-6;

/// Within: on the good side of look_at (else of the limit) by at least twice the doubt. Over: beyond the
/// limit by more than twice the doubt. Measure on site: everything between, and what would be within but has
/// too weak an origin. No data: no value. The doubt of a level is the surface's; a value without doubt is
/// taken as it is.
Outcome judge(const Rule& rule, const Measured& measured);

/// One site against all rules.
struct SiteVerdict {
  std::array<Outcome, kRules> of_rule{};  ///< meaningless for rules that are off
  Outcome basin = Outcome::Within;        ///< by rules for basins and for both
  Outcome tree = Outcome::Within;         ///< by rules for trees and for both
};
/// Over when one rule is; else measure on site when one says so or one on safety has no data; else within.
SiteVerdict verdict_of(const RuleSet& rules, const SiteMeasures& site);

/// How often a rule keeps basins out.
struct Bite {
  RuleId rule = RuleId::kCount;
  std::int64_t alone = 0;        ///< sites over this limit and no other
  std::int64_t with_others = 0;  ///< sites over this limit and others
  std::int64_t back = 0;         ///< of `alone`: no longer over a limit that is loosened by kLoosened
};
inline constexpr double kLoosened = 0.10;
/// Rules that keep out at least one basin; the most alone first, then with others, then by RuleId.
std::vector<Bite> biting_rules(const RuleSet& rules, const std::vector<SiteMeasures>& sites);

/// Everything that was measured and found, one entry a site.
struct Screening {
  RuleSet rules;
  std::vector<std::int32_t> nodes;  ///< of the network
  std::vector<SiteMeasures> measures;
  std::vector<SiteVerdict> verdicts;
  std::vector<Bite> bites;
  std::array<std::int64_t, kOutcomes> basins{};  ///< sites by Outcome; none is NoData
  std::array<std::int64_t, kOutcomes> trees{};
};
Screening screen(RuleSet rules, std::vector<std::int32_t> nodes, std::vector<SiteMeasures> measures);

}  // namespace curbshed::siting
