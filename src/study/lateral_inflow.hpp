// Runoff of the cells, as it reaches the gutter at each node.
#pragma once

#include "curbshed/base/parallel.hpp"
#include "curbshed/study/storm.hpp"

#include "study/dropped_water.hpp"

#include <vector>

namespace curbshed::study {

/// Runoff of each node's own cells as it joins the gutter's flow at the node. The same with and without cuts.
struct LateralInflow {
  std::size_t nodes = 0;
  std::size_t steps = 0;
  std::vector<double> inflow_m3;      ///< [node · steps + step]
  std::vector<double> rain_m3;        ///< one a node
  std::vector<double> lost_m3;        ///< one a node
  std::vector<double> runoff_m3;      ///< one a node: came off its cells
  std::vector<double> on_the_way_m3;  ///< one a node: run off, not yet at the node after the last step

  double at(std::size_t step, std::size_t node) const { return inflow_m3[node * steps + step]; }
};

/// A run that drops water takes one thread.
LateralInflow lateral_inflow(const ChainModel& model, const std::vector<double>& join_travel_s,
                             const Storm& storm, DroppedWater& dropped, base::Workers workers);

}  // namespace curbshed::study
