#include "curbshed/report/chosen.hpp"

#include "curbshed/report/sentences.hpp"

#include "report/text_cell.hpp"

#include <algorithm>
#include <map>

#include <fmt/format.h>

namespace curbshed::report {
namespace {

using base::Cell;
using base::ColumnType;
using siting::ChosenCuts;
using siting::LeftOut;

constexpr double kPercent = 100.0;
constexpr double kLitres = 1000.0;

bool keeps_water(const ChosenCuts& chosen) { return chosen.aim == "captured" || chosen.aim == "year"; }

std::string worth_unit(const ChosenCuts& chosen) {
  return keeps_water(chosen) ? "m3" : chosen.aim == "peak" ? "L/s" : "%";
}

double worth_factor(const ChosenCuts& chosen) {
  return keeps_water(chosen) ? 1.0 : chosen.aim == "peak" ? kLitres : kPercent;
}

std::string worth_words(const ChosenCuts& chosen, double worth, Units units) {
  return keeps_water(chosen)    ? show_volume(worth, units)
         : chosen.aim == "peak" ? show_flow(worth, units)
                                : fmt::format("{:.2g} points", worth * kPercent);
}

std::string money_words(const RunFacts& facts, double money) {
  return siting::cost_words({money, {}}, facts.settings->money.currency);
}

std::string limit_words(const RunFacts& facts, Units units) {
  const study::ChooseSettings& asked = facts.settings->choose;
  std::vector<std::string> limits;
  if (asked.count) {
    limits.push_back(fmt::format("{:.0f} {}", *asked.count, *asked.count == 1.0 ? "cut" : "cuts"));
  }
  if (asked.money) {
    limits.push_back(money_words(facts, *asked.money));
  }
  if (asked.digging_m3) {
    limits.push_back(show_volume(*asked.digging_m3, units) + " of digging");
  }
  if (asked.per_block) {
    limits.push_back(fmt::format("{:.0f} on one side of a block", *asked.per_block));
  }
  if (asked.spacing_m > 0.0) {
    limits.push_back(show_distance(asked.spacing_m, units) + " from cut to cut");
  }
  return fmt::format("{}", fmt::join(limits, ", "));
}

const study::StormComparison* find_storm(const ChosenCuts& chosen) {
  return &*std::find_if(chosen.storms.begin(), chosen.storms.end(),
                        [&](const study::StormComparison& one) { return one.storm.id == chosen.storm_id; });
}

/// Where a chosen place is: a cut of the run's own network, or a candidate, which stands in another.
class PlaceOf {
 public:
  explicit PlaceOf(const RunFacts& facts) : facts_(facts) {
    const street::Network& network = facts.preparation->model.network;
    for (std::size_t n = 0; n < network.size(); ++n) {
      if (network.kind[n] == street::NodeKind::Cut) node_[network.id[n]] = static_cast<std::int32_t>(n);
    }
  }
  std::string words(const siting::CutToChoose& cut, Units units) const {
    if (cut.candidate < 0) {
      const auto node = node_.find(cut.id);
      return place_words(facts_, node == node_.end() ? cut.node : node->second, units);
    }
    const std::string& words = units == Units::Us ? cut.words_us : cut.words_metric;
    if (!words.empty()) return words;
    const street::Network& network = facts_.candidates->model.model.network;
    const base::Point p = network.at[static_cast<std::size_t>(cut.node)];
    return fmt::format("at {:.1f}, {:.1f} {}", p.x_m / facts_.metres_per_unit, p.y_m / facts_.metres_per_unit,
                       facts_.crs_unit);
  }

