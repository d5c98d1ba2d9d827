// The ground as basins: which pit each cell runs down to, and the lowest passes between them.
#pragma once

#include "curbshed/terrain/walls.hpp"

#include "terrain/tiles.hpp"

#include <bit>
#include <utility>

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

/// Finds the lowest neighbours row by row. Steps between walled pairs are not looked at, walled either way.
class LowestNeighbours {
 public:
  LowestNeighbours(const Ground& ground, const Walls& walls, const Grid<std::uint8_t>& drains);
  /// Of the cells from … to − 1 of a row; `lowest` is where the row's first cell goes.
  void find(std::int64_t row, std::int64_t from, std::int64_t to, std::uint8_t* lowest);

 private:
  void look_for_trouble(std::int64_t row, std::int64_t from, std::int64_t to);
  std::uint8_t find_with_care(std::int64_t cell) const;

  const Ground& ground_;
  const Walls& walls_;
  const Grid<std::uint8_t>& drains_;
  std::vector<std::uint8_t> odd_;     ///< column beside an invalid cell or a wall; one more on the left
  std::vector<std::uint8_t> needed_;  ///< which cells need a second look
  std::vector<std::int32_t> found_;
};
/// The same for a whole raster.
Grid<std::uint8_t> lowest_neighbours(const Ground& ground, const Walls& walls,
                                     const Grid<std::uint8_t>& drains, const Tiling& tiling);

inline constexpr std::uint32_t kOutside = 0;  ///< label of what runs down to a drain, and of invalid cells

/// The label of a cell, kept in the bits of the level it will have: a raster of labels costs no memory.
inline std::uint32_t label_in(float level) { return std::bit_cast<std::uint32_t>(level); }

/// A way that goes on beyond its tile.
struct Onward {
  std::uint32_t label = 0;
  std::int64_t cell = 0;  ///< the first beyond
};
/// Labels the cells of a tile with the pit that they run down to, from next_label on; a way that leaves the
/// tile gets a label of its own. `lowest`, which is changed, and `labels` are where the tile's first cell is
/// in arrays of `stride` cells a row; beyond cells are counted from the tile's first cell, `stride` a row.
/// Result: the next free label. Precondition: as many as count_labels says are free.
std::int64_t count_labels(const Tile& tile, std::uint8_t* lowest, std::int64_t stride);
std::uint32_t label_tile(const Tile& tile, std::uint8_t* lowest, std::int64_t stride,
                         std::uint32_t next_label, float* labels, std::vector<Onward>& onward);

/// Labels every cell tile by tile. Result: for each label the one it is joined to, itself for pits. Throws
/// InputError when there are more labels than 31 bits count.
std::vector<std::uint32_t> label_basins(Grid<std::uint8_t> lowest, const Tiling& tiling, Grid<float>& labels);

/// Joins each label with a way onward to label_at(cell beyond), then every chain to its end.
template <class LabelAt>
void join_onward(const std::vector<std::vector<Onward>>& onward, LabelAt label_at,
                 std::vector<std::uint32_t>& joined) {
  for (const auto& ways : onward) {
    for (const Onward& way : ways) joined[way.label] = label_at(way.cell);
  }
  // Every step goes down by (height, index), so these chains end.
  for (const auto& ways : onward) {
    for (const Onward& way : ways) {
      std::uint32_t end = way.label;
      while (joined[end] != end) end = joined[end];
      for (std::uint32_t at = way.label; at != end;) at = std::exchange(joined[at], end);
    }
  }
}

/// Labels stay below it.
inline constexpr std::uint32_t kOneWay = 0x80000000U;
void ensure_labels_fit(std::int64_t labels);

}  // namespace curbshed::terrain
