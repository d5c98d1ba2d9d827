#include "curbshed/street/corners.hpp"

#include "curbshed/street/network.hpp"

#include <algorithm>
#include <cmath>

namespace curbshed::street {

namespace {

/// Share of a node's water that comes to each node below it, cuts and inlets in a sag included.
std::vector<double> below(const Network& network, std::int32_t node) {
  std::vector<double> share(network.size(), 0.0);
  if (node < 0) return share;
  share[static_cast<std::size_t>(node)] = 1.0;
  const auto first = static_cast<std::size_t>(node);
  for (std::size_t n = first; n < network.size(); ++n) {  // chain order
    if (share[n] > 0.0)
      each_way_down(network, n, [&](const WayDown& way) { share[way.to] += share[n] * way.share; });
  }
  for (std::size_t n = 0; n < network.size(); ++n) {
    if (network.in_sag[n] >= 0) share[n] = share[static_cast<std::size_t>(network.in_sag[n])];
  }
  return share;
}

}  // namespace

double area_through_m2(const Corner& corner, const std::vector<double>& areas_m2, double cell_area_m2) {
  double area_m2 = static_cast<double>(corner.cells) * cell_area_m2;
  for (const PassedNode& passed : corner.passed)
    area_m2 += passed.share * areas_m2[static_cast<std::size_t>(passed.node)];
  return area_m2;
}

std::vector<std::vector<CornerEffect>> corner_effects(const Network& network,
                                                      const std::vector<Corner>& corners,
                                                      const std::vector<double>& areas_m2,
                                                      double cell_area_m2) {
  std::vector<std::vector<CornerEffect>> effects(network.size());
  for (std::size_t c = 0; c < corners.size(); ++c) {
    const Corner& corner = corners[c];
    if (!corner.uncertain) continue;
    const double moved_m2 = area_through_m2(corner, areas_m2, cell_area_m2);
    const std::vector<double> if_turns = below(network, corner.to_turn);
    const std::vector<double> if_crosses = below(network, corner.to_cross);
    for (std::size_t n = 0; n < network.size(); ++n) {
      if (if_turns[n] == if_crosses[n]) continue;
      const double here = if_turns[n] * corner.turns_share + if_crosses[n] * (1.0 - corner.turns_share);
      effects[n].push_back({static_cast<std::int32_t>(c), areas_m2[n] + moved_m2 * (if_turns[n] - here),
                            areas_m2[n] + moved_m2 * (if_crosses[n] - here)});
    }
  }
  for (std::vector<CornerEffect>& all : effects) {
    std::stable_sort(all.begin(), all.end(), [](const CornerEffect& a, const CornerEffect& b) {
      return std::fabs(a.area_if_turns_m2 - a.area_if_crosses_m2) >
             std::fabs(b.area_if_turns_m2 - b.area_if_crosses_m2);
    });
  }
  return effects;
}

}  // namespace curbshed::street
