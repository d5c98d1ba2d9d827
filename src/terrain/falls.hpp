// The facet rule for a whole row at once, where nothing stands in the way.
#pragma once

#include "terrain/flats.hpp"
#include "terrain/tiles.hpp"

#include <cstdint>

namespace curbshed::terrain {

/// Multiples of the golden ratio, as fractions of 2^64: spread more evenly over [0, 1) than the multiples of
/// any other number, so every run of steps takes its share of diagonals.
inline std::uint64_t golden_turn(std::int64_t k) {
  return static_cast<std::uint64_t>(k) * 0x9E3779B97F4A7C15U;  // (golden ratio − 1) · 2^64
}
inline constexpr double kTwo64 = 18446744073709551616.0;

inline constexpr std::int32_t kLookAgain = 254;  ///< a tie, or too near to one to tell here

/// Directions by fall of cells from … to − 1 of a row whose neighbours are all permitted: 0-7, kStops where
/// none is lower, or kLookAgain. `level` points to the row's first cell; col_turn[c] = golden_turn(c) and
/// row_turn = golden_turn(row) as numbers.
void find_falls(const float* level, std::int64_t cols, std::int64_t from, std::int64_t to,
                const double* col_turn, double row_turn, std::int32_t* directions);

/// Directions of a tile by the facet rule, kUndecided on flats.
void decide_falls(const Surface& surface, const Tile& tile, Grid<std::uint8_t>& directions);

}  // namespace curbshed::terrain
