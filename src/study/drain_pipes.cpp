#include "study/drain_pipes.hpp"

#include "curbshed/base/error.hpp"

#include "study/basin_sites.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::study {
namespace {

using street::NodeKind;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

/// Node that water reaches first from here; −1 on no known ground.
std::int32_t first_node(const StudyInputs& inputs, double snap_m, const StationBins& stations,
                        const street::StreetModel& street, base::Point p) {
  std::int64_t cell = inputs.ground.frame.cell_at(p);
  double best_m = snap_m;
  for (const terrain::CurbStation* s : stations.near(p, snap_m)) {
    const double off_m = base::distance_m(s->at, p);
    if (s->gutter_cell >= 0 && street.first_receiver[s->gutter_cell] >= 0 && off_m < best_m) {
      best_m = off_m;
      cell = s->gutter_cell;
    }
  }
  return cell < 0 ? -1 : street.first_receiver[cell];
}

/// Whether water that comes to `from` can come to `to`: down the gutter, into a pond, over the side, by
/// pipes.
bool leads_to(const ChainModel& model, std::int32_t from, std::int32_t to) {
  const street::Network& network = model.network;
  std::vector<std::uint8_t> seen(network.size(), 0);
  std::vector<std::int32_t> open = {from};
  const auto go = [&](std::int32_t next) {
    if (next >= 0 && seen[at(next)] == 0) {
      seen[at(next)] = 1;
      open.push_back(next);
    }
  };
  go(from);
  while (!open.empty()) {
    const std::int32_t node = open.back();
    open.pop_back();
    if (node == to) {
      return true;
    }
    street::each_way_down(network, at(node),
                          [&](const street::WayDown& way) { go(static_cast<std::int32_t>(way.to)); });
    go(network.in_sag[at(node)]);
    go(model.params[at(node)].pipe_to);
    for (std::size_t n = 0; network.kind[at(node)] == NodeKind::Sag && n < network.size(); ++n) {
      if (network.in_sag[n] == node) {
        go(static_cast<std::int32_t>(n));  // what stands in a pond drains it
      }
    }
    const auto from_node = [](const street::SideWay& way, std::int32_t n) { return way.from < n; };
    const auto end = network.side_ways.end();
    for (auto way = std::lower_bound(network.side_ways.begin(), end, node, from_node);
         way != end && way->from == node; ++way) {
      go(way->to);
    }
  }
  return false;
}

}  // namespace

void lead_pipes(const StudyInputs& inputs, double snap_m, const MapProducts& maps, ChainModel& model) {
  const street::Network& network = model.network;
  std::optional<StationBins> stations;
  for (std::size_t node = 0; node < network.size(); ++node) {
    if (network.kind[node] != NodeKind::Inlet || network.site[node] < 0 || inputs.overrides.empty()) {
      continue;
    }
    const InletInput& inlet = inputs.overrides[at(network.site[node])].inlet;
    if (!inlet.outlet_at) {
      continue;
    }
    if (!stations) {
      stations.emplace(maps.curbs);
    }
    const base::Where where{"", inputs.sites[at(network.site[node])].source, network.id[node]};
    const std::int32_t to = first_node(inputs, snap_m, *stations, maps.street, *inlet.outlet_at);
    if (to < 0) {
      throw base::InputError(where, fmt::format("its outlet {} lies on no known ground", inlet.outlet),
                             "a place on the elevation model, where it has a height",
                             "move the outlet, or leave it out: the water is then gone");
    }
    if (leads_to(model, to, static_cast<std::int32_t>(node))) {
      throw base::InputError(
          where, fmt::format("water that comes up at its outlet {} runs to this inlet again", inlet.outlet),
          "an outlet below the inlet", "check which outlet is whose, and where it lies");
    }
    model.params[node].pipe_to = to;
  }
}

}  // namespace curbshed::study
