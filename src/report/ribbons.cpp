#include "curbshed/report/ribbons.hpp"

#include "report/html_text.hpp"

#include <algorithm>
#include <optional>
#include <tuple>

#include <fmt/format.h>

namespace curbshed::report {
namespace {

using street::Network;
using street::NodeKind;
using study::StormComparison;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

struct SideOfStreet {
  std::string street;
  std::string side;
  friend bool operator==(const SideOfStreet&, const SideOfStreet&) = default;
};

/// Chains of places on one side of a street.
class Chains {
 public:
  explicit Chains(const RunFacts& facts) : facts_(facts), network_(facts.preparation->model.network) {
    const auto nodes = static_cast<std::int32_t>(network_.size());
    above_.assign(network_.size(), -1);
    for (std::int32_t node = 0; node < nodes; ++node) {
      const std::int32_t next = network_.downstream[at(node)];
      if (!on_ribbon(node) || network_.in_sag[at(node)] >= 0 || next < 0 || !on_ribbon(next) ||
          !(side_of(node) == side_of(next))) {
        continue;
      }
      // Of several gutters that meet the longest goes on; ties to the first in chain order.
      std::int32_t& other = above_[at(next)];
      if (other < 0 || way_above(node) > way_above(other)) other = node;
    }
  }

  std::vector<std::vector<std::int32_t>> with_cuts() const {
    std::vector<std::vector<std::int32_t>> chains;
    for (std::int32_t node = 0; node < static_cast<std::int32_t>(network_.size()); ++node) {
      const std::int32_t next = network_.downstream[at(node)];
      const bool last = on_ribbon(node) && (next < 0 || above_[at(next)] != node);
      if (!last) continue;
      std::vector<std::int32_t> chain;
      bool any_cut = false;
      for (std::int32_t up = node; up >= 0; up = above_[at(up)]) {
        chain.push_back(up);
        any_cut = any_cut || network_.kind[at(up)] == NodeKind::Cut;
      }
      std::reverse(chain.begin(), chain.end());
      if (any_cut) chains.push_back(std::move(chain));
    }
    return chains;
  }

  SideOfStreet side_of(std::int32_t node) const {
    const terrain::CurbLine& curb = facts_.inputs->curbs[at(network_.curb[at(node)])];
    return {curb.street, curb.side};
  }

 private:
  bool on_ribbon(std::int32_t node) const {
    const NodeKind kind = network_.kind[at(node)];
    return network_.curb[at(node)] >= 0 && kind != NodeKind::Sag && kind != NodeKind::DataEdge;
  }
  double way_above(std::int32_t node) const {
    const double own_m = network_.upstream_gutter_m[at(node)];
    return above_[at(node)] < 0 ? own_m : own_m + 1e6;
  }

  const RunFacts& facts_;
  const Network& network_;
  std::vector<std::int32_t> above_;
};

Ribbon ribbon_of(const RunFacts& facts, const StormComparison& storm,
                 const std::vector<std::int32_t>& chain) {
  const Network& network = facts.preparation->model.network;
  Ribbon ribbon;
  ribbon.downstream = network.downstream[at(chain.back())];
  ribbon.in_sag = network.in_sag[at(chain.front())] >= 0;
  double along_m = ribbon.in_sag ? 0.0 : network.upstream_gutter_m[at(chain.front())];
  for (std::size_t up = 0; up < network.size(); ++up) {
    if (network.kind[up] == NodeKind::Sag) continue;
    street::each_way_down(network, up, [&](const street::WayDown& way) {
      if (way.to != at(chain.front())) return;
      ribbon.head_m3 += way.share * storm.with_cuts.nodes[up].passed_on_m3;
      ribbon.head_before_m3 += way.share * storm.base.nodes[up].passed_on_m3;
    });
  }
  for (const std::int32_t node : chain) {
    const study::NodeResult& with = storm.with_cuts.nodes[at(node)];
    const study::NodeResult& without = storm.base.nodes[at(node)];
    const bool cut = network.kind[at(node)] == NodeKind::Cut;
    ribbon.places.push_back({node, along_m, with.arriving_m3, with.passed_on_m3, cut ? kept_m3(with) : 0.0,
                             without.arriving_m3, without.passed_on_m3});
    ribbon.length_m = along_m;
    along_m += network.reach_length_m[at(node)];
  }
  return ribbon;
}

/// Where things are on the drawing, in its own units.
constexpr double kWide = 960.0;
constexpr double kLeft = 12.0;
constexpr double kCurb = 74.0;  ///< the curb line; basins above it, the gutter's band below
constexpr double kThick = 46.0;
constexpr double kBite = 16.0;  ///< width of a basin
constexpr double kTall = 164.0;
constexpr double kEnd = 150.0;    ///< for the words at the lower end
constexpr double kLetter = 6.6;   ///< mean width of a letter
constexpr double kRuler = 138.0;  ///< the tape measure, from the upper end

class Drawing {
 public:
  Drawing(const RunFacts& facts, const Ribbon& ribbon, double most_m3, double most_m, Units units)
      : facts_(facts),
        ribbon_(ribbon),
        thick_(most_m3 > 0.0 ? kThick / most_m3 : 0.0),
        wide_((kWide - 2.0 * kLeft - kEnd) / std::max(most_m, 1.0)),
        units_(units) {}

