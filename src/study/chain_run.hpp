// The chain's time loop: one object a storm run.
#pragma once

#include "curbshed/water/reach.hpp"

#include "study/chain_plan.hpp"
#include "study/lateral_inflow.hpp"
#include "study/node_water.hpp"

namespace curbshed::study {

class ChainRun {
 public:
  ChainRun(const ChainModel& model, const EventReaches& reaches, const LateralInflow& lateral,
           const Storm& storm, const std::vector<std::uint8_t>& open, const ChainState& start,
           DroppedWater& dropped);

  void step(std::size_t k);
  /// Books what is still here, and hands the result over.
  StormResult finish();

 private:
  /// Terms of the whole system that a node's own ledger books otherwise.
  struct Lost {
    double over_curbs_m3 = 0.0;
    double left_m3 = 0.0;
    double into_inlets_m3 = 0.0;
  };

  void note_engaged();
  double collect(std::size_t node);
  double over_side_ways(std::size_t node, double volume_m3, double from_depth_m, double to_depth_m);
  void move_aside(std::size_t node, std::int32_t to, double volume_m3);
  void share_gutters(const PlannedPair& pair, double& first_m3, double& second_m3);
  void level_sags(const PlannedPair& pair);
  void finish_node(std::size_t node, double volume_m3);
  double through_cut(std::size_t node, double volume_m3, double depth_m);
  double through_inlet(std::size_t node, double volume_m3);
  void into_pipe(std::size_t node, double volume_m3);
  void book_basin(std::size_t node, const water::BasinStep& step);
  double over_sag_way_m3(const PlannedSideWay& way, double depth_m) const;
  void step_sag(std::size_t sag, double volume_m3);
  void book_member(std::size_t sag, std::size_t member, double pond_depth_m);
  void send_on(std::size_t node, double volume_m3);
  void gutter_depth(std::size_t node, double volume_m3);
  double pond_level_m(std::size_t sag) const;
  double above_bottom_m(std::size_t sag, double level_m) const;
  double taken_from_pond(std::size_t member, double pond_depth_m, water::BasinStep& basin) const;

  const ChainModel& model_;
  const LateralInflow& lateral_;
  const Storm& storm_;
  DroppedWater& dropped_;
  ChainPlan plan_;
  std::vector<std::uint8_t> open_;  // cuts that are open, inlets that are not blocked
  std::vector<NodeWater> water_;
  std::vector<water::DelaySplit> delay_;  // of the reach below
  std::vector<water::DelayLine> line_;
  std::vector<std::int32_t> first_above_;  // node n's reaches from above: above_[first_above_[n]] …
  std::vector<std::int32_t> above_;
  std::vector<double> aside_m3_;       // came by side ways, not yet used
  std::vector<std::uint8_t> engaged_;  // a sag's member that stands in its pond in this step
  ChainState state_;
  std::vector<Lost> lost_;
  StormResult result_;
  std::size_t k_ = 0;
};

/// The chain on lateral inflow that is already known. Does not check the ledger: check_ledgers does.
StormResult run_chain(const ChainModel& model, const EventReaches& reaches, const LateralInflow& lateral,
                      const Storm& storm, const std::vector<std::uint8_t>& open, const ChainState& start,
                      DroppedWater& dropped);

/// Throws BugError with the node when a ledger does not close.
void check_ledgers(const ChainModel& model, const StormResult& result);

}  // namespace curbshed::study
