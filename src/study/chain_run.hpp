// The chain's time loop, group by group: what comes down a reach or over a side way waits as a series.
#pragma once

#include "study/chain_work.hpp"

namespace curbshed::study {

/// The time loop of one group.
class ChainRun {
 public:
  ChainRun(ChainWork& work, std::size_t group, DroppedWater& dropped, base::Notes& notes);

  void run();

 private:
  void step();
  void note_engaged();
  bool rests(std::size_t node) const;
  double collect(std::size_t node);
  double over_side_ways(std::size_t node, double volume_m3, double from_depth_m, double to_depth_m);
  double move_aside(std::size_t node, std::int32_t to, double volume_m3);
  void over_way(std::size_t node, std::int32_t way, double volume_m3);
  void add_to(std::vector<double>& series_m3, double volume_m3) const;
  void share_gutters(const PlannedPair& pair, double& first_m3, double& second_m3);
  void level_sags(const PlannedPair& pair);
  void step_pair(const PlannedPair& pair);
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
  const ChainPlan& plan_;
  const std::vector<std::uint8_t>& open_;
  const std::vector<NodeWater>& water_;
  const std::vector<water::DelaySplit>& delay_;
  std::vector<std::vector<double>>& reach_m3_;
  std::vector<double>& in_reach_m3_;
  std::vector<std::vector<double>>& way_m3_;
  std::vector<double>& reach_sent_m3_;
  std::vector<double>& way_sent_m3_;
  std::vector<std::vector<double>>& pipe_m3_;
  std::vector<double>& pipe_sent_m3_;
  const std::vector<std::int32_t>& first_above_;
  const std::vector<std::int32_t>& above_;
  std::vector<double>& aside_m3_;
  std::vector<double>& most_gutter_m3_;
  std::vector<double>& most_basin_m3_;
  std::vector<std::uint8_t>& engaged_;
  ChainState& state_;
  std::vector<ChainWork::Lost>& lost_;
  StormResult& result_;
  std::size_t begin_ = 0;  // of the group, in the plan's order
  std::size_t end_ = 0;
  std::vector<std::size_t> ponds_;  // sags of the group that have members
  base::Notes& notes_;
  std::size_t k_ = 0;
};

/// The chain on lateral inflow that is already known. Does not check the ledger: check_ledgers does. A run
/// that drops water takes one thread.
StormResult run_chain(const ChainModel& model, const EventReaches& reaches, const LateralInflow& lateral,
                      const Storm& storm, const std::vector<std::uint8_t>& open, const ChainState& start,
                      DroppedWater& dropped, base::Workers workers);

}  // namespace curbshed::study
