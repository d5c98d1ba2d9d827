// Walls on the edges between cells: one-way, with a crest height.
#pragma once

#include "curbshed/terrain/grid.hpp"

#include <bit>
#include <cstdint>
#include <vector>

namespace curbshed::terrain {

/// A directed pass from a cell to a neighbour that water takes only when it stands at the crest.
struct Crest {
  std::int64_t cell = 0;  ///< index in the whole raster
  std::uint8_t bearing = 0;
  float height_m = 0.0F;
};

/// Bit k of `bits` set: the step from this cell toward bearing k is walled. The opposite step is free unless
/// it has a bit of its own. Each set bit has one crest; their heights lie in the order of (cell, bearing),
/// and counts at every kBlock-th cell tell where.
struct Walls {
  static constexpr std::int64_t kBlock = 128;

  Grid<std::uint8_t> bits;  ///< same size as the ground; empty = no walls at all
  std::vector<float> crest_heights_m;
  std::vector<std::int64_t> crests_before;  ///< crests before each block of cells

  bool walled(std::int64_t cell, int bearing) const {
    return !bits.empty() && ((static_cast<unsigned>(bits[cell]) >> bearing) & 1U) != 0;
  }
  /// Crest of a walled step. Precondition: walled(cell, bearing).
  float crest_m(std::int64_t cell, int bearing) const;

  std::int64_t crest_count() const { return static_cast<std::int64_t>(crest_heights_m.size()); }
  /// Calls body(crest) for each crest of the cells first … last − 1, in the order of (cell, bearing).
  template <class Body>
  void each_crest(std::int64_t first, std::int64_t last, Body body) const {
    if (crest_heights_m.empty()) return;
    std::int64_t crest = first < last ? place_of(first) : 0;
    for (std::int64_t cell = first; cell < last; ++cell) {
      for (unsigned left = bits[cell]; left != 0; left &= left - 1) {
        const auto bearing = static_cast<std::uint8_t>(std::countr_zero(left));
        body(Crest{cell, bearing, crest_heights_m[static_cast<std::size_t>(crest++)]});
      }
    }
  }
  std::vector<Crest> crests() const;

 private:
  /// Crests before a cell's own.
  std::int64_t place_of(std::int64_t cell) const;
};

/// Sorts the crests, keeps the LOWEST crest of each (cell, bearing), and sets the bits. rows × cols as the
/// ground. Crests that lead out of the raster are dropped.
Walls make_walls(std::int64_t rows, std::int64_t cols, std::vector<Crest> crests);

}  // namespace curbshed::terrain
