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
  std::int64_t row0 = 0;  ///< of the ground's first row in the whole raster

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

/// Cost of a step on a flat is the length of its bearing times the resistance of the cell that it leaves.
/// Deep water is the easier way, as it is for a real pond that empties: so a pond in a gutter drains along
/// the gutter.
std::uint64_t resistance(const Surface& surface, std::int64_t cell);
constexpr std::uint64_t length_of(int bearing) { return bearing % 2 == 0 ? 5 : 7; }

/// Directions of the undecided cells: along the least cost to a way out of the flat, as flow_directions says.
void decide_flats(const Surface& surface, int threads, Grid<std::uint8_t>& directions);

}  // namespace curbshed::terrain
