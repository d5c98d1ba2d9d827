#include "curbshed/report/page.hpp"

#include "curbshed/report/candidate_tables.hpp"
#include "curbshed/report/cautions.hpp"
#include "curbshed/report/choice_figure.hpp"
#include "curbshed/report/chosen.hpp"
#include "curbshed/report/corner_lines.hpp"
#include "curbshed/report/field_words.hpp"
#include "curbshed/report/full.hpp"
#include "curbshed/report/lots.hpp"
#include "curbshed/report/ranking.hpp"
#include "curbshed/report/ribbons.hpp"
#include "curbshed/report/screening.hpp"
#include "curbshed/report/sentences.hpp"
#include "curbshed/report/sheets.hpp"
#include "curbshed/report/terminal.hpp"

#include "report/html_text.hpp"
#include "report/page_map.hpp"
#include "report/page_style.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::report {
namespace {

using study::NodeResult;
using study::StormComparison;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

/// Ribbons of a whole city would be a page that nobody can open.
constexpr std::size_t kMostRibbons = 200;
constexpr std::size_t kMostRows = 1000;
constexpr std::size_t kMostCorners = 40;

class PageText {
 public:
  PageText(const RunFacts& facts, const PageMap& map, Units units)
      : facts_(facts),
        map_(map),
        units_(units),
        common_(find_storm(facts, "common")),
        ranked_(ranked_cuts(facts)),
        ranks_(facts.preparation->model.network.size()),
        unsure_(below_uncertain_corners(facts)) {
    for (std::size_t i = 0; i < ranked_.size(); ++i) ranks_[at(ranked_[i])] = fmt::format("{}", i + 1);
  }

  std::string take() {
    const std::string title = facts_.settings->title.empty() ? "Curb cuts" : facts_.settings->title;
    text_ += fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\" xmlns=\"http://www.w3.org/1999/xhtml\"><head><meta "
        "charset=\"utf-8\"/>"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
        "'unsafe-inline'; "
        "img-src data:\"/>"
        "<title>{}</title><style>{}</style></head>\n<body><main>\n<h1>{}</h1>\n",
        escaped(title), kPageStyle, escaped(title));
    sentences();
    chosen();
    ribbons();
    text_ += "<h2>The map</h2>\n<figure>" + map_svg(facts_, map_, ranks_, units_) + "</figure>\n";
    small(
        "Numbers are the ranks of the cuts in the table below. Dashed blue outlines: the ground whose water "
        "reaches a "
        "cut first. Blue lines: gutters. Brown: basins. Triangle: where the street's water leaves. Square "
        "with a bar: "
        "drain inlet. Dashed ring: sag where water ponds. Round with a number: a chosen candidate, by its "
        "number in "
        "the list of what to build. North is up; the light comes from the north-west.");
    table();
    text_ += full_section(facts_, units_);
    text_ += screening_section(facts_);
    assumed();
    text_ += fmt::format(
        "<p class=\"small\">Made by curbshed {}. Where the numbers come from: manifest.json beside "
        "this page.</p>\n</main></body></html>\n",
        escaped(facts_.version));
    return std::move(text_);
  }

 private:
  void paragraph(const std::string& words) { text_ += "<p>" + escaped(words) + "</p>\n"; }
  void small(const std::string& words) { text_ += "<p class=\"small\">" + escaped(words) + "</p>\n"; }

