// Basins as a graph: the lowest passes between them and the levels at which they spill.
#pragma once

#include "terrain/basins.hpp"

namespace curbshed::terrain {

/// A step between cells of different labels. Both ways, unless kOneWay is set in `from`.
struct Pass {
  std::uint32_t from = 0;
  std::uint32_t to = 0;
  std::uint32_t key = 0;  ///< ordered(highest of both cells and the crest)
};
/// The lowest pass between each two neighbouring labels, some of them more than once, in no order.
std::vector<Pass> lowest_passes(const Ground& ground, const Walls& walls, const Grid<float>& labels,
                                int threads);

/// For each label the least, over the chains of passes to the outside, of their highest pass; −∞ outside.
std::vector<float> spill_levels(std::vector<Pass> passes, const std::vector<std::uint32_t>& joined);

}  // namespace curbshed::terrain
