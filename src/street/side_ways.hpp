// Side ways: where water deeper than some depth leaves a gutter over its curb, a lip or the crown.
#pragma once

#include "street/crowns.hpp"

namespace curbshed::street::detail {

/// The lowest side way of each (from, kind, to), by (from, begins_depth_m, kind, to).
std::vector<SideWay> find_side_ways(const Scene& scene, const terrain::Grid<std::int32_t>& receiver_at,
                                    const terrain::Grid<std::int32_t>& first_receiver, const std::vector<Crown>& crowns,
                                    const Network& net);

}  // namespace curbshed::street::detail
