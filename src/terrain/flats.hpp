// The way out of flats: directions of cells that have no lower neighbour.
#pragma once

#include "curbshed/terrain/levels.hpp"

namespace curbshed::terrain {

inline constexpr std::uint8_t kUndecided =
    255;  ///< on a flat: no permitted neighbour is lower, and it is no drain

/// The water surface and what lies under it.
struct Surface {
  const Ground& ground;
  const Grid<float>& levels;
  const Walls& walls;
  const Grid<std::uint8_t>& drains;

  const GridFrame& frame() const { return ground.frame; }
  /// A walled step is taken only when the water stands at its crest.
  bool over_wall(std::int64_t cell, int bearing) const {
    return !walls.walled(cell, bearing) || walls.crest_m(cell, bearing) <= levels[cell];
  }
  bool permitted(std::int64_t row, std::int64_t col, int bearing) const {
    const std::int64_t r = row + kRowStep[bearing];
    const std::int64_t c = col + kColStep[bearing];
    return frame().inside(r, c) && ground.valid.at(r, c) != 0 && over_wall(frame().index(row, col), bearing);
  }
};

/// Directions of the undecided cells: along the least cost to a way out of the flat, as flow_directions says.
void decide_flats(const Surface& surface, int threads, Grid<std::uint8_t>& directions);

}  // namespace curbshed::terrain