  void sentences() {
    for (const std::string& sentence :
         dry_sentences(facts_.preparation->model, facts_.preparation->field, units_)) {
      text_ += "<p class=\"worse\">" + escaped(sentence) + "</p>\n";
    }
    text_ += "<div class=\"say\">\n";
    if (facts_.year != nullptr) paragraph(year_sentence(facts_, units_));
    if (common_ != nullptr) {
      paragraph(taken_sentence(facts_, *common_, ranked_.size(), units_));
      if (const std::string lots = lots_sentence(facts_, *common_, units_); !lots.empty()) paragraph(lots);
    }
    if (const StormComparison* storm = find_storm(facts_, "ten_year")) {
      paragraph(peak_sentence(facts_, *storm, units_));
    }
    text_ += "</div>\n";
    if (const std::string sentence = placeholder_sentence(facts_); !sentence.empty()) {
      text_ += "<p class=\"worse\">" + escaped(sentence) + "</p>\n";
    }
    for (const StormComparison& storm : *facts_.storms) {
      const std::vector<PeakChange> changes = sums_of(facts_, storm).rises;
      const std::size_t rises = changes.size();
      if (rises > 0) {
        double most = 0.0;
        for (const PeakChange& change : changes) most = std::max(most, change.change());
        text_ += fmt::format(
            "<p class=\"{}\">In {} the peak gets higher at {} {}, by at most {:.1f} %: see cuts.csv and "
            "outfalls.csv.{}</p>\n",
            most < kUsefulChange ? "small" : "worse", escaped(storm_words(storm.storm, units_)), rises,
            rises == 1 ? "place" : "places", most * 100.0,
            most < kUsefulChange ? " Often it is that a full basin sheds the rain that falls on it." : "");
      }
    }
    text_ += "<div class=\"mind\">\n";
    for (const std::string_view caution : cautions()) paragraph(std::string(caution));
    text_ += "</div>\n";
  }

  void ribbons() {
    if (common_ == nullptr) return;
    const std::vector<Ribbon> all = ribbons_of(facts_, *common_);
    if (all.empty()) return;
    const double most_m = longest_m(all);
    text_ += "<h2>The gutters, drawn straight</h2>\n";
    small(
        fmt::format("Each side of a street from its upper end (left) to its lower end (right), in {}. The "
                    "blue band is the water "
                    "that comes by, the brown block what the basin behind a cut takes of it, the dashed line "
                    "the water without any "
                    "cut. Below it the tape measure from the upper end of the gutter. Lengths are at one "
                    "scale; each band is drawn as "
                    "thick as its own largest flow allows.",
                    storm_words(common_->storm, units_)));
    text_ += "<div class=\"ribbons\">\n";
    for (std::size_t i = 0; i < std::min(all.size(), kMostRibbons); ++i) ribbon(all[i], most_m);
    text_ += "</div>\n";
    if (all.size() > kMostRibbons) {
      small(fmt::format("{} more street sides are in cuts.csv.", all.size() - kMostRibbons));
    }
  }

  void ribbon(const Ribbon& one, double most_m) {
    const std::string name = one.street.empty() ? std::string("A curb without a name")
                             : one.side.empty() ? one.street
                                                : fmt::format("{}, {} side", one.street, one.side);
    const std::string to =
        one.downstream < 0 ? std::string("where the study ends") : node_words(facts_, one.downstream);
    text_ += "<figure><h3>" +
             escaped(one.between.empty() ? name : fmt::format("{}, between {}", name, one.between)) +
             "</h3>" + ribbon_svg(facts_, one, thickest_m3(one), most_m, units_);
    text_ += "<figcaption class=\"small\">" +
             escaped(one.in_sag ? fmt::format("Stands in a sag. What runs on goes to {}.", to)
                                : fmt::format("{} of gutter, then on to {}.",
                                              show_distance(one.length_m, units_), to)) +
             "</figcaption></figure>\n";
  }

  void cell(const std::string& label, const std::string& value, bool number) {
    text_ += fmt::format("<td{} data-label=\"{}\">{}</td>", number ? " class=\"n\"" : "", escaped(label),
                         escaped(value));
  }

  void chosen() {
    if (facts_.chosen == nullptr) return;
    text_ += "<h2>Build these first</h2>\n";
    for (const std::string& sentence : choice_sentences(facts_, units_)) paragraph(sentence);
    text_ += "<ol>\n";
    for (const std::string& line : choice_lines(facts_, units_)) text_ += "<li>" + escaped(line) + "</li>\n";
    text_ += "</ol>\n";
    text_ += choice_figure(facts_, units_);
    small("Each line: what it adds to the ones above it. All cuts that were looked at are in choice.csv.");
  }

