// The ground as light and shadow, for people to find their street on.
#pragma once

#include "curbshed/base/parallel.hpp"
#include "curbshed/terrain/grid.hpp"

namespace curbshed::terrain {

struct Hillshade {
  GridFrame frame;           ///< of the picture: coarser than the ground where that is wider than asked
  Grid<std::uint8_t> light;  ///< 0 dark … 255 bright, row by row; 255 where there is no ground
};

/// Light from the north-west at 45°, slopes by the 3 × 3 differences of Horn 1981 (Proc. IEEE 69(1):14-47),
/// heights taken `steeper` times. Cells are averaged in square blocks so that no side is longer than
/// `most_cells` (1 or more). Same bytes for any number of threads.
Hillshade hillshade(const Ground& ground, std::int64_t most_cells, double steeper, base::Workers workers);

}  // namespace curbshed::terrain
