// Travel in the reaches from given reference flows.
#pragma once

#include "curbshed/study/storm.hpp"

#include <vector>

namespace curbshed::study {

/// m3/s, one a node: of the reach below it, and of the join length above it. Flows under 0.01 L/s count as
/// that.
struct ReferenceFlows {
  std::vector<double> reach;
  std::vector<double> second;  ///< one a second way of the network
  std::vector<double> join;
};
EventReaches reaches_of(const ChainModel& model, const ReferenceFlows& flows);

}  // namespace curbshed::study