 private:
  const RunFacts& facts_;
  std::map<std::string, std::int32_t> node_;
};

/// "cuts", or "places (80 cuts and 312 candidates)".
std::string looked_at(const ChosenCuts& chosen) {
  const auto candidates = std::count_if(chosen.cuts.begin(), chosen.cuts.end(),
                                        [](const siting::CutToChoose& cut) { return cut.candidate >= 0; });
  if (candidates == 0) return "cuts";
  return fmt::format("places ({} cuts and {} candidates)",
                     static_cast<std::ptrdiff_t>(chosen.cuts.size()) - candidates, candidates);
}

std::string why_words(LeftOut why) {
  switch (why) {
    case LeftOut::OverALimit:
      return "over a limit";
    case LeftOut::None:
      return "";
    case LeftOut::Never:
    case LeftOut::Owner:
      break;
  }
  return "kept out by the study";  // the same words: what an owner said is not told
}

}  // namespace

std::int64_t build_order(const RunFacts& facts, std::int32_t node) {
  return build_order(facts, facts.preparation->model.network.id[static_cast<std::size_t>(node)]);
}

std::int64_t build_order(const RunFacts& facts, const std::string& id) {
  if (facts.chosen == nullptr) {
    return 0;
  }
  const std::vector<std::size_t>& order = facts.chosen->choice.build_order;
  for (std::size_t i = 0; i < order.size(); ++i) {
    if (facts.chosen->cuts[order[i]].id == id) {
      return static_cast<std::int64_t>(i) + 1;
    }
  }
  return 0;
}

base::Table choice_table(const RunFacts& facts) {
  base::Table table;
  table.name = "choice";
  table.title = "Which cuts to build";
  table.description = "The chosen cuts in build order, then the others that were looked at.";
  const std::string unit = facts.chosen == nullptr ? "m3" : worth_unit(*facts.chosen);
  const std::string currency = facts.settings->money.currency;
  table.columns = {{"id", "Name of the cut", "", ColumnType::Text},
                   {"kind", "cut of the study, or candidate", "", ColumnType::Text},
                   {"place", "Where it is", "", ColumnType::Text},
                   {"build_order", "Build as number; empty = not chosen", "", ColumnType::Integer},
                   {"adds", "What it adds to those before it", unit, ColumnType::Real},
                   {"together", "What it and those before it are worth", unit, ColumnType::Real},
                   {"alone", "What it is worth by itself", unit, ColumnType::Real},
                   {"money", "Price of its basin, where prices are given", currency, ColumnType::Real},
                   {"digging_m3", "Ground to be dug, as it lies", "m3", ColumnType::Real},
                   {"kept_out", "Why it was not looked at", "", ColumnType::Text}};
  if (facts.chosen == nullptr) {
    return table;
  }
  const ChosenCuts& chosen = *facts.chosen;
  const double factor = worth_factor(chosen);
  const PlaceOf places(facts);
  std::vector<std::size_t> order = chosen.choice.build_order;
  const std::size_t built = order.size();
  for (std::size_t site = 0; site < chosen.cuts.size(); ++site) {
    if (std::find(order.begin(), order.begin() + static_cast<std::ptrdiff_t>(built), site) ==
        order.begin() + static_cast<std::ptrdiff_t>(built)) {
      order.push_back(site);
    }
  }
  for (std::size_t i = 0; i < order.size(); ++i) {
    const std::size_t site = order[i];
    const bool in = i < built;
    const std::vector<double>& after = chosen.choice.value_after;
    const double adds = in ? after[i] - (i > 0 ? after[i - 1] : 0.0) : 0.0;
    const std::optional<double>& money = chosen.cuts[site].cost.total;
    table.rows.push_back({chosen.cuts[site].id, text(chosen.cuts[site].candidate < 0 ? "cut" : "candidate"),
                          places.words(chosen.cuts[site], Units::Metric),
                          in ? Cell(static_cast<std::int64_t>(i) + 1) : Cell(),
                          in ? Cell(adds * factor) : Cell(), in ? Cell(after[i] * factor) : Cell(),
                          chosen.left_out[site] != LeftOut::None ? Cell() : Cell(chosen.alone[site] * factor),
                          money ? Cell(*money) : Cell(), chosen.cuts[site].digging_m3,
                          text(why_words(chosen.left_out[site]))});
  }
  return table;
}

std::string worth_words(const RunFacts& facts, double worth, Units units) {
  return worth_words(*facts.chosen, worth, units);
}

std::vector<std::string> choice_sentences(const RunFacts& facts, Units units) {
  const ChosenCuts& chosen = *facts.chosen;
  const siting::Choice& choice = chosen.choice;
  const std::string storm = storm_words(find_storm(chosen)->storm, units);
  std::int64_t kept_out = 0;
  for (const LeftOut why : chosen.left_out) {
    kept_out += why == LeftOut::None ? 0 : 1;
  }
  std::vector<std::string> sentences;
  std::string cost;
  if (chosen.cost.total) {
    cost = fmt::format(", {}", siting::cost_words(chosen.cost, facts.settings->money.currency));
  }
  sentences.push_back(
      fmt::format("Chosen to be built: {} of {} {}{}, with at most {}.{}", choice.build_order.size(),
                  chosen.cuts.size(), looked_at(chosen), cost, limit_words(facts, units),
                  kept_out == 0 ? std::string()
                                : fmt::format(" {} {} kept out: over a limit, or by the study.", kept_out,
                                              kept_out == 1 ? "was" : "were")));
  if (choice.build_order.empty()) {
    sentences.emplace_back(chosen.aim == "year" ? "No cut that may be built brings anything in a mean year."
                                                : "No cut that may be built brings anything in this storm.");
    return sentences;
  }
  const std::string brings =
      chosen.aim == "captured"
          ? fmt::format("In {} they keep {}", storm, worth_words(chosen, choice.value, units))
      : chosen.aim == "year"
          ? fmt::format("In a mean year they keep {}", worth_words(chosen, choice.value, units))
      : chosen.aim == "peak" ? fmt::format("In {} they lower the peak downstream by {}", storm,
                                           worth_words(chosen, choice.value, units))
                             : fmt::format("In {} they are worth {} of 100 for runoff kept and peak lowered",
                                           storm, worth_words(chosen, choice.value, units));
  sentences.push_back(choice.proved
                          ? brings + ": no other set under these limits does more."
                          : fmt::format("{}; no set under these limits can do more than {}{}.", brings,
                                        worth_words(chosen, choice.bound, units),
                                        choice.value > 0.0
                                            ? fmt::format(" ({} more than this one)",
                                                          show_share(choice.bound / choice.value - 1.0))
                                            : std::string()));
  sentences.push_back(fmt::format(
      "How fast the ground takes water is the least known: at half the rate the chosen basins keep {} of {}, "
      "at "
      "double {}.",
      show_volume(chosen.kept_at_half_m3, units), storm, show_volume(chosen.kept_at_double_m3, units)));
  return sentences;
}

std::vector<std::string> choice_lines(const RunFacts& facts, Units units) {
  const ChosenCuts& chosen = *facts.chosen;
  std::vector<std::string> lines;
  const PlaceOf places(facts);
  for (std::size_t i = 0; i < chosen.choice.build_order.size(); ++i) {
    const std::size_t site = chosen.choice.build_order[i];
    const std::vector<double>& after = chosen.choice.value_after;
    std::string line =
        fmt::format("{}, {}: adds {}", chosen.cuts[site].id, places.words(chosen.cuts[site], units),
                    worth_words(chosen, after[i] - (i > 0 ? after[i - 1] : 0.0), units));
    if (i > 0) {
      line += fmt::format(", {} together", worth_words(chosen, after[i], units));
    }
    if (chosen.cuts[site].cost.total) {
      line += fmt::format("; {}", siting::cost_words(chosen.cuts[site].cost, facts.settings->money.currency));
    }
    lines.push_back(std::move(line));
  }
  return lines;
}

}  // namespace curbshed::report
