// Side ways: where water deeper than some depth leaves a gutter over its curb, a lip or the crown.
#pragma once

#include "street/crowns.hpp"

#include <functional>

namespace curbshed::street::detail {

/// The surface that water follows.
struct WaterSurface {
  const terrain::Grid<float>& levels_m;  ///< on the lowered ground
  const terrain::Grid<std::uint8_t>& directions;
  const terrain::Grid<std::int32_t>& receiver_at;
  const terrain::Grid<std::int32_t>& first_receiver;
  const terrain::Grid<std::int64_t>& arriving;
  const std::function<bool(std::int64_t)>& meets_gutter;  ///< whether a cell's way down meets a gutter cell
};

/// The lowest side way of each (from, kind, to), by (from, begins_depth_m, kind, to). On a grade only
/// stations that at least half of the node's water passes are looked at: the depth is compared with that of
/// the whole flow. Ways that lead back into the node's own line are left out and noted.
std::vector<SideWay> find_side_ways(const Scene& scene, const WaterSurface& water,
                                    const std::vector<Crown>& crowns, const Network& net, base::Notes& notes);

}  // namespace curbshed::street::detail
