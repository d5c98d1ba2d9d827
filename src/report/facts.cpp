#include "curbshed/report/facts.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace curbshed::report {
namespace {

using street::Network;
using street::NodeKind;

const Network& network_of(const RunFacts& facts) { return facts.preparation->model.network; }

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

std::int32_t count(const Network& network) { return static_cast<std::int32_t>(network.size()); }

double peak_of_sum(const study::StormResult& result, const std::vector<std::int32_t>& nodes) {
  double peak = 0.0;
  std::size_t steps = 0;
  for (const std::int32_t node : nodes) {
    steps = std::max(steps, result.leaving_m3_s[at(node)].size());
  }
  for (std::size_t step = 0; step < steps; ++step) {
    double sum = 0.0;
    for (const std::int32_t node : nodes) {
      const std::vector<float>& flow = result.leaving_m3_s[at(node)];
      sum += step < flow.size() ? static_cast<double>(flow[step]) : 0.0;
    }
    peak = std::max(peak, sum);
  }
  return peak;
}

}  // namespace

bool PeakChange::rises() const { return after_m3_s > before_m3_s * (1.0 + kNamedRise) && after_m3_s > 1e-6; }
bool PeakChange::useful() const { return before_m3_s > 0.0 && change() <= -kUsefulChange; }

YearSums year_sums(const RunFacts& facts) {
  YearSums sums;
  const Network& network = network_of(facts);
  for (std::size_t node = 0; facts.year != nullptr && node < network.size(); ++node) {
    if (network.kind[node] != NodeKind::Cut) continue;
    sums.water_m3 += facts.year->year_m3[node];
    sums.canopy_bound_m2 += facts.year->canopy[node].bound_m2;
    for (std::size_t month = 0; month < trees::kMonths; ++month) {
      sums.month_m3[month] += facts.year->month_m3[node][month];
    }
  }
  return sums;
}

std::int32_t next_cut(const Network& network, std::int32_t node) {
  std::int32_t next = network.downstream[at(node)];
  for (std::int32_t steps = 0; next >= 0 && steps < count(network); ++steps) {
    if (network.kind[at(next)] == NodeKind::Cut) {
      return next;
    }
    for (std::int32_t member = 0; network.kind[at(next)] == NodeKind::Sag && member < count(network);
         ++member) {
      if (network.kind[at(member)] == NodeKind::Cut && network.in_sag[at(member)] == next) {
        return member;
      }
    }
    next = network.downstream[at(next)];
  }
  return -1;
}

std::vector<std::int32_t> ends_below_cuts(const Network& network) {
  std::vector<std::int32_t> ends;
  std::vector<bool> split(network.size(), false);  // second ways that were followed
  for (std::int32_t node = 0; node < count(network); ++node) {
    if (network.kind[at(node)] != NodeKind::Cut) {
      continue;
    }
    std::vector<std::int32_t> open = {node};
    while (!open.empty()) {
      std::int32_t end = open.back();
      open.pop_back();
      for (std::int32_t steps = 0; network.downstream[at(end)] >= 0 && steps < count(network); ++steps) {
        const street::SecondWay* second = street::second_way(network, at(end));
        if (second != nullptr && !split[at(end)]) open.push_back(second->to);
        split[at(end)] = split[at(end)] || second != nullptr;
        end = network.downstream[at(end)];
      }
      ends.push_back(end);
    }
  }
  std::sort(ends.begin(), ends.end());
  ends.erase(std::unique(ends.begin(), ends.end()), ends.end());
  return ends;
}

std::vector<std::vector<street::CornerEffect>> corner_effects(const RunFacts& facts) {
  const study::ChainModel& model = facts.preparation->model;
  return street::corner_effects(model.network, facts.preparation->maps.street.corners,
                                areas_arriving_m2(model), model.contribution.cell_area_m2);
}

double kept_m3(const study::NodeResult& cut) { return std::max(0.0, cut.captured_m3 - cut.over_rim_m3); }

std::optional<double> kept_by_second_m3(const study::StormComparison& storm, std::size_t node) {
  if (storm.by_second_relation.empty()) {
    return std::nullopt;
  }
  const study::OtherCapture& other = storm.by_second_relation[node];
  return std::max(0.0, other.captured_m3 - other.over_rim_m3);
}

