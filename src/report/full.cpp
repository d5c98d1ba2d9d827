#include "curbshed/report/full.hpp"

#include "curbshed/report/cautions.hpp"

#include "report/html_text.hpp"
#include "report/text_cell.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include <fmt/format.h>

namespace curbshed::report {
namespace {

using base::Cell;
using base::ColumnType;
using siting::Freeboard;
using siting::FullHeight;
using siting::FullSite;
using siting::LevelFrom;

constexpr std::size_t kMostPageRows = 100;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

using SiteCell = std::function<Cell(const FullSite&)>;

class Columns {
 public:
  explicit Columns(const RunFacts& facts) : facts_(facts) {}
  void add(std::string name, std::string title, std::string unit, ColumnType type, SiteCell value) {
    const RunFacts* facts = &facts_;
    out.push_back({{std::move(name), std::move(title), std::move(unit), type},
                   [facts, value = std::move(value)](std::int32_t node) {
                     const FullSite* site = facts->full == nullptr ? nullptr : facts->full->find(node);
                     return site == nullptr ? Cell() : value(*site);
                   }});
  }
  void number(std::string name, std::string title, SiteCell value) {
    add(std::move(name), std::move(title), "m", ColumnType::Real, std::move(value));
  }
  void words(std::string name, std::string title, SiteCell value) {
    add(std::move(name), std::move(title), "", ColumnType::Text, std::move(value));
  }
  std::vector<NodeColumn> out;

