// The order of the chain: the one unit with a graph library behind it.
#pragma once

#include "street/draft.hpp"

namespace curbshed::street::detail {

struct ChainOrder {
  std::vector<std::int32_t> nodes;  ///< provisional numbers in chain order, the edge of the data last
  std::vector<SideWay> side_ways;   ///< those kept
  std::vector<SideWay> dropped;     ///< those by which water would have run in a circle
  std::vector<std::array<std::int32_t, 2>> pond_pairs;  ///< provisional numbers, lower first
};

/// A node comes before its downstream node, its side ways' nodes and what stands in its pond; ties to the
/// lower provisional number. Two nodes that overflow into each other over a crown, both sags or neither, none
/// downstream of the other, are a pond pair and stand next to each other. In any larger circle the side way
/// that begins at the greatest depth is dropped until none is left. Throws BugError that names the nodes when
/// ordinary ways alone run in a circle.
ChainOrder order_chain(const Network& net);

}  // namespace curbshed::street::detail
