// What a storm run looks up at every step, laid out once before the time loop.
#pragma once

#include "curbshed/study/storm.hpp"

#include <cstdint>
#include <vector>

namespace curbshed::study {

/// A way out above a depth, from one node.
struct PlannedSideWay {
  std::int32_t to = -1;
  double begins_depth_m = 0.0;
  double begins_flow_m3_s = 0.0;  ///< gutter flow at that depth
  bool pair = false;              ///< shared with the pair's other node: not passed one way
};

/// Two nodes that overflow into each other.
struct PlannedPair {
  std::int32_t first = -1;
  std::int32_t second = -1;
  double first_flow_m3_s = 0.0;  ///< gutter flow of each at its crown depth
  double second_flow_m3_s = 0.0;
  double first_depth_m = 0.0;
  double second_depth_m = 0.0;
};

/// Volume that goes over the crown in a step, negative = to the first. What one gutter cannot carry under the
/// crown fills what the other has to spare; what is left over both then stands on both, so that each carries
/// the same multiple of its flow at the crown.
double moved_to_second_m3(const PlannedPair& pair, double first_m3, double second_m3, double step_s);

struct ChainPlan {
  /// Nodes by level, then group, and from upstream to downstream within a group; pairs stand together.
  std::vector<std::int32_t> order;
  /// Group g holds order[first_in_group[g]] to order[first_in_group[g + 1]]. What happens in a group never
  /// asks for what happens further on: a node by itself, a pair, a pond with all that stands in it.
  std::vector<std::int32_t> first_in_group;
  /// Level l holds groups first_in_level[l] to first_in_level[l + 1]: they ask for lower levels only.
  std::vector<std::int32_t> first_in_level;
  std::vector<std::int32_t> pair_of;  ///< index into pairs; −1
  std::vector<PlannedPair> pairs;
  std::vector<std::int32_t> first_way;     ///< node n owns ways [first_way[n], first_way[n + 1])
  std::vector<PlannedSideWay> ways;        ///< by (from, begins_depth)
  std::vector<std::int32_t> first_into;    ///< node n gets ways into[first_into[n]] …, pairs' left out
  std::vector<std::int32_t> into;          ///< indices into ways
  std::vector<std::int32_t> first_pipe;    ///< node n gets pipes[first_pipe[n]] …
  std::vector<std::int32_t> pipes;         ///< inlets whose water comes up again
  std::vector<std::int32_t> first_member;  ///< sag n owns members [first_member[n], first_member[n + 1])
  std::vector<std::int32_t> members;
  base::Notes notes;
};

/// Pairs whose nodes cannot stand together (each would have to wait for the other's downstream nodes) are
/// taken apart: the later node's way back is left out (note SideWayDropped). So is any way to a node earlier
/// in the order.
ChainPlan plan_chain(const ChainModel& model);

}  // namespace curbshed::study