 private:
  const RunFacts& facts_;
};

/// "fitted" is the heights' word in the other columns.
Cell origin(const FullHeight& height) {
  return height.from == LevelFrom::Measured ? text(fmt::format("measured ({})", height.by)) : text("surface");
}

std::string into_words(const RunFacts& facts, const FullSite& site) {
  return site.path.into < 0 ? std::string("lots, lost to the street") : node_words(facts, site.path.into);
}

void add_doorway(Columns& columns) {
  columns.number("doorway_level_m", "Lowest ground beside a building near, on the side toward the basin",
                 [](const FullSite& s) { return s.doorway ? Cell(s.doorway->height.level_m) : Cell(); });
  columns.words("doorway_origin", "Where that level comes from: surface, or measured",
                [](const FullSite& s) { return s.doorway ? origin(s.doorway->height) : Cell(); });
  columns.number("doorway_doubt_m", "Standard error of that level",
                 [](const FullSite& s) { return s.doorway ? Cell(s.doorway->height.doubt_m) : Cell(); });
  columns.words("doorway_building", "Which building",
                [](const FullSite& s) { return s.doorway ? text(s.doorway->building) : Cell(); });
  columns.number("doorway_freeboard_m", "That level above the pool when all is full", [](const FullSite& s) {
    return s.doorway_freeboard ? Cell(s.doorway_freeboard->value_m) : Cell();
  });
  columns.number("doorway_freeboard_doubt_m", "Standard error of that", [](const FullSite& s) {
    return s.doorway_freeboard ? Cell(s.doorway_freeboard->doubt_m) : Cell();
  });
}

/// "4.2 in higher (± 2.4 in, from heights)".
std::string above_words(const Freeboard& freeboard, bool measured, Units units) {
  return fmt::format("{} {} (± {}, {})", show_depth(std::abs(freeboard.value_m), units),
                     freeboard.value_m < 0.0 ? "LOWER" : "higher", show_depth(2.0 * freeboard.doubt_m, units),
                     measured ? "measured" : "from heights");
}

bool measured(const FullSite& site, const FullHeight& height) {
  return site.pool.from == LevelFrom::Measured && height.from == LevelFrom::Measured;
}

double least_m(const FullSite& site) {
  const double rim_m = site.rim_freeboard.value_m;
  return site.doorway_freeboard ? std::min(rim_m, site.doorway_freeboard->value_m) : rim_m;
}

/// Cuts of the plan; what is only looked at is in the tables.
std::vector<const FullSite*> least_first(const RunFacts& facts) {
  std::vector<const FullSite*> sites;
  if (facts.full == nullptr) return sites;
  for (const FullSite& site : facts.full->sites) {
    if (facts.preparation->model.params[at(site.node)].in_plan) sites.push_back(&site);
  }
  std::stable_sort(sites.begin(), sites.end(),
                   [](const FullSite* a, const FullSite* b) { return least_m(*a) < least_m(*b); });
  return sites;
}

std::string way_words(const RunFacts& facts, const FullSite& site, Units units) {
  std::string words = fmt::format("over {} it runs {} to {}", study::word_of(site.path.over),
                                  show_distance(site.path.length_m, units), into_words(facts, site));
  if (site.path_to_building_m) {
    words +=
        fmt::format(", past {} within {}",
                    site.path_building.empty() ? std::string("a building") : "building " + site.path_building,
                    show_distance(*site.path_to_building_m, units));
  }
  return words;
}

std::string table_row(const RunFacts& facts, const FullSite& site, Units units) {
  const auto cell = [](const char* label, const std::string& value) {
    return fmt::format("<td data-label=\"{}\">{}</td>", label, escaped(value));
  };
  return fmt::format(
      "<tr><td class=\"who\" data-label=\"\">{}</td>{}{}{}{}</tr>\n",
      escaped(facts.preparation->model.network.id[at(site.node)]),
      cell("Pool over the gutter", show_depth(site.water.depth_m, units)),
      cell("Ground around it", above_words(site.rim_freeboard, measured(site, site.rim), units)),
      cell("Lowest doorway side",
           site.doorway_freeboard
               ? above_words(*site.doorway_freeboard, measured(site, site.doorway->height), units)
           : facts.full->buildings_known ? std::string("no building near")
                                         : std::string("buildings not known")),
      cell("Over the rim", way_words(facts, site, units)));
}

}  // namespace

std::vector<NodeColumn> full_columns(const RunFacts& facts) {
  Columns columns(facts);
  columns.words("full_storm", "Storm of the levels when all is full",
                [&facts](const FullSite&) { return text(facts.full->storm_id); });
  columns.number("pool_full_level_m", "Level to which the pool can rise when all is full",
                 [](const FullSite& s) { return Cell(s.pool.level_m); });
  columns.number("pool_full_above_gutter_m", "The same above the gutter at the cut",
                 [](const FullSite& s) { return Cell(s.water.depth_m); });
  columns.words("pool_full_origin", "Where the gutter's level comes from: surface, or measured",
                [](const FullSite& s) { return origin(s.pool); });
  columns.number("pool_full_doubt_m", "Standard error of that level",
                 [](const FullSite& s) { return Cell(s.pool.doubt_m); });
  columns.number("rim_doubt_m", "Standard error of the rim's level",
                 [](const FullSite& s) { return Cell(s.rim.doubt_m); });
  columns.number("rim_freeboard_m", "Lowest point of the rim above the pool when all is full",
                 [](const FullSite& s) { return Cell(s.rim_freeboard.value_m); });
  columns.number("rim_freeboard_doubt_m", "Standard error of that",
                 [](const FullSite& s) { return Cell(s.rim_freeboard.doubt_m); });
  add_doorway(columns);
  columns.words("overflow_over", "Where the rim is lowest",
                [](const FullSite& s) { return text(std::string(study::word_of(s.path.over))); });
  columns.words("overflow_into", "Where water over the rim would go",
                [&facts](const FullSite& s) { return text(into_words(facts, s)); });
  columns.number("overflow_length_m", "How far it runs until there",
                 [](const FullSite& s) { return Cell(s.path.length_m); });
  return columns.out;
}

base::MapLayer overflow_layer(const RunFacts& facts) {
  base::MapLayer layer;
  layer.table.name = "overflow_paths";
  layer.table.title = "Overflow paths";
  layer.table.description = fmt::format(
      "Where water over the lowest point of each basin's rim would run, on the ground as it is. {}",
      cautions_line());
  layer.kind = base::ShapeKind::Line;
  layer.table.columns = {
      {"id", "Cut", "", ColumnType::Text},
      {"over", "Where the rim is lowest", "", ColumnType::Text},
      {"into", "Where the path ends", "", ColumnType::Text},
      {"length_m", "Length", "m", ColumnType::Real},
      {"lowest_ground_m", "Lowest ground on it", "m", ColumnType::Real},
      {"rim_freeboard_m", "Rim above the pool when all is full; below 0 water goes this way", "m",
       ColumnType::Real},
      {"rim_freeboard_doubt_m", "Standard error of that", "m", ColumnType::Real},
      {"building", "Nearest building beside the path", "", ColumnType::Text},
      {"building_within_m", "How near it passes; empty = none within 3 m", "m", ColumnType::Real}};
  if (facts.full == nullptr) return layer;
  for (const FullSite& site : facts.full->sites) {
    const study::OverflowPath& path = site.path;
    layer.table.rows.push_back({text(facts.preparation->model.network.id[at(site.node)]),
                                text(std::string(study::word_of(path.over))), text(into_words(facts, site)),
                                Cell(path.length_m), Cell(path.lowest_m), Cell(site.rim_freeboard.value_m),
                                Cell(site.rim_freeboard.doubt_m), text(site.path_building),
                                site.path_to_building_m ? Cell(*site.path_to_building_m) : Cell()});
    layer.shapes.push_back(path.line.size() < 2 ? base::Shape() : base::line_shape(path.line));
  }
  return layer;
}

std::string full_state_words(const RunFacts& facts) {
  const std::string& title = facts.full->storm_title;
  return fmt::format(
      "the {} on wet soil, with drains blocked, every basin full at the start and no other cut taking water: "
      "the high end",
      title.substr(0, std::min({title.find(':'), title.find(", on "), title.find(", basins ")})));
}

std::string full_sentence(const RunFacts& facts) {
  const std::vector<const FullSite*> sites = least_first(facts);
  if (sites.empty()) return {};
  std::size_t over = 0;
  std::size_t doorways = 0;
  std::size_t unsure = 0;
  const auto in_doubt = [](const Freeboard& one) { return std::abs(one.value_m) <= 2.0 * one.doubt_m; };
  for (const FullSite* one : sites) {
    const FullSite& site = *one;
    over += site.rim_freeboard.value_m < 0.0 ? 1U : 0U;
    doorways += site.doorway_freeboard && site.doorway_freeboard->value_m < 0.0 ? 1U : 0U;
    unsure += in_doubt(site.rim_freeboard) || (site.doorway_freeboard && in_doubt(*site.doorway_freeboard))
                  ? 1U
                  : 0U;
  }
  std::string words = fmt::format(
      "When all is full ({}), the pool can rise over the lowest ground around it at {} of {} basins",
      full_state_words(facts), over, sites.size());
  words += facts.full->buildings_known
               ? fmt::format(", over the lowest doorway side near it at {}.", doorways)
               : std::string("; buildings were not given, so doorways are not known.");
  if (unsure > 0) {
    words += fmt::format(
        " At {} the doubt of the heights decides: shoot gutter, curb top, walk and doorway there "
        "([street.levels]).",
        unsure);
  }
  return words;
}

std::string full_site_words(const RunFacts& facts, const FullSite& site, Units units) {
  std::string words =
      fmt::format("the pool can stand {} over the gutter; the lowest ground around it lies {}",
                  show_depth(site.water.depth_m, units),
                  above_words(site.rim_freeboard, measured(site, site.rim), units));
  if (site.doorway_freeboard) {
    words += fmt::format(", the lowest doorway side near it {}",
                         above_words(*site.doorway_freeboard, measured(site, site.doorway->height), units));
  }
  return fmt::format("{}; {}", words, way_words(facts, site, units));
}

std::vector<std::string> full_lines(const RunFacts& facts, Units units, std::size_t most) {
  std::vector<std::string> lines;
  for (const FullSite* site : least_first(facts)) {
    if (lines.size() == most) break;
    lines.push_back(fmt::format("{}: {}", facts.preparation->model.network.id[at(site->node)],
                                full_site_words(facts, *site, units)));
  }
  return lines;
}

std::string full_section(const RunFacts& facts, Units units) {
  const std::string sentence = full_sentence(facts);
  if (sentence.empty()) return {};
  std::string out = "<h2>When the basins are full</h2>\n<p>" + escaped(sentence) + "</p>\n";
  out +=
      "<p class=\"small\">The pool rises to the water in the gutter at its cut, not higher. Least freeboard "
      "first; ± is twice the standard error. Orange lines on the map: where water over the rim would "
      "run.</p>\n"
      "<table><thead><tr><th scope=\"col\">Cut</th><th scope=\"col\">Pool over the gutter</th>"
      "<th scope=\"col\">Ground around it</th><th scope=\"col\">Lowest doorway side</th>"
      "<th scope=\"col\">Over the rim</th></tr></thead>\n<tbody>\n";
  const std::vector<const FullSite*> sites = least_first(facts);
  for (std::size_t i = 0; i < std::min(sites.size(), kMostPageRows); ++i) {
    out += table_row(facts, *sites[i], units);
  }
  out += "</tbody></table>\n";
  if (sites.size() > kMostPageRows) {
    out += fmt::format("<p class=\"small\">{} more are in basins.csv.</p>\n", sites.size() - kMostPageRows);
  }
  return out;
}

}  // namespace curbshed::report
