#include "curbshed/report/corner_lines.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

namespace curbshed::report {
namespace {

constexpr std::size_t kMostCuts = 3;
constexpr double kWorthSaying = 0.1;  // of the area

std::size_t at(std::int32_t index) { return static_cast<std::size_t>(index); }

/// Of the larger of the two areas.
double change_of(const street::CornerEffect& effect) {
  const double larger = std::max(effect.area_if_turns_m2, effect.area_if_crosses_m2);
  return larger > 0.0 ? std::fabs(effect.area_if_turns_m2 - effect.area_if_crosses_m2) / larger : 0.0;
}

struct Below {
  std::int32_t node = -1;
  street::CornerEffect effect;
};

std::string words_of(const RunFacts& facts, const street::Corner& corner, const std::vector<Below>& cuts,
                     Units units) {
  const std::string_view way = corner.way == street::CornerWay::Turns     ? "turns"
                               : corner.way == street::CornerWay::Crosses ? "crosses"
                                                                          : "splits";
  std::string line =
      fmt::format("{} ({}, as far as heights tell): ", corner.words.empty() ? corner.id : corner.words, way);
  std::size_t said = 0;
  for (const Below& cut : cuts) {
    if (said == kMostCuts || change_of(cut.effect) < kWorthSaying) break;
    const std::string& id = facts.preparation->model.network.id[at(cut.node)];
    const std::string turns = show_area(cut.effect.area_if_turns_m2, units);
    const std::string crosses = show_area(cut.effect.area_if_crosses_m2, units);
    line += said == 0
                ? fmt::format("{} gets {} of ground if the water turns, {} if it crosses", id, turns, crosses)
                : fmt::format("; {} {} or {}", id, turns, crosses);
    ++said;
  }
  if (cuts.size() > said) {
    const std::size_t more = cuts.size() - said;
    line += fmt::format("; {} more cut{}", more, more == 1 ? "" : "s");
  }
  return line + ".";
}

}  // namespace

CornerLines corner_lines(const RunFacts& facts, Units units, std::size_t most) {
  const street::Network& network = facts.preparation->model.network;
  const std::vector<street::Corner>& corners = facts.preparation->maps.street.corners;
  std::vector<std::vector<Below>> below(corners.size());
  const std::vector<std::vector<street::CornerEffect>> effects = corner_effects(facts);
  for (std::size_t n = 0; n < effects.size(); ++n) {
    if (network.kind[n] != street::NodeKind::Cut) continue;
    for (const street::CornerEffect& one : effects[n]) {
      below[at(one.corner)].push_back({static_cast<std::int32_t>(n), one});
    }
  }
  std::vector<std::size_t> order;
  std::size_t all = 0;
  for (std::size_t k = 0; k < corners.size(); ++k) {
    if (below[k].empty()) continue;
    std::stable_sort(below[k].begin(), below[k].end(), [&](const Below& a, const Below& b) {
      const double of_a = change_of(a.effect);
      const double of_b = change_of(b.effect);
      return of_a != of_b ? of_a > of_b : network.id[at(a.node)] < network.id[at(b.node)];
    });
    ++all;
    if (change_of(below[k].front().effect) >= kWorthSaying) order.push_back(k);
  }
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    const double of_a = change_of(below[a].front().effect);
    const double of_b = change_of(below[b].front().effect);
    return of_a != of_b ? of_a > of_b : corners[a].id < corners[b].id;
  });
  CornerLines out;
  for (std::size_t i = 0; i < std::min(most, order.size()); ++i) {
    out.lines.push_back(words_of(facts, corners[order[i]], below[order[i]], units));
  }
  out.more = all - out.lines.size();
  return out;
}

std::vector<bool> below_uncertain_corners(const RunFacts& facts) {
  std::vector<bool> below;
  for (const std::vector<street::CornerEffect>& effects : corner_effects(facts)) {
    below.push_back(std::any_of(effects.begin(), effects.end(), [](const street::CornerEffect& one) {
      return change_of(one) >= kWorthSaying;
    }));
  }
  return below;
}

std::string corner_heading() {
  return "Corners to look at in the rain: heights do not tell whether the water turns or crosses";
}

}  // namespace curbshed::report
