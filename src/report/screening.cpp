#include "curbshed/report/screening.hpp"

#include "curbshed/report/cautions.hpp"
#include "curbshed/report/ranking.hpp"

#include "report/html_text.hpp"
#include "report/text_cell.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace curbshed::report {
namespace {

using base::Cell;
using base::ColumnType;
using siting::Measured;
using siting::Outcome;
using siting::Rule;
using siting::RuleKind;
using siting::Screening;

constexpr std::size_t kMostRows = 1000;
constexpr std::size_t kMostNamed = 4;

std::size_t index(siting::RuleId id) { return static_cast<std::size_t>(id); }

/// Rounded to a millionth: units are not exact in binary.
Cell in_unit(const Rule& rule, const std::optional<double>& value) {
  constexpr double kParts = 1e6;
  Cell cell;
  if (value) {
    const double factor = siting::rule_unit_factor(rule.unit, siting::rule_kind(rule.id).dimension);
    cell.emplace<double>(std::round(*value / factor * kParts) / kParts);
  }
  return cell;
}

/// Numbers of the screened sites, the ranked cuts first.
std::vector<std::size_t> site_order(const RunFacts& facts) {
  const Screening& screening = *facts.screening;
  std::vector<std::size_t> place(facts.preparation->model.network.size(), screening.nodes.size());
  const std::vector<std::int32_t> ranked = ranked_cuts(facts);
  for (std::size_t i = 0; i < ranked.size(); ++i) place[static_cast<std::size_t>(ranked[i])] = i;
  std::vector<std::size_t> order(screening.nodes.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return place[static_cast<std::size_t>(screening.nodes[a])] <
           place[static_cast<std::size_t>(screening.nodes[b])];
  });
  return order;
}

const std::string& id_of(const RunFacts& facts, std::size_t site) {
  return facts.preparation->model.network.id[static_cast<std::size_t>(facts.screening->nodes[site])];
}

std::string whose_words(const Rule& rule) {
  return rule.ours() ? std::string("our limit, not this city's") : rule.whose;
}

std::string what_to_do(const Rule& rule, const Measured& measured, Outcome outcome) {
  const RuleKind& kind = siting::rule_kind(rule.id);
  std::string words = measured.words;
  const auto add = [&words](std::string_view more) {
    if (!words.empty() && !more.empty()) words += ' ';
    words += more;
  };
  if (outcome == Outcome::OverLimit) add(kind.mend);
  if (outcome == Outcome::NoData) add(kind.get);
  if (outcome == Outcome::MeasureOnSite) {
    const bool doubt = measured.doubt > 0.0 || measured.measure_at_best;
    add(doubt ? fmt::format("Measure it on the site. {}", kind.get) : std::string("Look at it on the site."));
  }
  return words;
}

std::size_t count_on(const Screening& screening, bool ours_only) {
  return static_cast<std::size_t>(
      std::count_if(screening.rules.rules.begin(), screening.rules.rules.end(),
                    [&](const Rule& rule) { return rule.on && (!ours_only || rule.ours()); }));
}

std::string measured_words(const Rule& rule, const Measured& measured) {
  if (measured.does_not_apply) return "does not apply";
  if (!measured.value) return "no data";
  return fmt::format("{}{} {}", siting::in_rule_unit(rule, *measured.value),
                     measured.or_more ? " or more" : "", rule.unit);
}

