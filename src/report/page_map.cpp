#include "report/page_map.hpp"

#include "report/html_text.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <openssl/evp.h>

namespace curbshed::report {
namespace {

using street::NodeKind;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

constexpr double kWide = 1200.0;

std::string base64(const std::string& bytes) {
  std::string text(4 * ((bytes.size() + 2) / 3) + 1, '\0');
  const int length =
      EVP_EncodeBlock(reinterpret_cast<unsigned char*>(text.data()),
                      reinterpret_cast<const unsigned char*>(bytes.data()), static_cast<int>(bytes.size()));
  text.resize(static_cast<std::size_t>(length));
  return text;
}

/// Metres to drawing units, tenths of them as whole numbers: paths are short, and closed rings stay closed.
class Paper {
 public:
  explicit Paper(const terrain::GridFrame& frame)
      : west_m_(frame.west_m),
        north_m_(frame.north_m),
        scale_(kWide / std::max(1.0, static_cast<double>(frame.cols) * frame.cell_m)),
        tall_(static_cast<double>(frame.rows) * frame.cell_m * scale_) {}

  double x(base::Point p) const { return (p.x_m - west_m_) * scale_; }
  double y(base::Point p) const { return (north_m_ - p.y_m) * scale_; }
  double scale() const { return scale_; }
  double tall() const { return tall_; }

  std::string path(const base::Polyline& line, bool closed) const {
    std::string text;
    long last_x = 0;
    long last_y = 0;
    const std::size_t count = closed && !line.empty() ? line.size() - 1 : line.size();
    for (std::size_t i = 0; i < count; ++i) {
      const long px = std::lround(x(line[i]) * 10.0);
      const long py = std::lround(y(line[i]) * 10.0);
      if (i == 0) {
        text += fmt::format("M{} {}", px, py);
      } else if (px == last_x && py == last_y) {
        continue;
      } else if (py == last_y) {
        text += fmt::format("h{}", px - last_x);
      } else if (px == last_x) {
        text += fmt::format("v{}", py - last_y);
      } else {
        text += fmt::format("l{} {}", px - last_x, py - last_y);
      }
      last_x = px;
      last_y = py;
    }
    return text + (closed ? "z" : "");
  }

