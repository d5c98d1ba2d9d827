// Runoff of the cells, as it reaches the gutter at each node.
#pragma once

#include "curbshed/base/parallel.hpp"
#include "curbshed/study/storm.hpp"

#include "study/dropped_water.hpp"

#include <vector>

namespace curbshed::study {

/// Runoff of each node's own cells as it joins the gutter's flow at the node. The same with and without cuts,
/// but for the few cells under basins.
struct LateralInflow {
  std::size_t nodes = 0;
  std::size_t steps = 0;
  std::vector<double> inflow_m3;      ///< [node · steps + step]
  std::vector<double> rain_m3;        ///< one a node
  std::vector<double> lost_m3;        ///< one a node
  std::vector<double> runoff_m3;      ///< one a node: came off its cells
  std::vector<double> on_the_way_m3;  ///< one a node: run off, not yet at the node after the last step

  /// Terms of the tanks' shares at a node.
  struct OnLots {
    double at_start_m3 = 0.0;
    double screened_m3 = 0.0;
    double flushed_m3 = 0.0;
    double used_m3 = 0.0;
    double soaked_m3 = 0.0;
    double in_tanks_m3 = 0.0;
    double in_basins_m3 = 0.0;
  };
  std::vector<OnLots> on_lots;          ///< one a node; empty without tanks
  std::vector<LotResult> lots;          ///< one a tank; empty without tanks
  std::vector<water::TankState> tanks;  ///< one a tank, after the last step

  double at(std::size_t step, std::size_t node) const { return inflow_m3[node * steps + step]; }
};

/// tanks: as they stand at the start, one a tank of the model; empty leaves them out (roofs then run off as
/// all others). open: one a node, 1 where a basin lies open, so that the ground under it gives no runoff;
/// empty = none. A run that drops water takes one thread.
LateralInflow lateral_inflow(const ChainModel& model, const std::vector<double>& join_travel_s,
                             const Storm& storm, const std::vector<water::TankState>& tanks,
                             DroppedWater& dropped, base::Workers workers,
                             const std::vector<std::uint8_t>& open = {});
/// With the tanks of empty_state.
LateralInflow lateral_inflow(const ChainModel& model, const std::vector<double>& join_travel_s,
                             const Storm& storm, DroppedWater& dropped, base::Workers workers,
                             const std::vector<std::uint8_t>& open = {});

}  // namespace curbshed::study