base::Table table_head() {
  base::Table table;
  table.name = "screening";
  table.title = "Places against the rules";
  table.description =
      "One row a place and rule. Equal to a limit is within; within or over only where the value is twice "
      "its doubt "
      "off, else measure on site; without data never within.";
  table.columns = {{"site", "Cut", "", ColumnType::Text},
                   {"rule", "Rule", "", ColumnType::Text},
                   {"for", "What it is asked for: basin, tree or both", "", ColumnType::Text},
                   {"measures", "What is measured", "", ColumnType::Text},
                   {"measured", "Measured value, in the unit of the row", "", ColumnType::Real},
                   {"or_more", "1 = this much or more", "", ColumnType::Integer},
                   {"unit", "Unit of the row", "", ColumnType::Text},
                   {"doubt", "Standard error of the value", "", ColumnType::Real},
                   {"direction", "At most or at least", "", ColumnType::Text},
                   {"look_at", "From here on somebody must look", "", ColumnType::Real},
                   {"limit", "Limit", "", ColumnType::Real},
                   {"result", "Result", "", ColumnType::Text},
                   {"from", "Where the value comes from", "", ColumnType::Text},
                   {"source", "Source of the limit", "", ColumnType::Text},
                   {"whose", "Whose limit", "", ColumnType::Text},
                   {"note", "Note on the limit", "", ColumnType::Text},
                   {"what_to_do", "What to do", "", ColumnType::Text}};
  return table;
}

std::vector<Cell> row_of(const RunFacts& facts, std::size_t site, const Rule& rule) {
  const Screening& screening = *facts.screening;
  const RuleKind& kind = siting::rule_kind(rule.id);
  const Measured& measured = screening.measures[site][index(rule.id)];
  const Outcome outcome = screening.verdicts[site].of_rule[index(rule.id)];
  return {text(id_of(facts, site)),
          text(std::string(kind.key)),
          text(std::string(siting::word_of(kind.used_for))),
          text(std::string(kind.measures)),
          in_unit(rule, measured.value),
          static_cast<std::int64_t>(measured.or_more ? 1 : 0),
          text(rule.unit),
          measured.doubt > 0.0 ? in_unit(rule, measured.doubt) : Cell(),
          text(std::string(siting::word_of(kind.direction))),
          in_unit(rule, rule.look_at),
          in_unit(rule, rule.limit),
          text(std::string(siting::word_of(outcome))),
          text(measured.from),
          text(rule.source),
          text(whose_words(rule)),
          text(rule.note),
          text(what_to_do(rule, measured, outcome))};
}

std::string counted(std::int64_t count, const char* one, const char* many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

}  // namespace

std::vector<std::string> rules_with(const Screening& screening, std::size_t site, Outcome outcome) {
  std::vector<std::string> keys;
  for (const Rule& rule : screening.rules.rules) {
    if (rule.on && screening.verdicts[site].of_rule[index(rule.id)] == outcome) {
      keys.emplace_back(siting::rule_kind(rule.id).key);
    }
  }
  return keys;
}

base::Table screening_table(const RunFacts& facts) {
  base::Table table = table_head();
  if (facts.screening == nullptr) return table;
  const Screening& screening = *facts.screening;
  const bool all = screening.nodes.size() <= kMostFullSites || facts.settings->rules.every_row;
  for (const std::size_t site : site_order(facts)) {
    for (const Rule& rule : screening.rules.rules) {
      if (!rule.on) continue;
      const Outcome outcome = screening.verdicts[site].of_rule[index(rule.id)];
      if (all || outcome == Outcome::OverLimit || outcome == Outcome::MeasureOnSite) {
        table.rows.push_back(row_of(facts, site, rule));
      }
    }
  }
  base::check(table);
  return table;
}

