// Walls on the edges between cells: one-way, with a crest height.
#pragma once

#include "curbshed/terrain/grid.hpp"

#include <cstdint>
#include <vector>

namespace curbshed::terrain {

/// A directed pass from a cell to a neighbour that water takes only when it stands at the crest.
struct Crest {
  std::int64_t cell = 0;  ///< index in the whole raster
  std::uint8_t bearing = 0;
  float height_m = 0.0F;
};

/// Bit k of `bits` set: the step from this cell toward bearing k is walled. The crests are sorted by (cell,
/// bearing), one for each set bit. The opposite step is free unless it has a bit of its own.
struct Walls {
  Grid<std::uint8_t> bits;  ///< same size as the ground; empty = no walls at all
  std::vector<Crest> crests;

  bool walled(std::int64_t cell, int bearing) const {
    return !bits.empty() && ((static_cast<unsigned>(bits[cell]) >> bearing) & 1U) != 0;
  }
  /// Crest of a walled step. Precondition: walled(cell, bearing).
  float crest_m(std::int64_t cell, int bearing) const;
};

/// Sorts the crests, keeps the LOWEST crest of each (cell, bearing), and sets the bits. rows × cols as the
/// ground. Crests that lead out of the raster are dropped.
Walls make_walls(std::int64_t rows, std::int64_t cols, std::vector<Crest> crests);

}  // namespace curbshed::terrain