  std::string take() {
    band();
    line_before();
    places();
    const double end = x(ribbon_.length_m) + 1.5 * kBite;
    const std::string runs_on =
        fmt::format("{} runs on", show_volume(ribbon_.places.back().leaving_m3, units_));
    label(end + 4.0, y(0.0) + 14.0, runs_on);
    // As wide as what is drawn, so that short ones stand side by side.
    double own = end + 4.0 + kLetter * static_cast<double>(shown_width(runs_on));
    for (const Label& one : named_) own = std::max(own, one.end);
    for (const Label& one : taped_) own = std::max(own, one.end);
    own = std::min(std::ceil(own + kLeft), kWide);
    const std::string title = fmt::format("Gutter ribbon: {}", name());
    return fmt::format(
        "<svg class=\"ribbon\" width=\"{0:.0f}\" height=\"{1:.0f}\" viewBox=\"0 0 {0:.0f} {1:.0f}\" "
        "role=\"img\" aria-label=\"{2}\"><title>{3}</title>"
        "<path class=\"tape\" d=\"M{4} {5}H{6}\"/>"
        "<line class=\"curb\" x1=\"{7}\" y1=\"{8}\" x2=\"{9}\" y2=\"{10}\"/>{11}</svg>",
        own, kTall, escaped(title), escaped(title), short_number(kLeft), short_number(kRuler),
        short_number(x(ribbon_.length_m)), short_number(kLeft), short_number(kCurb), short_number(end),
        short_number(kCurb), body_);
  }

 private:
  void label(double px, double py, const std::string& words) {
    body_ +=
        fmt::format("<text x=\"{}\" y=\"{}\">{}</text>", short_number(px), short_number(py), escaped(words));
  }
  std::string name() const {
    return ribbon_.street.empty() ? "a curb without a name"
                                  : fmt::format("{}, {} side", ribbon_.street, ribbon_.side);
  }
  double x(double along_m) const { return kLeft + along_m * wide_; }
  double y(double m3) const { return kCurb + 1.0 + m3 * thick_; }
  static std::string point(double px, double py) { return short_number(px) + "," + short_number(py) + " "; }

  void band() {
    std::string outline = point(kLeft, kCurb + 1.0) + point(kLeft, y(ribbon_.head_m3));
    double last_x = kLeft;
    for (const RibbonPlace& place : ribbon_.places) {
      outline += point(x(place.along_m), y(place.arriving_m3));
      outline += point(x(place.along_m), y(place.leaving_m3));
      last_x = x(place.along_m);
    }
    outline += point(last_x + 1.5 * kBite, y(ribbon_.places.back().leaving_m3));
    outline += point(last_x + 1.5 * kBite, kCurb + 1.0);
    body_ += fmt::format("<polygon class=\"water\" points=\"{}\"/>", outline);
  }

  void line_before() {
    std::string line = point(kLeft, y(ribbon_.head_before_m3));
    for (const RibbonPlace& place : ribbon_.places) {
      line += point(x(place.along_m), y(place.arriving_before_m3));
      line += point(x(place.along_m), y(place.leaving_before_m3));
    }
    body_ += fmt::format("<polyline class=\"before\" points=\"{}\"/>", line);
  }

