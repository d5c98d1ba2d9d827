#include "terrain/basins.hpp"

#include "terrain/vectors.hpp"

#include <algorithm>
#include <utility>

namespace curbshed::terrain {

namespace {

constexpr std::uint8_t kLeavesTile = 16;  ///< added to the bearing of a step out of the tile
constexpr float kUnlabelled = std::bit_cast<float>(0xFFFFFFFFU);

/// Which cells of a row need a second look: beside an invalid cell, a wall, or marked.
class SecondLook {
 public:
  SecondLook(const Ground& ground, const Walls& walls, const Grid<std::uint8_t>& drains)
      : ground_(ground),
        walls_(walls),
        drains_(drains),
        odd_(static_cast<std::size_t>(ground.frame.cols) + 2) {}

  /// Precondition: a row inside the raster, with one above and one below. Columns from … to − 1 are inside as
  /// well.
  void find(std::int64_t row, std::int64_t from, std::int64_t to, std::uint8_t* needed) {
    const std::int64_t cols = ground_.frame.cols;
    const std::int64_t first = row * cols;
    const std::uint8_t* valid = ground_.valid.data() + first;
    std::uint8_t* odd = odd_.data();
    for (std::int64_t c = from - 1; c <= to; ++c) {
      odd[c] = (valid[c - cols] & valid[c] & valid[c + cols]) != 0 ? std::uint8_t{0} : std::uint8_t{1};
    }
    if (!walls_.bits.empty()) {
      const std::uint8_t* bits = walls_.bits.data() + first;
      for (std::int64_t c = from - 1; c <= to; ++c) {
        odd[c] = static_cast<std::uint8_t>(odd[c] | bits[c - cols] | bits[c] | bits[c + cols]);
      }
    }
    for (std::int64_t c = from; c < to; ++c) {
      needed[c] = static_cast<std::uint8_t>(odd[c - 1] | odd[c] | odd[c + 1]);
    }
    if (drains_.empty()) return;
    const std::uint8_t* marks = drains_.data() + first;
    for (std::int64_t c = from; c < to; ++c) needed[c] = static_cast<std::uint8_t>(needed[c] | marks[c]);
  }

