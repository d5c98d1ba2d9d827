// The ground as basins: which pit each cell runs down to, and the lowest passes between them.
#pragma once

#include "curbshed/terrain/walls.hpp"

#include "terrain/tiles.hpp"

#include <bit>

namespace curbshed::terrain {

/// Heights as integers that compare alike. Never −0: heights and crests come in through plain().
inline constexpr std::uint32_t kSign = 0x80000000U;
inline std::uint32_t ordered(float height) {
  const auto bits = std::bit_cast<std::uint32_t>(height);
  return (bits & kSign) != 0 ? ~bits : bits | kSign;
}
inline float level_of(std::uint32_t key) {
  return std::bit_cast<float>((key & kSign) != 0 ? key & ~kSign : ~key);
}
/// Turns −0 into 0, so that equal levels have equal bits.
inline float plain(float height) { return height + 0.0F; }

/// Where the lowest neighbour of each cell is: 0-7 its bearing, or one of these.
inline constexpr std::uint8_t kPit = 8;       ///< no neighbour comes before this cell by (height, index)
inline constexpr std::uint8_t kWayOut = 9;    ///< a drain
inline constexpr std::uint8_t kInvalid = 10;  ///< no data
/// Steps between walled pairs are not looked at, walled either way.
Grid<std::uint8_t> lowest_neighbours(const Ground& ground, const Walls& walls,
                                     const Grid<std::uint8_t>& drains, const Tiling& tiling);

inline constexpr std::uint32_t kOutside = 0;  ///< label of what runs down to a drain, and of invalid cells

/// The label of a cell, kept in the bits of the level it will have: a raster of labels costs no memory.
inline std::uint32_t label_in(float level) { return std::bit_cast<std::uint32_t>(level); }

/// Labels every cell with the pit that it runs down to, tile by tile; a way that leaves its tile gets a label
/// of its own there. Result: for each label the one it is joined to, itself for pits. Throws InputError when
/// there are more labels than 31 bits count.
std::vector<std::uint32_t> label_basins(Grid<std::uint8_t> lowest, const Tiling& tiling, Grid<float>& labels);

/// Labels stay below it.
inline constexpr std::uint32_t kOneWay = 0x80000000U;

}  // namespace curbshed::terrain