  void places() {
    const Network& network = facts_.preparation->model.network;
    for (const RibbonPlace& place : ribbon_.places) {
      const double px = x(place.along_m);
      const bool cut = network.kind[at(place.node)] == NodeKind::Cut;
      if (cut) {
        const double tall = std::max(2.0, place.kept_m3 * thick_);
        body_ += fmt::format(
            "<rect class=\"bite\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"><title>{}</title></rect>",
            short_number(px - kBite / 2.0), short_number(kCurb - tall), short_number(kBite),
            short_number(tall),
            escaped(fmt::format("{} takes {} of {}", network.id[at(place.node)],
                                show_volume(place.kept_m3, units_), show_volume(place.arriving_m3, units_))));
      } else {
        body_ +=
            fmt::format("<path class=\"other\" d=\"M{} {}v-12\"/>", short_number(px), short_number(kCurb));
      }
    }
    // Cuts are what the page is about: they get the room first.
    for (const bool cuts : {true, false}) {
      for (const RibbonPlace& place : ribbon_.places) {
        if ((network.kind[at(place.node)] == NodeKind::Cut) == cuts) names(place, x(place.along_m), cuts);
      }
    }
  }

  struct Label {
    double start = 0.0;
    double end = 0.0;
  };
  /// Room for a label about px, unless another one is there.
  static std::optional<double> take_room(std::vector<Label>& taken, double px, double wide) {
    const double start = std::clamp(px - wide / 2.0, 0.0, kWide - wide);
    for (const Label& other : taken) {
      if (start < other.end + 6.0 && other.start < start + wide + 6.0) return std::nullopt;
    }
    taken.push_back({start, start + wide});
    return start;
  }

  /// Names and numbers that would run into each other are left to the table below.
  void names(const RibbonPlace& place, double px, bool cut) {
    const std::string& id = facts_.preparation->model.network.id[at(place.node)];
    const std::string takes = cut ? fmt::format("takes {}", show_volume(place.kept_m3, units_)) : "";
    const std::string tape = show_distance(place.along_m, units_);
    body_ +=
        fmt::format("<path class=\"tick\" d=\"M{} {}v8\"/>", short_number(px), short_number(kRuler - 4.0));
    const double wide = kLetter * static_cast<double>(std::max(shown_width(id), shown_width(takes)));
    if (const std::optional<double> start = take_room(named_, px, wide)) {
      label(*start, 11.0, id);
      label(*start, 24.0, takes);
      body_ += fmt::format("<path class=\"leader\" d=\"M{} 28V{}\"/>", short_number(px), short_number(kCurb));
    }
    if (const std::optional<double> start =
            take_room(taped_, px, kLetter * static_cast<double>(shown_width(tape)))) {
      label(*start, kRuler + 18.0, tape);
    }
  }

  const RunFacts& facts_;
  const Ribbon& ribbon_;
  double thick_;
  double wide_;
  Units units_;
  std::string body_;
  std::vector<Label> named_;
  std::vector<Label> taped_;
};

}  // namespace

std::vector<Ribbon> ribbons_of(const RunFacts& facts, const StormComparison& storm) {
  const Chains chains(facts);
  std::vector<Ribbon> ribbons;
  for (const std::vector<std::int32_t>& chain : chains.with_cuts()) {
    Ribbon ribbon = ribbon_of(facts, storm, chain);
    const SideOfStreet side = chains.side_of(chain.front());
    ribbon.street = side.street;
    ribbon.side = side.side;
    const street::FacePlace& face = facts.preparation->maps.street.places[at(chain.front())].place;
    if (!face.from.empty() && !face.toward.empty()) {
      ribbon.between =
          fmt::format("{} and {}", std::min(face.from, face.toward), std::max(face.from, face.toward));
    }
    ribbons.push_back(std::move(ribbon));
  }
  const Network& network = facts.preparation->model.network;
  std::sort(ribbons.begin(), ribbons.end(), [&](const Ribbon& a, const Ribbon& b) {
    const auto rank = [&](const Ribbon& r) {
      return std::tuple(r.street, r.side, r.between, -r.length_m, network.id[at(r.places.front().node)]);
    };
    return rank(a) < rank(b);
  });
  return ribbons;
}

double thickest_m3(const Ribbon& ribbon) {
  double most = std::max(ribbon.head_m3, ribbon.head_before_m3);
  for (const RibbonPlace& place : ribbon.places) {
    most = std::max({most, place.arriving_m3, place.arriving_before_m3});
  }
  return most;
}

double longest_m(const std::vector<Ribbon>& ribbons) {
  double most = 0.0;
  for (const Ribbon& ribbon : ribbons) most = std::max(most, ribbon.length_m);
  return most;
}

std::string ribbon_svg(const RunFacts& facts, const Ribbon& ribbon, double most_m3, double most_m,
                       Units units) {
  return Drawing(facts, ribbon, most_m3, most_m, units).take();
}

}  // namespace curbshed::report
