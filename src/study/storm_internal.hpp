// Parts of a storm run that tests look into. Not installed: users cannot reach the dropped litre.
#pragma once

#include "curbshed/study/storm.hpp"

#include <algorithm>
#include <cstdint>
#include <vector>

namespace curbshed::study {

/// Where water changes hands. Each has one place in the code, between the taking and the booking.
enum class Process : std::uint8_t {
  None, Loss, Lateral, Reach, Opening, Infiltration, Rim, MouthReturn, Sag, Inlet, SideWay, Outfall, Edge, kCount
};

/// Test seam: loses `litres` once in one process, so that a test can see the ledger miss exactly that.
class DroppedWater {
 public:
  DroppedWater() = default;
  DroppedWater(Process process, double litres) : process_(process), left_m3_(litres / 1000.0) {}
  double pass(Process process, double volume_m3) {
    if (process != process_ || left_m3_ <= 0.0) {
      return volume_m3;
    }
    const double taken = std::min(left_m3_, std::max(volume_m3, 0.0));
    left_m3_ -= taken;
    return volume_m3 - taken;
  }
  bool all_lost() const { return left_m3_ <= 0.0; }

 private:
  Process process_ = Process::None;
  double left_m3_ = 0.0;
};

/// Runoff of each node's own cells as it joins the gutter's flow at the node. The same with and without cuts.
struct LateralInflow {
  std::size_t nodes = 0;
  std::size_t steps = 0;
  std::vector<double> inflow_m3;      ///< [step · nodes + node]
  std::vector<double> rain_m3;        ///< one a node
  std::vector<double> lost_m3;        ///< one a node
  std::vector<double> runoff_m3;      ///< one a node: came off its cells
  std::vector<double> on_the_way_m3;  ///< one a node: run off, not yet at the node after the last step

  double at(std::size_t step, std::size_t node) const { return inflow_m3[step * nodes + node]; }
};

LateralInflow lateral_inflow(const ChainModel& model, const std::vector<double>& join_travel_s, const Storm& storm,
                             DroppedWater& dropped);

/// The chain on lateral inflow that is already known. Does not check the ledger: `check_ledgers` does.
StormResult run_chain(const ChainModel& model, const EventReaches& reaches, const LateralInflow& lateral, const Storm& storm,
                      const std::vector<std::uint8_t>& open, const ChainState& start, DroppedWater& dropped);

/// Throws BugError with the node when a ledger does not close.
void check_ledgers(const ChainModel& model, const StormResult& result);

/// Celerity-based travel from given reference flows (m3/s): of the reach below each node, of the join length above it.
EventReaches reaches_of(const ChainModel& model, const std::vector<double>& reach_flow, const std::vector<double>& join_flow);

/// What is left of `end` after `seconds` with no inflow.
ChainState drained(const ChainModel& model, const ChainState& end, double seconds);

/// Sizes agree, shares within 0 to 1, times positive: BugError or InputError otherwise.
void check(const ChainModel& model);
void check(const Storm& storm);

}  // namespace curbshed::study