 private:
  const Ground& ground_;
  const Walls& walls_;
  const Grid<std::uint8_t>& drains_;
  std::vector<std::uint8_t> odd_;
};

/// The lowest of 3 × 3 cells, the first of equals in the order of cells. Cells from … to − 1 of a row.
CURBSHED_VECTOR_CLONES
void find_lowest(const float* here, std::int64_t cols, std::int64_t from, std::int64_t to,
                 std::int32_t* lowest) {
  for (std::int64_t c = from; c < to; ++c) {
    const float* at = here + c;
    float least = at[-cols - 1];
    std::int32_t where = 7;
    const auto look = [&](float height, std::int32_t code) {
      where = height < least ? code : where;
      least = height < least ? height : least;
    };
    look(at[-cols], 0);
    look(at[-cols + 1], 1);
    look(at[-1], 6);
    look(at[0], kPit);
    look(at[1], 2);
    look(at[cols - 1], 5);
    look(at[cols], 4);
    look(at[cols + 1], 3);
    lowest[c] = where;
  }
}

/// The same with all that can be in the way. Inside the raster only.
std::uint8_t lowest_with_care(const Ground& ground, const Walls& walls, const Grid<std::uint8_t>& drains,
                              std::int64_t cell) {
  if (ground.valid[cell] == 0) return kInvalid;
  if (!drains.empty() && drains[cell] != 0) return kWayOut;
  constexpr int kInOrder[kBearings] = {7, 0, 1, 6, 2, 5, 4, 3};
  std::uint8_t lowest = kPit;
  float least = ground.height_m[cell];
  std::int64_t least_cell = cell;
  for (const int k : kInOrder) {
    const std::int64_t next = cell + kRowStep[k] * ground.frame.cols + kColStep[k];
    if (ground.valid[next] == 0) return kWayOut;
    if (walls.walled(cell, k) || walls.walled(next, opposite(k))) continue;
    const float height = ground.height_m[next];
    if (height < least || (height <= least && next < least_cell)) {
      lowest = static_cast<std::uint8_t>(k);
      least = height;
      least_cell = next;
    }
  }
  return lowest;
}

bool leaves(const Tile& tile, std::int64_t r, std::int64_t c, std::uint8_t lowest) {
  if (lowest >= kBearings) return false;
  r += kRowStep[lowest];
  c += kColStep[lowest];
  return r < 0 || c < 0 || r >= tile.rows || c >= tile.cols;
}

/// A way that goes on in another tile.
struct Onward {
  std::uint32_t label = 0;
  std::int64_t cell = 0;
};

/// Pits of a tile and ways that leave it, marked in `lowest`.
std::int64_t count_labels(const Tile& tile, Grid<std::uint8_t>& lowest) {
  std::int64_t count = 0;
  for (std::int64_t r = 0; r < tile.rows; ++r) {
    std::uint8_t* row = &lowest.at(tile.row0 + r, tile.col0);
    std::int64_t pits = 0;
    for (std::int64_t c = 0; c < tile.cols; ++c) pits += row[c] == kPit ? 1 : 0;
    count += pits;
    const bool whole_row = r == 0 || r == tile.rows - 1;
    for (std::int64_t c = 0; c < tile.cols; c += whole_row || c == tile.cols - 1 ? 1 : tile.cols - 1) {
      if (!leaves(tile, r, c, row[c])) continue;
      row[c] = static_cast<std::uint8_t>(row[c] + kLeavesTile);
      ++count;
    }
  }
  return count;
}

/// Down from each cell to a pit, a known label, or out of the tile; then the label to all cells on the way.
void label_tile(const Tile& tile, const Grid<std::uint8_t>& lowest, std::uint32_t next_label,
                Grid<float>& labels, std::vector<Onward>& onward) {
  const std::int64_t cols = lowest.cols();
  std::int64_t step[kBearings];
  for (int k = 0; k < kBearings; ++k) step[k] = kRowStep[k] * cols + kColStep[k];
  const std::uint8_t* down = lowest.data();
  float* label_at = labels.data();
  std::vector<std::int64_t> way;
  for (std::int64_t row = tile.row0; row < tile.row0 + tile.rows; ++row) {
    for (std::int64_t first = row * cols + tile.col0; first < row * cols + tile.col0 + tile.cols; ++first) {
      std::int64_t cell = first;
      std::uint32_t label = label_in(label_at[cell]);
      if (label != label_in(kUnlabelled)) continue;
      while (label == label_in(kUnlabelled) && down[cell] < kBearings) {
        way.push_back(cell);
        cell += step[down[cell]];
        label = label_in(label_at[cell]);
      }
      if (label == label_in(kUnlabelled)) {
        const std::uint8_t end = down[cell];
        label = end == kWayOut || end == kInvalid ? kOutside : next_label++;
        if (end >= kLeavesTile) onward.push_back({label, cell + step[end - kLeavesTile]});
        label_at[cell] = std::bit_cast<float>(label);
      }
      for (const std::int64_t above : way) label_at[above] = std::bit_cast<float>(label);
      way.clear();
    }
  }
}

}  // namespace

Grid<std::uint8_t> lowest_neighbours(const Ground& ground, const Walls& walls,
                                     const Grid<std::uint8_t>& drains, const Tiling& tiling) {
  const std::int64_t rows = ground.frame.rows;
  const std::int64_t cols = ground.frame.cols;
  Grid<std::uint8_t> lowest = Grid<std::uint8_t>::unwritten(rows, cols);
  tiling.each([&](std::int64_t i) {
    const Tile tile = tiling.tile(i);
    SecondLook second(ground, walls, drains);
    std::vector<std::uint8_t> needed(static_cast<std::size_t>(cols));
    std::vector<std::int32_t> found(static_cast<std::size_t>(cols));
    for (std::int64_t row = tile.row0; row < tile.row0 + tile.rows; ++row) {
      std::uint8_t* out = lowest.data() + row * cols;
      const auto edge = [&](std::int64_t c) {
        out[c] = ground.valid[row * cols + c] != 0 ? kWayOut : kInvalid;
      };
      const std::int64_t end = tile.col0 + tile.cols;
      if (row == 0 || row == rows - 1) {
        for (std::int64_t c = tile.col0; c < end; ++c) edge(c);
        continue;
      }
      const std::int64_t from = std::max<std::int64_t>(tile.col0, 1);
      const std::int64_t to = std::min(end, cols - 1);
      if (tile.col0 == 0) edge(0);
      if (end == cols) edge(cols - 1);
      if (from >= to) continue;
      second.find(row, from, to, needed.data());
      find_lowest(ground.height_m.data() + row * cols, cols, from, to, found.data());
      for (std::int64_t c = from; c < to; ++c) {
        out[c] = static_cast<std::uint8_t>(found[static_cast<std::size_t>(c)]);
      }
      for (std::int64_t c = from; c < to; ++c) {
        if (needed[static_cast<std::size_t>(c)] != 0) {
          out[c] = lowest_with_care(ground, walls, drains, row * cols + c);
        }
      }
    }
  });
  return lowest;
}

std::vector<std::uint32_t> label_basins(Grid<std::uint8_t> lowest, const Tiling& tiling,
                                        Grid<float>& labels) {
  const auto tiles = static_cast<std::size_t>(tiling.size());
  std::vector<std::int64_t> first(tiles + 1, 0);
  tiling.each(
      [&](std::int64_t i) { first[static_cast<std::size_t>(i) + 1] = count_labels(tiling.tile(i), lowest); });
  first[0] = 1;
  for (std::size_t i = 0; i < tiles; ++i) first[i + 1] += first[i];
  if (first[tiles] >= static_cast<std::int64_t>(kOneWay)) {
    throw base::InputError({"", "elevation", ""}, "more than 2 147 483 646 pits", "a raster with fewer pits",
                           "smooth the elevation or run the city in parts");
  }
  std::vector<std::vector<Onward>> onward(tiles);
  tiling.each([&](std::int64_t i) {
    const Tile tile = tiling.tile(i);
    for (std::int64_t r = 0; r < tile.rows; ++r) {
      std::fill_n(&labels.at(tile.row0 + r, tile.col0), tile.cols, kUnlabelled);
    }
    const auto n = static_cast<std::size_t>(i);
    label_tile(tile, lowest, static_cast<std::uint32_t>(first[n]), labels, onward[n]);
  });
  std::vector<std::uint32_t> joined(static_cast<std::size_t>(first[tiles]));
  for (std::size_t label = 0; label < joined.size(); ++label)
    joined[label] = static_cast<std::uint32_t>(label);
  for (const auto& ways : onward) {
    for (const Onward& way : ways) joined[way.label] = label_in(labels[way.cell]);
  }
  // Every step goes down by (height, index), so these chains end.
  for (const auto& ways : onward) {
    for (const Onward& way : ways) {
      std::uint32_t end = way.label;
      while (joined[end] != end) end = joined[end];
      for (std::uint32_t at = way.label; at != end;) at = std::exchange(joined[at], end);
    }
  }
  return joined;
}

}  // namespace curbshed::terrain
