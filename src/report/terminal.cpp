#include "curbshed/report/terminal.hpp"

#include "curbshed/report/candidate_tables.hpp"
#include "curbshed/report/cautions.hpp"
#include "curbshed/report/chosen.hpp"
#include "curbshed/report/corner_lines.hpp"
#include "curbshed/report/field_words.hpp"
#include "curbshed/report/full.hpp"
#include "curbshed/report/lots.hpp"
#include "curbshed/report/screening.hpp"
#include "curbshed/report/sentences.hpp"
#include "curbshed/report/sheets.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace curbshed::report {
namespace {

using study::NodeResult;
using study::StormComparison;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

constexpr std::string_view kRed = "\033[31m";
constexpr std::string_view kPlain = "\033[0m";
constexpr std::size_t kMostRises = 5;
constexpr std::size_t kMostSpills = 5;
constexpr std::size_t kMostCorners = 12;
constexpr std::size_t kMostRows = 20;
constexpr std::size_t kMostRules = 6;
constexpr std::size_t kMostFull = 3;

class Page {
 public:
  explicit Page(const TerminalStyle& style) : style_(style) {}

  void paragraph(std::string_view text, std::string_view lead = "") {
    const std::string space(shown_width(lead), ' ');
    bool first = true;
    for (const std::string& line : wrapped(text, style_.width - lead.size())) {
      text_ += fmt::format("{}{}\n", first ? lead : std::string_view(space), line);
      first = false;
    }
  }
  void warning(std::string_view text) {
    for (const std::string& line : wrapped(text, style_.width)) {
      text_ += style_.colour ? fmt::format("{}{}{}\n", kRed, line, kPlain) : line + "\n";
    }
  }
  void heading(std::string_view text) { text_ += fmt::format("\n{}\n", text); }
  void line(std::string_view text) { text_ += fmt::format("{}\n", text); }
  std::string take() { return std::move(text_); }