base::MapLayer screening_layer(const RunFacts& facts) {
  base::MapLayer layer;
  layer.table.name = "screening";
  layer.table.title = "Places against the rules";
  layer.table.description =
      fmt::format("Results of each place for a basin and for trees; every rule is in screening.csv. {}{}",
                  facts.screening == nullptr ? "" : whose_sentence(facts) + " ", cautions_line());
  layer.kind = base::ShapeKind::Polygon;
  layer.table.columns = {
      {"id", "Cut", "", ColumnType::Text},
      {"basin", "Result for a basin", "", ColumnType::Text},
      {"tree", "Result for trees", "", ColumnType::Text},
      {"over_limit", "Rules over their limit", "", ColumnType::Text},
      {"to_measure", "Rules to measure on the site", "", ColumnType::Text},
      {"without_data", "Number of rules without data", "", ColumnType::Integer},
      {"our_limits", "Number of limits that are ours, not this city's", "", ColumnType::Integer}};
  if (facts.screening == nullptr) return layer;
  const Screening& screening = *facts.screening;
  const auto ours = static_cast<std::int64_t>(count_on(screening, true));
  for (const std::size_t site : site_order(facts)) {
    const siting::SiteVerdict& verdict = screening.verdicts[site];
    const auto over = rules_with(screening, site, Outcome::OverLimit);
    const auto measure = rules_with(screening, site, Outcome::MeasureOnSite);
    layer.table.rows.push_back(
        {text(id_of(facts, site)), text(std::string(siting::word_of(verdict.basin))),
         text(std::string(siting::word_of(verdict.tree))), text(fmt::format("{}", fmt::join(over, " "))),
         text(fmt::format("{}", fmt::join(measure, " "))),
         static_cast<std::int64_t>(rules_with(screening, site, Outcome::NoData).size()), ours});
    const base::Polygon& line =
        facts.preparation->maps.basins[static_cast<std::size_t>(screening.nodes[site])];
    layer.shapes.push_back(line.rings.empty() ? base::Shape() : base::polygon_shape(line));
  }
  return layer;
}

std::string screening_sentence(const RunFacts& facts) { return screening_sentence(*facts.screening); }

std::string screening_sentence(const Screening& screening) {
  const auto count = [&](Outcome outcome) { return screening.basins[static_cast<std::size_t>(outcome)]; };
  return fmt::format("Of {}, {} over a limit, {} to be measured on site, {} within all limits.",
                     counted(static_cast<std::int64_t>(screening.nodes.size()), "place", "places"),
                     counted(count(Outcome::OverLimit), "is", "are"),
                     counted(count(Outcome::MeasureOnSite), "is", "are"),
                     counted(count(Outcome::Within), "is", "are"));
}

std::string over_words(const RunFacts& facts, std::int32_t node) {
  if (facts.screening == nullptr) return {};
  const auto& nodes = facts.screening->nodes;
  const auto found = std::find(nodes.begin(), nodes.end(), node);
  if (found == nodes.end()) return {};
  const std::vector<std::string> keys =
      rules_with(*facts.screening, static_cast<std::size_t>(found - nodes.begin()), Outcome::OverLimit);
  if (keys.empty()) return {};
  const std::vector<std::string> first(
      keys.begin(), keys.begin() + static_cast<std::ptrdiff_t>(std::min(keys.size(), kMostNamed)));
  return fmt::format(
      "over a limit: {}{}", fmt::join(first, ", "),
      keys.size() > kMostNamed ? fmt::format(" and {} more", keys.size() - kMostNamed) : std::string());
}

std::string whose_sentence(const RunFacts& facts) {
  const Screening& screening = *facts.screening;
  const std::size_t all = count_on(screening, false);
  const std::size_t ours = count_on(screening, true);
  if (ours == 0) return fmt::format("All {} limits are as `rules.file` names them.", all);
  return fmt::format("{} of {} limits are our limits, not this city's: put the city's own into a rules file.",
                     ours, all);
}

std::vector<std::string> biting_lines(const RunFacts& facts, std::size_t most) {
  return biting_lines(*facts.screening, most);
}

std::vector<std::string> biting_lines(const Screening& screening, std::size_t most) {
  std::vector<std::string> lines;
  for (const siting::Bite& bite : screening.bites) {
    if (lines.size() == most) break;
    const Rule& rule = screening.rules.at(bite.rule);
    std::string line =
        fmt::format("{} ({}): {} over it", siting::rule_kind(bite.rule).key, siting::limit_words(rule),
                    counted(bite.alone + bite.with_others, "place", "places"));
    if (bite.alone > 0) {
      line += fmt::format(", {} by it alone", bite.alone);
      if (bite.back > 0) line += fmt::format(", {} of these back if it were loosened by a tenth", bite.back);
    }
    lines.push_back(std::move(line));
  }
  return lines;
}

