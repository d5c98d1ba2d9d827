// What a set of cuts is worth, and what no set can be worth more than.
#pragma once

#include "curbshed/siting/choice.hpp"
#include "curbshed/study/storm_trials.hpp"

#include <cstdint>
#include <memory>
#include <vector>

namespace curbshed::siting {

/// What counts, in one storm.
struct StormAim {
  double per_captured_m3 = 1.0;             ///< worth of a cubic metre that basins keep
  std::vector<double> weights = {};         ///< of what a node's basin keeps, one a node; empty = 1
  double per_peak_m3_s = 0.0;               ///< worth of a cubic metre a second less at the outfalls' peaks
  std::vector<std::int32_t> outfalls = {};  ///< nodes
};

/// Worth over the base case of the open cuts at `nodes`, one a site. Basins that are there already count:
/// what a new one takes from them is no gain. `model` must outlive it. Throws BugError for a node that is no
/// cut.
std::unique_ptr<PlanValue> storm_value(const study::ChainModel& model, const study::Storm& storm,
                                       std::vector<std::int32_t> nodes, StormAim aim,
                                       base::Workers workers = {});

}  // namespace curbshed::siting
