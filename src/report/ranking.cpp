#include "curbshed/report/ranking.hpp"

#include <algorithm>
#include <tuple>

namespace curbshed::report {
namespace {

/// The lesser of the two published relations, where a cut is shorter than the flume tests.
double surely_kept_m3(const study::StormComparison& storm, std::size_t node) {
  const double kept = kept_m3(storm.with_cuts.nodes[node]);
  return std::min(kept, kept_by_second_m3(storm, node).value_or(kept));
}

}  // namespace

std::vector<std::int32_t> ranked_cuts(const RunFacts& facts) {
  const street::Network& network = facts.preparation->model.network;
  const auto common =
      std::find_if(facts.storms->begin(), facts.storms->end(),
                   [](const study::StormComparison& one) { return one.storm.id == "common"; });
  std::vector<std::int32_t> cuts;
  for (std::size_t node = 0; node < network.size(); ++node) {
    if (network.kind[node] == street::NodeKind::Cut) {
      cuts.push_back(static_cast<std::int32_t>(node));
    }
  }
  const auto rank = [&](std::int32_t node) {
    const double water_m3 = facts.year != nullptr ? facts.year->year_m3[static_cast<std::size_t>(node)]
                            : common != facts.storms->end()
                                ? surely_kept_m3(*common, static_cast<std::size_t>(node))
                                : 0.0;
    return std::tuple(-water_m3, network.id[static_cast<std::size_t>(node)]);
  };
  std::sort(cuts.begin(), cuts.end(), [&](std::int32_t a, std::int32_t b) { return rank(a) < rank(b); });
  return cuts;
}

}  // namespace curbshed::report