 private:
  const TerminalStyle& style_;
  std::string text_;
};

void add_rises(const RunFacts& facts, const StormComparison& storm, Units units, Page& page) {
  std::vector<PeakChange> rises = sums_of(facts, storm).rises;
  std::stable_sort(rises.begin(), rises.end(),
                   [](const PeakChange& a, const PeakChange& b) { return a.change() > b.change(); });
  const auto small = std::find_if(rises.begin(), rises.end(),
                                  [](const PeakChange& rise) { return rise.change() < kUsefulChange; });
  const auto large = static_cast<std::size_t>(small - rises.begin());
  for (std::size_t i = 0; i < std::min(large, kMostRises); ++i) {
    page.warning(fmt::format("HIGHER: below {} in {}: {} → {} ({:+.1f} %).", node_words(facts, rises[i].node),
                             storm_words(storm.storm, units), show_flow(rises[i].before_m3_s, units),
                             show_flow(rises[i].after_m3_s, units), rises[i].change() * 100.0));
  }
  if (large > kMostRises) {
    page.warning(
        fmt::format("HIGHER: and at {} more places in this storm; cuts.csv and outfalls.csv have them all.",
                    large - kMostRises));
  }
  if (const std::size_t few = rises.size() - large; few > 0) {
    page.warning(fmt::format(
        "HIGHER by less than {:.0f} % in {}: at {} (often: a full basin sheds the rain that falls on it); "
        "cuts.csv has {}.",
        kUsefulChange * 100.0, storm_words(storm.storm, units),
        few == 1 ? std::string("1 place") : fmt::format("{} places", few), few == 1 ? "it" : "them"));
  }
}

/// Water over a rim is kept by nobody's basin: it is on a lot, and in no peak below. One line a basin.
void add_spills(const RunFacts& facts, Units units, Page& page) {
  const street::Network& network = facts.preparation->model.network;
  struct Spill {
    std::size_t node;
    double most_m3 = 0.0;
    std::string words;
  };
  std::vector<Spill> spills;
  for (std::size_t n = 0; n < network.size(); ++n) {
    if (network.kind[n] != street::NodeKind::Cut) continue;
    Spill spill{n, 0.0, ""};
    for (const StormComparison& storm : *facts.storms) {
      const NodeResult& result = storm.with_cuts.nodes[n];
      if (!(result.over_rim_m3 > 0.0)) continue;
      spill.most_m3 = std::max(spill.most_m3, result.over_rim_m3);
      spill.words +=
          fmt::format("{}{} in the {} (from minute {:.0f})", spill.words.empty() ? "" : ", ",
                      show_volume(result.over_rim_m3, units),
                      storm.storm.title.substr(0, storm.storm.title.find(':')), result.over_rim_first_minute);
    }
    if (!spill.words.empty()) spills.push_back(std::move(spill));
  }
  std::stable_sort(spills.begin(), spills.end(),
                   [](const Spill& a, const Spill& b) { return a.most_m3 > b.most_m3; });
  for (std::size_t i = 0; i < std::min(spills.size(), kMostSpills); ++i) {
    page.warning(fmt::format("SPILLS over the rim of {}: {}; it is in no peak below.",
                             network.id[spills[i].node], spills[i].words));
  }
  if (spills.size() > kMostSpills) {
    page.warning(
        fmt::format("SPILLS at {} more basins; basins.csv has them all.", spills.size() - kMostSpills));
  }
}

struct TextColumn {
  std::string title;
  std::size_t width;
  bool right = false;
};

/// Cells wrap inside their column.
void add_row(const std::vector<TextColumn>& columns, const std::vector<std::string>& cells, Page& page) {
  std::vector<std::vector<std::string>> wraps;
  std::size_t height = 1;
  for (std::size_t i = 0; i < columns.size(); ++i) {
    wraps.push_back(wrapped(cells[i], columns[i].width));
    height = std::max(height, wraps.back().size());
  }
  for (std::size_t row = 0; row < height; ++row) {
    std::string line;
    for (std::size_t i = 0; i < columns.size(); ++i) {
      const std::string cell = row < wraps[i].size() ? wraps[i][row] : std::string();
      line += (i == 0 ? "" : "  ") + padded(cell, columns[i].width, columns[i].right);
    }
    line.erase(line.find_last_not_of(' ') + 1);
    page.line(line);
  }
}

void add_corners(const RunFacts& facts, Units units, Page& page) {
  const CornerLines corners = corner_lines(facts, units, kMostCorners);
  if (corners.lines.empty()) {
    return;
  }
  page.heading(corner_heading() + ":");
  for (const std::string& line : corners.lines) {
    page.paragraph(line, "- ");
  }
  if (corners.more > 0) {
    page.line(fmt::format("- and {} more, which change less; corners.csv and cuts.csv have them all",
                          corners.more));
  }
}

void add_full(const RunFacts& facts, Units units, Page& page) {
  const std::string sentence = full_sentence(facts);
  if (sentence.empty()) return;
  page.heading("When the basins are full (basins.csv and the layer overflow_paths have every one):");
  page.paragraph(sentence);
  for (const std::string& line : full_lines(facts, units, kMostFull)) page.paragraph(line, "- ");
}

void add_screening(const RunFacts& facts, Page& page) {
  if (facts.screening == nullptr || facts.screening->nodes.empty()) return;
  page.heading("The places against the rules (screening.csv has every one with its source):");
  page.paragraph(screening_sentence(facts));
  page.paragraph(whose_sentence(facts));
  for (const std::string& line : biting_lines(facts, kMostRules)) page.paragraph(line, "- ");
  if (facts.screening->bites.size() > kMostRules) {
    page.line(fmt::format("- and {} more rules", facts.screening->bites.size() - kMostRules));
  }
  if (const std::string missing = missing_sentence(facts); !missing.empty()) page.paragraph(missing);
}

std::string marks(bool at_least, bool unsure) {
  return at_least || unsure ? fmt::format(" {}{}", at_least ? "*" : "", unsure ? "?" : "") : std::string();
}

void add_cuts(const RunFacts& facts, const StormComparison& storm, const TerminalStyle& style, Page& page) {
  const Sheet cuts = cuts_sheet(facts);
  const street::Network& network = facts.preparation->model.network;
  constexpr std::size_t kMostIdWidth = 16;
  std::size_t longest_id = 12;
  for (std::size_t rank = 0; rank < std::min(kMostRows, cuts.nodes.size()); ++rank) {
    longest_id = std::max(longest_id, shown_width(network.id[at(cuts.nodes[rank])]));
  }
  // Names as long as those that we make from street, side and distance stand on lines of their own.
  const bool long_ids = longest_id > kMostIdWidth;
  const std::size_t id_width = long_ids ? 0 : longest_id;
  const std::size_t fixed = 4 + id_width + 11 + 9 + 5 + 23 + 2 * 6;
  const std::size_t where = style.width > fixed + 20 ? std::min<std::size_t>(style.width - fixed, 40) : 20;
  std::vector<TextColumn> columns = {{"rank", 4, true},         {"cut", id_width},
                                     {"comes by", 11, true},    {"taken", 9, true},
                                     {"share", 5, true},        {"full before the peak in", 23},
                                     {"when full, goes", where}};
  if (long_ids) {
    columns.erase(columns.begin() + 1);
    columns.pop_back();
  }
  std::vector<std::string> titles;
  std::vector<std::string> rules;
  for (const TextColumn& column : columns) {
    titles.push_back(column.title);
    rules.emplace_back(column.width, '-');
  }
  page.heading(fmt::format("Each cut in {}, most water {} first:", storm_words(storm.storm, style.units),
                           facts.year != nullptr ? "in a year" : "taken"));
  add_row(columns, titles, page);
  add_row(columns, rules, page);
  bool any_at_least = false;
  bool any_unsure = false;
  const std::vector<bool> unsure = below_uncertain_corners(facts);
  for (std::size_t rank = 0; rank < std::min(kMostRows, cuts.nodes.size()); ++rank) {
    const std::int32_t node = cuts.nodes[rank];
    const NodeResult& result = storm.with_cuts.nodes[at(node)];
    const bool at_least = network.edge_cuts_area[at(node)] != 0 || network.edge_cuts_above[at(node)] != 0;
    any_at_least = any_at_least || at_least;
    any_unsure = any_unsure || unsure[at(node)];
    std::vector<std::string> cells = {
        fmt::format("{}", rank + 1),
        network.id[at(node)],
        show_volume(result.arriving_m3, style.units) + marks(at_least, unsure[at(node)]),
        show_volume(kept_m3(result), style.units),
        result.arriving_m3 > 0.0 ? show_share(kept_m3(result) / result.arriving_m3) : "-",
        full_words(facts, node),
        when_full_words(facts, node)};
    if (long_ids) {
      cells.erase(cells.begin() + 1);
      cells.pop_back();
    }
    add_row(columns, cells, page);
    page.paragraph(place_words(facts, node, style.units), "  ");
    if (const std::string over = over_words(facts, node); !over.empty()) page.paragraph(over, "  ");
    if (long_ids) {
      page.line("  " + network.id[at(node)]);
      page.paragraph("when full, " + when_full_words(facts, node), "  ");
    }
    const std::string leaving = leaving_words(result);
    if (!leaving.empty()) {
      page.paragraph(leaving + ": look at the gutter there", "  ");
    }
  }
  if (cuts.nodes.size() > kMostRows) {
    page.line(fmt::format("and {} more cuts: report.html and cuts.csv have them all",
                          cuts.nodes.size() - kMostRows));
  }
  if (any_at_least) {
    page.line("* at least: its area, or that of a place above it, is cut by the edge of the data");
  }
  if (any_unsure) {
    page.line(
        "? a corner above, at which heights do not tell where the water goes, changes it by over a tenth");
  }
  add_corners(facts, style.units, page);
}

void add_ledger(std::string_view title, const base::WaterLedger& ledger, Page& page) {
  page.line(fmt::format("  {:<14} in {:>10.3f}  out {:>10.3f}  still there {:>10.3f}  gap {:>9.6f}", title,
                        ledger.in_m3(), ledger.out_m3(), ledger.stored_m3(), std::abs(ledger.gap_m3())));
}

void add_ledgers(const RunFacts& facts, Page& page) {
  page.heading("Where the water went, m3 (each term is in manifest.json):");
  for (const StormComparison& storm : *facts.storms) {
    page.line(storm.storm.title);
    add_ledger("without cuts", storm.base.ledger, page);
    add_ledger("with cuts", storm.with_cuts.ledger, page);
  }
}

/// "; 3 of them as measured on the street".
std::string own_rates(const RunFacts& facts) {
  const std::vector<study::FieldOverride>& overrides = facts.preparation->field.overrides;
  const auto own = std::count_if(overrides.begin(), overrides.end(), [](const study::FieldOverride& one) {
    return one.what == study::FieldValue::Infiltration;
  });
  return own == 0 ? std::string() : fmt::format("; {} of them as measured on the street", own);
}

}  // namespace

