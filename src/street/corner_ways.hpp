// What the directions made of each corner.
#pragma once

#include "street/flow_lines.hpp"
#include "street/shared_corners.hpp"

namespace curbshed::street::detail {

/// Where the water goes once directions and receivers are known.
struct CornerWater {
  const terrain::Grid<std::uint8_t>& directions;
  const terrain::Grid<std::int32_t>& receiver_at;
  const terrain::Grid<std::int32_t>& first_receiver;
  const terrain::Grid<std::int64_t>& arriving;
};

/// One entry for each gutter whose water comes to a corner with another side, by corner. Throws InputError
/// where the water does not go as a corner point asks.
std::vector<Corner> decide_corners(const Scene& scene, const CornerPlaces& places, const CornerWater& water,
                                   const std::vector<FlowLine>& lines, const std::vector<CornerPoint>& points,
                                   const std::vector<std::int32_t>& corners_of_points,
                                   const std::vector<SharedCorner>& shared, const Draft& draft,
                                   base::Notes& notes);

}  // namespace curbshed::street::detail