 private:
  double west_m_;
  double north_m_;
  double scale_;
  double tall_;
};

/// A whole of 1, 2 or 5 times a power of ten of the unit, about a fifth of the map.
struct ScaleBar {
  double length_m = 0.0;
  std::string label;
};
ScaleBar scale_bar(double wide_m, Units units) {
  const double unit_m = units == Units::Us ? 0.3048 : 1.0;
  const double aim = wide_m / 5.0 / unit_m;
  const double ten = std::pow(10.0, std::floor(std::log10(std::max(aim, 1.0))));
  const double steps = aim / ten >= 5.0 ? 5.0 : aim / ten >= 2.0 ? 2.0 : 1.0;
  return {steps * ten * unit_m, fmt::format("{:g} {}", steps * ten, units == Units::Us ? "ft" : "m")};
}

std::string areas_paths(const RunFacts& facts, const Paper& paper, const std::vector<std::string>& ranks) {
  std::string text;
  const street::Network& network = facts.preparation->model.network;
  for (const terrain::LabelArea& area : facts.preparation->maps.areas) {
    if (network.kind[at(area.label)] != NodeKind::Cut) continue;
    std::string path;
    for (const base::Polygon& polygon : area.polygons) {
      for (const base::Polyline& ring : polygon.rings) path += paper.path(ring, true);
    }
    text += fmt::format("<path class=\"area\" d=\"{}\"><title>{}</title></path>", path,
                        escaped(fmt::format("{}: ground whose water reaches {} first", ranks[at(area.label)],
                                            node_words(facts, area.label))));
  }
  return text;
}

std::string lines_paths(const RunFacts& facts, const Paper& paper) {
  std::string curbs;
  for (const terrain::CurbLine& curb : facts.inputs->curbs) curbs += paper.path(curb.line, false);
  std::string gutters;
  for (const base::Polyline& gutter : facts.preparation->maps.gutters) {
    if (gutter.size() >= 2) gutters += paper.path(gutter, false);
  }
  std::string basins;
  for (const base::Polygon& basin : facts.preparation->maps.basins) {
    for (const base::Polyline& ring : basin.rings) basins += paper.path(ring, true);
  }
  std::string overflow;
  if (facts.full != nullptr) {
    for (const siting::FullSite& site : facts.full->sites) overflow += paper.path(site.path.line, false);
  }
  return fmt::format(
      "<path class=\"curbs\" d=\"{}\"/><path class=\"gutters\" d=\"{}\"/><path class=\"overflow\" d=\"{}\"/>"
      "<path class=\"basins\" d=\"{}\"/>",
      curbs, gutters, overflow, basins);
}

std::string place_marks(const RunFacts& facts, const Paper& paper, const std::vector<std::string>& ranks) {
  std::string text;
  const street::Network& network = facts.preparation->model.network;
  for (std::size_t node = 0; node < network.size(); ++node) {
    const std::string px = short_number(paper.x(network.at[node]));
    const std::string py = short_number(paper.y(network.at[node]));
    const auto words = escaped(node_words(facts, static_cast<std::int32_t>(node)));
    switch (network.kind[node]) {
      case NodeKind::Cut:
        text += fmt::format(
            "<g class=\"cut\" transform=\"translate({} {})\"><title>{}</title><rect x=\"-11\" y=\"-9\" "
            "width=\"22\" height=\"18\" rx=\"3\"/><text y=\"5\">{}</text></g>",
            px, py, words, escaped(ranks[node]));
        break;
      case NodeKind::Inlet:
        text += fmt::format(
            "<path class=\"inlet\" transform=\"translate({} {})\" d=\"M-5-5h10v10h-10zM-5 "
            "0h10\"><title>{}</title></path>",
            px, py, words);
        break;
      case NodeKind::Outfall:
        text += fmt::format(
            "<path class=\"outfall\" transform=\"translate({} {})\" d=\"M-7-7h14l-7 "
            "13z\"><title>{}</title></path>",
            px, py, words);
        break;
      case NodeKind::Sag:
        text += fmt::format("<circle class=\"sag\" cx=\"{}\" cy=\"{}\" r=\"7\"><title>{}</title></circle>",
                            px, py, words);
        break;
      case NodeKind::Basin:  // its outline is drawn with the others
      case NodeKind::Corner:
      case NodeKind::DataEdge:
        break;
    }
  }
  return text;
}

/// Chosen candidates stand in no network of the run: their basins, and their numbers in the build order.
std::string chosen_marks(const RunFacts& facts, const Paper& paper) {
  if (facts.chosen == nullptr || facts.candidates == nullptr) return {};
  const siting::CandidateModel& model = facts.candidates->model;
  std::string basins;
  std::string marks;
  const std::vector<std::size_t>& order = facts.chosen->choice.build_order;
  for (std::size_t i = 0; i < order.size(); ++i) {
    const siting::CutToChoose& cut = facts.chosen->cuts[order[i]];
    if (cut.candidate < 0) continue;
    for (const base::Polyline& ring : model.water_line[at(cut.candidate)].rings)
      basins += paper.path(ring, true);
    const base::Point p = model.model.network.at[at(cut.node)];
    marks += fmt::format(
        "<g class=\"cut\" transform=\"translate({} {})\"><title>{}</title><circle r=\"11\"/><text "
        "y=\"5\">{}</text></g>",
        short_number(paper.x(p)), short_number(paper.y(p)), escaped("candidate " + cut.id), i + 1);
  }
  if (marks.empty()) return {};
  return fmt::format("<g transform=\"scale(0.1)\"><path class=\"basins\" d=\"{}\"/></g>{}", basins, marks);
}

}  // namespace

std::string map_svg(const RunFacts& facts, const PageMap& map, const std::vector<std::string>& ranks,
                    Units units) {
  const terrain::GridFrame& frame = facts.inputs->ground.frame;
  const Paper paper(frame);
  const double tall = paper.tall();
  std::string picture;
  if (!map.png.empty()) {
    // The picture may reach over the ground by part of its coarser cells.
    picture = fmt::format(
        "<image class=\"relief\" x=\"0\" y=\"0\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\" "
        "href=\"data:image/png;base64,{}\"/>",
        short_number(static_cast<double>(map.frame.cols) * map.frame.cell_m * paper.scale()),
        short_number(static_cast<double>(map.frame.rows) * map.frame.cell_m * paper.scale()),
        base64(map.png));
  }
  const ScaleBar bar = scale_bar(static_cast<double>(frame.cols) * frame.cell_m, units);
  const double bar_wide = bar.length_m * paper.scale();
  const std::string furniture = fmt::format(
      "<g class=\"scale\" transform=\"translate(24 {})\"><rect class=\"paper\" x=\"-12\" y=\"-26\" "
      "width=\"{}\" "
      "height=\"42\"/><path d=\"M0 -6v6h{}v-6\"/><text x=\"{}\" y=\"-9\">{}</text></g>"
      "<g class=\"north\" transform=\"translate({} 40)\"><rect class=\"paper\" x=\"-18\" y=\"-30\" "
      "width=\"36\" "
      "height=\"58\"/><path d=\"M0 -14l7 26l-7 -6l-7 6z\"/><text y=\"-17\">N</text></g>",
      short_number(tall - 24.0), short_number(bar_wide + 24.0), short_number(bar_wide),
      short_number(bar_wide / 2.0), bar.label, short_number(kWide - 36.0));
  return fmt::format(
      "<svg class=\"map\" viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"Map: hillshade, contributing "
      "areas, "
      "curbs, gutters, basins and cuts\">{}<g transform=\"scale(0.1)\">{}{}</g>{}{}</svg>",
      short_number(kWide), short_number(tall), picture, areas_paths(facts, paper, ranks),
      lines_paths(facts, paper), place_marks(facts, paper, ranks) + chosen_marks(facts, paper), furniture);
}

}  // namespace curbshed::report