std::string missing_sentence(const RunFacts& facts) {
  const Screening& screening = *facts.screening;
  std::vector<std::string_view> keys;
  for (const Rule& rule : screening.rules.rules) {
    if (!rule.on || screening.nodes.empty()) continue;
    const bool nowhere = std::all_of(screening.verdicts.begin(), screening.verdicts.end(),
                                     [&](const siting::SiteVerdict& verdict) {
                                       return verdict.of_rule[index(rule.id)] == Outcome::NoData;
                                     });
    if (nowhere) keys.push_back(siting::rule_kind(rule.id).key);
  }
  if (keys.empty()) return "";
  return fmt::format(
      "Without data at any place, so that none can be within all limits: {}. screening.csv says how to get "
      "each.",
      fmt::join(keys, ", "));
}

namespace {

/// "buried_gas 0.4 ft (limit at least 3 ft)", the first few.
std::string named(const Screening& screening, std::size_t site, Outcome outcome) {
  std::string words;
  std::size_t count = 0;
  for (const Rule& rule : screening.rules.rules) {
    if (!rule.on || screening.verdicts[site].of_rule[index(rule.id)] != outcome) continue;
    if (++count > kMostNamed) continue;
    words += fmt::format("{}{}: {} ({})", words.empty() ? "" : "; ", siting::rule_kind(rule.id).key,
                         measured_words(rule, screening.measures[site][index(rule.id)]),
                         siting::limit_words(rule));
  }
  if (count > kMostNamed) words += fmt::format("; and {} more", count - kMostNamed);
  return words.empty() ? "–" : words;
}

void table_cell(std::string& out, std::string_view label, std::string_view value) {
  out += fmt::format("<td data-label=\"{}\">{}</td>", label, escaped(value));
}

}  // namespace

std::string screening_section(const RunFacts& facts) {
  if (facts.screening == nullptr || facts.screening->nodes.empty()) return "";
  const Screening& screening = *facts.screening;
  std::string out = "<h2>The places against the rules</h2>\n";
  out += "<p>" + escaped(screening_sentence(facts)) + " " + escaped(whose_sentence(facts)) + "</p>\n";
  if (const std::string missing = missing_sentence(facts); !missing.empty()) {
    out += "<p class=\"small\">" + escaped(missing) + "</p>\n";
  }
  const std::vector<std::string> lines = biting_lines(facts, screening.bites.size());
  if (!lines.empty()) {
    out += "<h3>Rules that keep basins out</h3>\n<ul>\n";
    for (const std::string& line : lines) out += "<li>" + escaped(line) + "</li>\n";
    out += "</ul>\n";
  }
  out += "<table><thead><tr>";
  for (const char* head : {"Cut", "Basin", "Over its limit", "To measure", "No data"}) {
    out += fmt::format("<th scope=\"col\">{}</th>", head);
  }
  out += "</tr></thead>\n<tbody>\n";
  const std::vector<std::size_t> order = site_order(facts);
  for (std::size_t i = 0; i < std::min(order.size(), kMostRows); ++i) {
    const std::size_t site = order[i];
    out += "<tr>";
    out += fmt::format("<td class=\"who\" data-label=\"\">{}</td>", escaped(id_of(facts, site)));
    table_cell(out, "Basin", siting::word_of(screening.verdicts[site].basin));
    table_cell(out, "Over its limit", named(screening, site, Outcome::OverLimit));
    table_cell(out, "To measure", named(screening, site, Outcome::MeasureOnSite));
    table_cell(out, "No data", fmt::format("{} rules", rules_with(screening, site, Outcome::NoData).size()));
    out += "</tr>\n";
  }
  out += "</tbody></table>\n";
  if (order.size() > kMostRows) {
    out += fmt::format("<p class=\"small\">{} more are in screening.csv.</p>\n", order.size() - kMostRows);
  }
  return out;
}

}  // namespace curbshed::report
