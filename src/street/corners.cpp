#include "curbshed/street/corners.hpp"

#include "curbshed/street/network.hpp"

#include <algorithm>
#include <cmath>

namespace curbshed::street {

namespace {

/// 1 at a node and at all nodes below it, cuts and inlets in a sag included.
std::vector<std::uint8_t> below(const Network& network, std::int32_t node) {
  std::vector<std::uint8_t> marked(network.size(), 0);
  for (std::size_t guard = 0; node >= 0 && guard <= network.size(); ++guard) {
    marked[static_cast<std::size_t>(node)] = 1;
    node = network.downstream[static_cast<std::size_t>(node)];
  }
  for (std::size_t n = 0; n < network.size(); ++n) {
    if (network.in_sag[n] >= 0 && marked[static_cast<std::size_t>(network.in_sag[n])] != 0) marked[n] = 1;
  }
  return marked;
}

}  // namespace

std::vector<std::vector<CornerEffect>> corner_effects(const Network& network,
                                                      const std::vector<Corner>& corners,
                                                      const std::vector<double>& areas_m2,
                                                      double cell_area_m2) {
  std::vector<std::vector<CornerEffect>> effects(network.size());
  for (std::size_t c = 0; c < corners.size(); ++c) {
    const Corner& corner = corners[c];
    if (!corner.uncertain) continue;
    double moved_m2 = static_cast<double>(corner.cells) * cell_area_m2;
    for (const std::int32_t n : corner.passed) moved_m2 += areas_m2[static_cast<std::size_t>(n)];
    const std::vector<std::uint8_t> if_turns = below(network, corner.to_turn);
    const std::vector<std::uint8_t> if_crosses = below(network, corner.to_cross);
    for (std::size_t n = 0; n < network.size(); ++n) {
      if (if_turns[n] == if_crosses[n]) continue;
      const double here = if_turns[n] != 0 ? corner.turns_share : 1.0 - corner.turns_share;
      const double without = areas_m2[n] - moved_m2 * here;
      const double with = areas_m2[n] + moved_m2 * (1.0 - here);
      effects[n].push_back({static_cast<std::int32_t>(c), if_turns[n] != 0 ? with : without,
                            if_turns[n] != 0 ? without : with});
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
