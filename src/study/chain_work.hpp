// What the time loops of a storm share.
#pragma once

#include "curbshed/water/reach.hpp"

#include "study/chain_plan.hpp"
#include "study/lateral_inflow.hpp"
#include "study/node_water.hpp"

namespace curbshed::study {

/// Everything that the time loops of one storm read and write, laid out once. A group writes its own nodes,
/// reaches and ways only, so that groups of one level may run at the same time.
struct ChainWork {
  /// Terms of the whole system that a node's own ledger books otherwise.
  struct Lost {
    double over_curbs_m3 = 0.0;
    double left_m3 = 0.0;
    double into_inlets_m3 = 0.0;
  };

  ChainWork(const ChainModel& model, const EventReaches& reaches, const LateralInflow& lateral,
            const Storm& storm, const std::vector<std::uint8_t>& open, const ChainState& start);
  /// Books what is still here, and hands the result over.
  StormResult finish();
  /// Opens or closes a cut as a storm is asked to; its water is worked out anew.
  void set_open(std::size_t node, std::uint8_t asked_open);

  const ChainModel& model;
  const LateralInflow& lateral;
  const Storm& storm;
  ChainPlan plan;
  bool keep_series = false;         // what came to a group stays, for another run of it
  std::vector<std::uint8_t> asked;  // as the storm was asked to open them
  std::vector<std::uint8_t> open;   // cuts that are open, inlets that are not blocked
  std::vector<NodeWater> water;
  std::vector<water::DelaySplit> delay;         // of the reach below
  std::vector<std::vector<double>> reach_m3;    // comes out of the reach below a node, by step
  std::vector<std::int32_t> second_of;          // index into the network's second ways; −1
  std::vector<water::DelaySplit> second_delay;  // one a second way, like those that follow
  std::vector<std::vector<double>> second_m3;   // comes out of it, by step
  std::vector<double> in_second_m3;             // in it after the last step
  std::vector<double> second_sent_m3;
  std::vector<std::int32_t> first_second_into;  // node n gets second ways second_into[first_second_into[n]] …
  std::vector<std::int32_t> second_into;
  std::vector<double> in_reach_m3;           // in the reach below a node after the last step
  std::vector<double> reach_sent_m3;         // into the reach below a node
  std::vector<double> way_sent_m3;           // over a planned way
  std::vector<std::vector<double>> pipe_m3;  // comes up from an inlet's pipe, by step; empty = nothing yet
  std::vector<double> pipe_sent_m3;
  std::vector<std::vector<double>> way_m3;  // over a planned way, by step; empty = nothing yet
  std::vector<std::int32_t> first_above;    // node n's reaches from above: above[first_above[n]] …
  std::vector<std::int32_t> above;
  std::vector<double> aside_m3;        // came into a pond from what stands in it, not yet used
  std::vector<double> most_gutter_m3;  // in one step
  std::vector<double> most_basin_m3;   // at the end of a step
  std::vector<double> stood_m3;        // a sag's water when it last stood with nothing leaving; −1
  std::vector<double> noted_m3;        // and when its members' engagement was last looked at; −1
  std::vector<std::uint8_t> engaged;   // a sag's member that stands in its pond in this step
  ChainState state;
  std::vector<Lost> lost;
  StormResult result;

 private:
  void add_node(std::size_t node, const EventReaches& reaches, const ChainState& start);
  void list_above();
  void list_second_ways(const EventReaches& reaches);
  void finish_node(std::size_t node);
};

/// Throws BugError with the node when a ledger does not close.
void check_ledgers(const ChainModel& model, const StormResult& result);

}  // namespace curbshed::study
