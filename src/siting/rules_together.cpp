#include "curbshed/siting/rules_together.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/base/quantity.hpp"

#include <algorithm>
#include <limits>

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

constexpr double kSame_m = 1e-9;

double limit_of(const RuleSet& rules, RuleId id, double otherwise) {
  const Rule& rule = rules.at(id);
  return rule.on && rule.limit ? *rule.limit : otherwise;
}

std::string feet(double value_m) { return fmt::format("{:.2f} ft", value_m / base::kMetresPerFoot); }
std::string inches(double value_m) { return fmt::format("{:.1f} in", value_m / base::kMetresPerInch); }

std::string file_line(const RuleSet& rules, const Rule& rule) {
  return rules.file.empty() ? std::string("the built-in rules") : fmt::format("{}:{}", rules.file, rule.line);
}

/// The row of the user's, of those that make the width, that adds most to it beyond ours.
const Rule& row_to_blame(const RuleSet& rules) {
  const RuleId parts[] = {RuleId::SideSlope,  RuleId::PondingLeast, RuleId::FloorWidth, RuleId::Shelf,
                          RuleId::BackOfCurb, RuleId::RoadBase,     RuleId::StripWidth};
  const Rule* worst = &rules.at(RuleId::SideSlope);
  double most_m = -1.0;
  for (const RuleId id : parts) {
    RuleSet without = rules;
    without.rules[static_cast<std::size_t>(id)].on = false;
    const double saved_m = least_width(rules, false).total_m() - least_width(without, false).total_m();
    if (rules.at(id).line > 0 && saved_m > most_m) {
      most_m = saved_m;
      worst = &rules.at(id);
    }
  }
  return *worst;
}

}  // namespace

double LeastWidth::total_m() const {
  return before_m + 2.0 * side_slope * (ponding_m + kEntranceDrop_m) + floor_m + shelf_m;
}

std::string LeastWidth::words() const {
  return fmt::format("{} behind the curb + 2 × {:g} × ({} ponding + {} drop) + {} floor + {} shelf = {}",
                     inches(before_m), side_slope, inches(ponding_m), inches(kEntranceDrop_m),
                     inches(floor_m), inches(shelf_m), feet(total_m()));
}

LeastWidth least_width(const RuleSet& rules, bool beside_parking) {
  LeastWidth width;
  width.before_m = std::max(limit_of(rules, RuleId::BackOfCurb, 0.0), limit_of(rules, RuleId::RoadBase, 0.0));
  if (beside_parking) width.before_m = std::max(width.before_m, limit_of(rules, RuleId::StepOut, 0.0));
  width.side_slope = limit_of(rules, RuleId::SideSlope, 0.0);
  width.ponding_m = limit_of(rules, RuleId::PondingLeast, 0.0);
  width.floor_m = limit_of(rules, RuleId::FloorWidth, 0.0);
  width.shelf_m = limit_of(rules, RuleId::Shelf, 0.0);
  return width;
}

std::optional<Admitted> admitted_in(const RuleSet& rules, double strip_m, bool beside_parking) {
  Admitted admitted;
  admitted.width = least_width(rules, beside_parking);
  const double room_m = strip_m - admitted.width.total_m();
  const double deepest_m = limit_of(rules, RuleId::Ponding, std::numeric_limits<double>::infinity());
  const double strip_limit_m = limit_of(rules, RuleId::StripWidth, 0.0);
  if (room_m < -kSame_m || strip_m < strip_limit_m - kSame_m ||
      admitted.width.ponding_m > deepest_m + kSame_m) {
    return std::nullopt;
  }
  const double deeper_m = admitted.width.side_slope > 0.0
                              ? std::max(room_m, 0.0) / (2.0 * admitted.width.side_slope)
                              : std::numeric_limits<double>::infinity();
  admitted.ponding_m = std::min(admitted.width.ponding_m + deeper_m, deepest_m);
  admitted.width.ponding_m = admitted.ponding_m;
  return admitted;
}

std::string admitted_words(const RuleSet& rules, double strip_m) {
  std::string words;
  for (const bool parking : {false, true}) {
    const std::optional<Admitted> admitted = admitted_in(rules, strip_m, parking);
    const std::string where = parking ? "beside parked cars" : "where no cars park";
    words += words.empty() ? "" : " ";
    words += admitted
                 ? fmt::format("A strip of {} {} holds a basin with up to {} of ponding: {}.", feet(strip_m),
                               where, inches(admitted->ponding_m), admitted->width.words())
                 : fmt::format("A strip of {} {} holds no basin: {}.", feet(strip_m), where,
                               least_width(rules, parking).words());
  }
  return words;
}

void check_together(const RuleSet& rules) {
  const Rule& deepest = rules.at(RuleId::Ponding);
  const Rule& shallowest = rules.at(RuleId::PondingLeast);
  if (deepest.on && shallowest.on && deepest.limit && shallowest.limit &&
      *shallowest.limit > *deepest.limit + kSame_m) {
    const Rule& row = shallowest.line > 0 ? shallowest : deepest;
    throw base::InputError({file_line(rules, row), "[[rule]]", std::string(rule_kind(row.id).key)},
                           fmt::format("no basin can exist: ponding of at least {} and of at most {}",
                                       inches(*shallowest.limit), inches(*deepest.limit)),
                           "a least ponding below the largest", "change one of the two limits");
  }
  const LeastWidth width = least_width(rules, false);
  const double strip_m = limit_of(rules, RuleId::StripWidth, 0.0);
  if (width.total_m() <= kWidestStrip_m + kSame_m && strip_m <= kWidestStrip_m + kSame_m) return;
  const Rule& row = strip_m > kWidestStrip_m ? rules.at(RuleId::StripWidth) : row_to_blame(rules);
  throw base::InputError(
      {file_line(rules, row), "[[rule]]", std::string(rule_kind(row.id).key)},
      strip_m > kWidestStrip_m
          ? fmt::format("no basin can exist: a strip of at least {} is asked for", feet(strip_m))
          : fmt::format("no basin can exist: {}", width.words()),
      fmt::format("a width of at most {}, the widest strip beside a street", feet(kWidestStrip_m)),
      "loosen this limit: flatter sides, more ponding, floor or shelf all cost width");
}

}  // namespace curbshed::siting