  void table() {
    text_ += "<h2>The cuts, most water first</h2>\n";
    if (common_ == nullptr) return;
    small(fmt::format(
        "{}Volumes are those of {}.{}", facts_.year != nullptr ? "Ranked by the water of a mean year. " : "",
        storm_words(common_->storm, units_),
        facts_.year != nullptr ? " Canopy is an upper bound: a yearly balance, with the plant factor "
                                 "that the study gives."
                               : ""));
    std::vector<std::string> heads = {"Rank", "Cut"};
    if (facts_.year != nullptr) heads.insert(heads.end(), {"In a mean year", "Canopy at most"});
    heads.insert(heads.end(), {"Comes by", "Taken", "Full before the peak in", "When full, goes"});
    text_ += "<table><thead><tr>";
    for (const std::string& head : heads) text_ += "<th scope=\"col\">" + head + "</th>";
    text_ += "</tr></thead>\n<tbody>\n";
    for (std::size_t i = 0; i < std::min(ranked_.size(), kMostRows); ++i) row(i);
    text_ += "</tbody></table>\n";
    if (ranked_.size() > kMostRows)
      small(fmt::format("{} more are in cuts.csv.", ranked_.size() - kMostRows));
    if (const std::string sentence = work_sentence(facts_, units_); !sentence.empty()) paragraph(sentence);
    if (const std::string sentence = candidates_sentence(facts_, units_); !sentence.empty()) {
      paragraph(sentence);
    }
    corners();
  }

  void corners() {
    const CornerLines found = corner_lines(facts_, units_, kMostCorners);
    if (found.lines.empty()) return;
    text_ += "<h3>" + escaped(corner_heading()) + "</h3>\n";
    small(
        "A cut below one of them has a ? in the table. Who has seen it draws a flow line or a corner point.");
    text_ += "<ul>\n";
    for (const std::string& line : found.lines) text_ += "<li>" + escaped(line) + "</li>\n";
    if (found.more > 0) {
      text_ += fmt::format("<li>and {} more, which change less: see corners.csv</li>\n", found.more);
    }
    text_ += "</ul>\n";
  }

  void row(std::size_t rank) {
    const std::int32_t node = ranked_[rank];
    const street::Network& network = facts_.preparation->model.network;
    const NodeResult& result = common_->with_cuts.nodes[at(node)];
    const bool at_least = network.edge_cuts_area[at(node)] != 0 || network.edge_cuts_above[at(node)] != 0;
    text_ += fmt::format("<tr id=\"rank-{}\">", rank + 1);
    cell("Rank", fmt::format("{}", rank + 1), true);
    const std::string over = over_words(facts_, node);
    text_ += fmt::format("<td class=\"who\" data-label=\"\">{}<small>{}</small>{}</td>",
                         escaped(network.id[at(node)]), escaped(place_words(facts_, node, units_)),
                         over.empty() ? std::string() : "<small>" + escaped(over) + "</small>");
    if (facts_.year != nullptr) {
      cell("In a mean year", show_volume(facts_.year->year_m3[at(node)], units_), true);
      cell("Canopy at most", show_area(facts_.year->canopy[at(node)].bound_m2, units_), true);
    }
    cell("Comes by",
         (at_least ? "at least " : "") + show_volume(result.arriving_m3, units_) +
             (unsure_[at(node)] ? " ?" : ""),
         true);
    const std::string share = result.arriving_m3 > 0.0
                                  ? fmt::format(" ({})", show_share(kept_m3(result) / result.arriving_m3))
                                  : "";
    cell("Taken", show_volume(kept_m3(result), units_) + share, true);
    cell("Full before the peak in", full_words(facts_, node), false);
    cell("When full, goes", when_full_words(facts_, node), false);
    text_ += "</tr>\n";
  }

  void assumed() {
    text_ += "<h2>What was assumed or noticed</h2>\n<ul>\n";
    for (const std::string& line : note_lines(all_notes(facts_))) text_ += "<li>" + escaped(line) + "</li>\n";
    if (facts_.year != nullptr) text_ += "<li>" + escaped(year_assumption()) + "</li>\n";
    text_ += "</ul>\n";
  }

  const RunFacts& facts_;
  const PageMap& map_;
  Units units_;
  const StormComparison* common_;
  std::vector<std::int32_t> ranked_;
  std::vector<std::string> ranks_;
  std::vector<bool> unsure_;
  std::string text_;
};

}  // namespace

std::string page_html(const RunFacts& facts, const PageMap& map, Units units) {
  return PageText(facts, map, units).take();
}

}  // namespace curbshed::report