std::vector<std::string> note_lines(const base::Notes& notes) {
  std::vector<std::string> lines;
  for (std::size_t i = 0; i < base::kNoteCount; ++i) {
    const auto id = static_cast<base::NoteId>(i);
    if (!notes.has(id)) {
      continue;
    }
    const base::Notes::Entry& entry = notes.at(id);
    const base::NoteText& words = base::note_text(id);
    std::string line(words.text);
    std::string more;
    if (entry.count > 1) {
      more = fmt::format("{} times", entry.count);
    }
    if (!words.unit.empty()) {
      more += fmt::format("{}{}{:.3g} {}", more.empty() ? "" : "; ", entry.count > 1 ? "up to " : "",
                          entry.worst, words.unit);
    }
    if (!entry.first_feature.empty()) {
      more += fmt::format("{}{}{}", more.empty() ? "" : "; ", entry.count > 1 ? "first: " : "",
                          entry.first_feature);
    }
    lines.push_back(more.empty() ? line : fmt::format("{} ({})", line, more));
  }
  return lines;
}

std::string terminal_text(const RunFacts& facts, const TerminalStyle& style) {
  Page page(style);
  const base::Notes notes = all_notes(facts);
  const std::size_t cuts = cuts_sheet(facts).nodes.size();
  if (!facts.settings->title.empty()) {
    page.line(facts.settings->title);
    page.line("");
  }
  for (const std::string& sentence :
       dry_sentences(facts.preparation->model, facts.preparation->field, style.units)) {
    page.warning(sentence);
  }
  const StormComparison* common = find_storm(facts, "common");
  if (common != nullptr) {
    page.paragraph(taken_sentence(facts, *common, cuts, style.units));
    if (const std::string lots = lots_sentence(facts, *common, style.units); !lots.empty()) {
      page.paragraph(lots);
    }
  }
  if (facts.year != nullptr) {
    page.paragraph(year_sentence(facts, style.units));
  }
  for (const std::string_view id : {"two_year", "ten_year"}) {
    if (const StormComparison* storm = find_storm(facts, id)) {
      page.paragraph(peak_sentence(facts, *storm, style.units));
    }
  }
  if (const std::string sentence = placeholder_sentence(facts); !sentence.empty()) {
    page.paragraph(sentence);
  }
  for (const StormComparison& storm : *facts.storms) {
    add_rises(facts, storm, style.units, page);
  }
  add_spills(facts, style.units, page);
  if (facts.chosen != nullptr) {
    for (const std::string& sentence : choice_sentences(facts, style.units)) {
      page.paragraph(sentence);
    }
    std::int64_t number = 0;
    for (const std::string& line : choice_lines(facts, style.units)) {
      page.paragraph(line, fmt::format("{}. ", ++number));
    }
  }
  if (notes.has(base::NoteId::DrainsNotGiven)) {
    page.paragraph(base::note_text(base::NoteId::DrainsNotGiven).text);
  }
  if (common != nullptr) {
    add_cuts(facts, *common, style, page);
  }
  add_full(facts, style.units, page);
  add_screening(facts, page);
  if (const std::string sentence = work_sentence(facts, style.units); !sentence.empty()) {
    page.line("");
    page.paragraph(sentence);
  }
  if (const std::string sentence = candidates_sentence(facts, style.units); !sentence.empty()) {
    page.line("");
    page.paragraph(sentence);
  }
  page.heading("What was assumed or noticed:");
  for (const std::string& line : note_lines(notes)) {
    if (line != base::note_text(base::NoteId::DrainsNotGiven).text) {  // it stands above already
      page.paragraph(line, "- ");
    }
  }
  if (const std::string sentence = outside_sentence(facts); !sentence.empty()) {
    page.paragraph(sentence, "- ");
  }
  page.paragraph(
      fmt::format(
          "Basins soak in {:.3g} mm/h {} ({}{}){}.",
          facts.settings->basin.infiltration_m_s / facts.settings->basin.safety_factor * 3.6e6,
          facts.settings->basin.soaks_over == "wetted" ? "under water" : "on their floor",
          facts.settings->basin.infiltration_origin == "study"      ? "as a study says"
          : facts.settings->basin.infiltration_origin == "measured" ? "measured"
          : facts.settings->basin.infiltration_origin == "assumed"  ? "assumed: nobody has looked yet"
                                                                    : "from the soil map",
          facts.settings->basin.safety_factor > 1.0
              ? fmt::format(", divided by a safety factor of {:g}", facts.settings->basin.safety_factor)
              : std::string(),
          own_rates(facts)),
      "- ");
  if (facts.year != nullptr) {
    page.paragraph(year_assumption(), "- ");
  }
  add_ledgers(facts, page);
  page.heading("Please mind:");
  for (const std::string_view text : cautions()) {
    page.paragraph(text, "- ");
  }
  return page.take();
}

}  // namespace curbshed::report
