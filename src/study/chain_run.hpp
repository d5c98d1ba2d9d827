// The chain's time loop, group by group: what comes down a reach or over a side way waits as a series.
#pragma once

#include "study/chain_work.hpp"

#include <limits>

namespace curbshed::study {

/// The time loop of one group.
class ChainRun {
 public:
  ChainRun(ChainWork& work, std::size_t group, DroppedWater& dropped, base::Notes& notes);

  void run();

 private:
  void step();
  bool stands_alone() const;
  void run_alone(std::size_t node);
  std::vector<double> collect_all(std::size_t node);
  void all_over_side_ways(std::size_t node, std::vector<double>& volume_m3);
  void all_through_cut(std::size_t node, std::vector<double>& volume_m3);
  void send_all_on(std::size_t node, const std::vector<double>& volume_m3);
  void note_engaged();
  bool rests(std::size_t node) const;
  double own_rain_m3(std::size_t node, std::size_t step) const;
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
  double through_basin(std::size_t node, double volume_m3, double offered_m3_s, double depth_m);
  double through_inlet(std::size_t node, double volume_m3);
  void into_pipe(std::size_t node, double volume_m3);
  void book_basin(std::size_t node, const water::BasinStep& step);
  double over_sag_way_m3(const PlannedSideWay& way, double depth_m) const;
  bool any_engaged(std::size_t sag) const;
  void step_sag(std::size_t sag, double volume_m3);
  void book_member(std::size_t sag, std::size_t member, double pond_depth_m);
  void send_on(std::size_t node, double volume_m3);
  void down_reach(double volume_m3, const water::DelaySplit& delay, std::vector<double>& series_m3,
                  double& stays_m3);
  void gutter_depth(std::size_t node, double volume_m3);
  double pond_level_m(std::size_t sag) const;
  double above_bottom_m(std::size_t sag, double level_m) const;
  double taken_from_pond(std::size_t member, double pond_depth_m, water::BasinStep& basin) const;

  static constexpr double kNoLimit_m = std::numeric_limits<double>::infinity();

  ChainWork& work_;
  DroppedWater& dropped_;
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