StormSums sums_of(const RunFacts& facts, const study::StormComparison& storm) {
  const Network& network = network_of(facts);
  StormSums sums;
  std::vector<double> from_above_m3(network.size(), 0.0);
  std::vector<std::uint8_t> pond_counted(network.size(), 0);
  for (std::int32_t node = 0; node < count(network); ++node) {
    const std::size_t n = at(node);
    if (network.kind[n] != NodeKind::Cut) {
      continue;
    }
    // Cuts in one pond share the water that comes to it.
    const std::int32_t pond = network.in_sag[n];
    const bool again = pond >= 0 && pond_counted[at(pond)] != 0;
    if (pond >= 0) {
      pond_counted[at(pond)] = 1;
    }
    const double arriving_m3 = storm.base.nodes[n].arriving_m3;
    sums.reaching_m3 += again ? 0.0 : std::max(0.0, arriving_m3 - from_above_m3[n]);
    sums.taken_m3 += kept_m3(storm.with_cuts.nodes[n]);
    if (const std::optional<double> other_m3 = kept_by_second_m3(storm, n)) {
      sums.other_taken_m3 = sums.other_taken_m3.value_or(0.0) + *other_m3;
    }
    sums.over_rims_m3 += storm.with_cuts.nodes[n].over_rim_m3;
    sums.second_taken_m3 += n < storm.second.nodes.size() ? kept_m3(storm.second.nodes[n]) : 0.0;
    const std::int32_t below = next_cut(network, node);
    if (below >= 0 && !again) {
      from_above_m3[at(below)] += storm.base.nodes[pond >= 0 ? at(pond) : n].passed_on_m3;
    }
  }
  sums.ends = ends_below_cuts(network);
  sums.downstream = {sums.ends.size() == 1 ? sums.ends.front() : -1, peak_of_sum(storm.base, sums.ends),
                     peak_of_sum(storm.with_cuts, sums.ends)};
  for (std::int32_t node = 0; node < count(network); ++node) {
    const PeakChange change{node, storm.base.nodes[at(node)].peak_leaving_m3_s,
                            storm.with_cuts.nodes[at(node)].peak_leaving_m3_s};
    if (change.rises()) {
      sums.rises.push_back(change);
    }
  }
  return sums;
}

std::string node_words(const RunFacts& facts, std::int32_t node) {
  if (node < 0) {
    return "lots, lost to the street";
  }
  const Network& network = network_of(facts);
  const std::string& id = network.id[at(node)];
  switch (network.kind[at(node)]) {
    case NodeKind::Cut:
      return fmt::format("cut {}", id);
    case NodeKind::Basin:
      return fmt::format("existing basin {}", id);
    case NodeKind::Inlet:
      return fmt::format("drain inlet {}", id);
    case NodeKind::Sag:
      return id.rfind("sag-", 0) == 0 ? id : fmt::format("sag {}", id);
    case NodeKind::Outfall:
      return fmt::format("outfall {}", id);
    case NodeKind::Corner:
      return fmt::format("shared {}", id);
    case NodeKind::DataEdge:
      return "the edge of the data";
  }
  return id;
}

std::string place_words(const RunFacts& facts, std::int32_t node, Units units) {
  const street::SitePlace& place = facts.preparation->maps.street.places[at(node)];
  const std::string& words = units == Units::Us ? place.words_us : place.words_metric;
  const std::vector<std::string>& numbers = facts.preparation->maps.house_numbers;
  const std::string number = at(node) < numbers.size() ? numbers[at(node)] : std::string();
  if (!words.empty()) {
    return number.empty() ? words : fmt::format("{} (near number {})", words, number);
  }
  const base::Point p = network_of(facts).at[at(node)];
  return fmt::format("at {:.1f}, {:.1f} {}", p.x_m / facts.metres_per_unit, p.y_m / facts.metres_per_unit,
                     facts.crs_unit);
}

std::string when_full_words(const RunFacts& facts, std::int32_t node) {
  const study::ChainModel& model = facts.preparation->model;
  const study::BasinParams& basin = model.params[at(node)].basin;
  if (basin.rim_below_invert()) {
    const bool lost = basin.rim_to < 0 || model.network.kind[at(basin.rim_to)] == NodeKind::DataEdge;
    return lost ? "over its rim to lots, lost to the street"
                : fmt::format("over its rim onto the lot, toward {} (not counted there)",
                              node_words(facts, basin.rim_to));
  }
  const std::int32_t next = model.network.downstream[at(node)];
  return next < 0 ? "on down the gutter" : fmt::format("on to {}", node_words(facts, next));
}

std::string curb_origin_words(const RunFacts& facts, std::int32_t curb) {
  using street::CurbFrom;
  using street::WidthFrom;
  if (facts.inputs->curb_facts.empty()) {
    return "curb layer";
  }
  const street::CurbFacts& known = facts.inputs->curb_facts[at(curb)];
  switch (known.from) {
    case CurbFrom::Layer:
      return "curb layer";
    case CurbFrom::Pavement:
      return "edge of the pavement polygons";
    case CurbFrom::Centreline:
      break;
  }
  switch (known.width_from) {
    case WidthFrom::Line:
      return "centreline, width from its layer";
    case WidthFrom::Ground:
      return "centreline, width from the ground";
    case WidthFrom::Street:
      return "centreline, width from the street's other blocks";
    case WidthFrom::Class:
      break;
  }
  return "centreline, width by its class";
}

base::Notes all_notes(const RunFacts& facts) {
  base::Notes notes = facts.preparation->model.notes;
  for (const study::StormComparison& storm : *facts.storms) {
    const base::Notes::Entry& off = storm.base.notes.at(base::NoteId::PeakOffRational);
    if (off.count > 0) {
      notes.add(base::NoteId::PeakOffRational, off.worst, off.first_feature, off.count);
    }
    notes.merge(storm.with_cuts.notes);
  }
  return notes;
}

}  // namespace curbshed::report
