#include "curbshed/siting/measures.hpp"

#include "curbshed/base/error.hpp"

#include "siting/measure_parts.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

using base::Point;

/// Areas of pavement and roofs that arrive at each node.
std::vector<double> paved_areas(const study::ChainModel& model) {
  study::ChainModel paved;
  paved.network = model.network;
  paved.contribution = model.contribution;
  for (street::ContributionEntry& entry : paved.contribution.entries) {
    if (!model.loss_classes[entry.loss_class].paved) entry.cells = 0;
  }
  for (street::PlaceEntry& place : paved.contribution.places) {
    if (!model.loss_classes[place.loss_class].paved) place.cells = 0;
  }
  for (street::RoofEntry& roof : paved.contribution.roofs) {
    if (!model.loss_classes[roof.loss_class].paved) roof.cells = 0;
  }
  return study::areas_arriving_m2(paved);
}

std::vector<const terrain::CurbLine*> gaps_of(const std::vector<terrain::CurbLine>& curbs) {
  std::vector<const terrain::CurbLine*> gaps;
  for (const terrain::CurbLine& curb : curbs) {
    if (curb.kind == terrain::CurbKind::Gap && curb.line.size() > 1) gaps.push_back(&curb);
  }
  return gaps;
}

std::vector<base::Box> boxes_of(const std::vector<const terrain::CurbLine*>& curbs) {
  std::vector<base::Box> boxes(curbs.size());
  for (std::size_t i = 0; i < curbs.size(); ++i) {
    for (const Point p : curbs[i]->line) boxes[i].add(p);
  }
  return boxes;
}

}  // namespace

Survey::Survey(const MeasureInputs& inputs)
    : in(inputs),
      around(inputs.inputs->surroundings),
      areas_m2(study::areas_arriving_m2(inputs.preparation->model)),
      paved_areas_m2(paved_areas(inputs.preparation->model)),
      gaps(gaps_of(inputs.inputs->curbs)),
      gap_index(boxes_of(gaps)) {}

SiteFrame::SiteFrame(const Survey& survey, std::int32_t node_number)
    : node(static_cast<std::size_t>(node_number)) {
  const street::Network& network = survey.network();
  at = network.at[node];
  behind = network.behind[node];
  along = {behind.y_m, -behind.x_m};
  footprint = &survey.in.preparation->maps.basins[node];
  base::ensure(street::has_basin(network.kind[node]) && !footprint->rings.empty(),
               "a site has a basin with a place");
  double near_m = 0.0;
  double far_m = 0.0;
  bool first = true;
  for (const Point p : footprint->rings.front()) {
    const double x = p.x_m - at.x_m;
    const double y = p.y_m - at.y_m;
    const double on_m = x * along.x_m + y * along.y_m;
    const double off_m = x * behind.x_m + y * behind.y_m;
    from_m = first ? on_m : std::min(from_m, on_m);
    to_m = first ? on_m : std::max(to_m, on_m);
    near_m = first ? off_m : std::min(near_m, off_m);
    far_m = first ? off_m : std::max(far_m, off_m);
    first = false;
  }
  width_m = far_m - near_m;
  setback_m = near_m;
  // The settings' own number, where the rectangle was made from it: no rounding of large coordinates.
  const std::int32_t number = network.site[node];
  const auto& overrides = survey.in.inputs->overrides;
  const study::BasinSettings& usual = survey.in.settings->basin;
  const double told_m = number < 0 || overrides.empty()
                            ? usual.setback_m
                            : overrides[static_cast<std::size_t>(number)].setback_m.value_or(usual.setback_m);
  constexpr double kRounding_m = 1e-6;
  if (std::abs(told_m - setback_m) < kRounding_m) setback_m = told_m;
}

Point SiteFrame::point(double along_m, double behind_m) const {
  return {at.x_m + along_m * along.x_m + behind_m * behind.x_m,
          at.y_m + along_m * along.y_m + behind_m * behind.y_m};
}

std::string with_unit(const RuleSet& rules, RuleId id, double value_si) {
  const Rule& rule = rules.at(id);
  return fmt::format("{} {}", in_rule_unit(rule, value_si), rule.unit);
}

std::vector<SiteMeasures> measure_sites(const MeasureInputs& in, const std::vector<std::int32_t>& nodes,
                                        base::Workers workers) {
  const Survey survey(in);
  std::vector<SiteMeasures> sites(nodes.size());
  const auto count = static_cast<std::int64_t>(nodes.size());
  base::parallel_stripes(count, std::clamp<std::int64_t>(count, 1, 64), workers,
                         [&](std::int64_t begin, std::int64_t end) {
                           for (std::int64_t i = begin; i < end; ++i) {
                             const auto n = static_cast<std::size_t>(i);
                             const SiteFrame frame(survey, nodes[n]);
                             measure_street(survey, frame, sites[n]);
                             measure_basin(survey, frame, sites[n]);
                             measure_room(survey, frame, sites[n]);
                             measure_soil(survey, frame, sites[n]);
                             measure_around(survey, frame, sites[n]);
                             measure_traffic(survey, frame, sites[n]);
                           }
                         });
  return sites;
}

std::vector<std::int32_t> cut_nodes(const street::Network& network) {
  std::vector<std::int32_t> nodes;
  for (std::size_t n = 0; n < network.size(); ++n) {
    if (network.kind[n] == street::NodeKind::Cut) nodes.push_back(static_cast<std::int32_t>(n));
  }
  return nodes;
}

Screening screen_cuts(const MeasureInputs& in, base::Workers workers) {
  std::vector<std::int32_t> nodes = cut_nodes(in.preparation->model.network);
  std::vector<SiteMeasures> sites = measure_sites(in, nodes, workers);
  return screen(*in.rules, std::move(nodes), std::move(sites));
}

}  // namespace curbshed::siting
