#include "terrain/basins.hpp"

#include "curbshed/base/vectors.hpp"

#include <algorithm>
#include <utility>

namespace curbshed::terrain {

namespace {

constexpr std::uint8_t kLeavesTile = 16;  ///< added to the bearing of a step out of the tile
constexpr float kUnlabelled = std::bit_cast<float>(0xFFFFFFFFU);

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

bool leaves(const Tile& tile, std::int64_t r, std::int64_t c, std::uint8_t lowest) {
  if (lowest >= kBearings) return false;
  r += kRowStep[lowest];
  c += kColStep[lowest];
  return r < 0 || c < 0 || r >= tile.rows || c >= tile.cols;
}

}  // namespace

LowestNeighbours::LowestNeighbours(const Ground& ground, const Walls& walls, const Grid<std::uint8_t>& drains)
    : ground_(ground),
      walls_(walls),
      drains_(drains),
      odd_(static_cast<std::size_t>(ground.frame.cols) + 2),
      needed_(odd_.size()),
      found_(odd_.size()) {}

/// Precondition: a row inside the raster, with one above and one below; the columns are inside as well.
void LowestNeighbours::look_for_trouble(std::int64_t row, std::int64_t from, std::int64_t to) {
  const std::int64_t cols = ground_.frame.cols;
  const std::int64_t first = row * cols;
  const std::uint8_t* valid = ground_.valid.data() + first;
  std::uint8_t* odd = odd_.data();
  std::uint8_t* needed = needed_.data();
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

/// With all that can be in the way. Inside the raster only.
std::uint8_t LowestNeighbours::find_with_care(std::int64_t cell) const {
  if (ground_.valid[cell] == 0) return kInvalid;
  if (!drains_.empty() && drains_[cell] != 0) return kWayOut;
  constexpr int kInOrder[kBearings] = {7, 0, 1, 6, 2, 5, 4, 3};
  std::uint8_t lowest = kPit;
  float least = ground_.height_m[cell];
  std::int64_t least_cell = cell;
  for (const int k : kInOrder) {
    const std::int64_t next = cell + kRowStep[k] * ground_.frame.cols + kColStep[k];
    if (ground_.valid[next] == 0) return kWayOut;
    if (walls_.walled(cell, k) || walls_.walled(next, opposite(k))) continue;
    const float height = ground_.height_m[next];
    if (height < least || (height <= least && next < least_cell)) {
      lowest = static_cast<std::uint8_t>(k);
      least = height;
      least_cell = next;
    }
  }
  return lowest;
}

void LowestNeighbours::find(std::int64_t row, std::int64_t from, std::int64_t to, std::uint8_t* lowest) {
  const std::int64_t cols = ground_.frame.cols;
  const auto edge = [&](std::int64_t c) {
    lowest[c] = ground_.valid[row * cols + c] != 0 ? kWayOut : kInvalid;
  };
  if (row == 0 || row == ground_.frame.rows - 1) {
    for (std::int64_t c = from; c < to; ++c) edge(c);
    return;
  }
  if (from == 0) edge(0);
  if (to == cols) edge(cols - 1);
  from = std::max<std::int64_t>(from, 1);
  to = std::min(to, cols - 1);
  if (from >= to) return;
  look_for_trouble(row, from, to);
  find_lowest(ground_.height_m.data() + row * cols, cols, from, to, found_.data());
  for (std::int64_t c = from; c < to; ++c) {
    lowest[c] = static_cast<std::uint8_t>(found_[static_cast<std::size_t>(c)]);
  }
  for (std::int64_t c = from; c < to; ++c) {
    if (needed_[static_cast<std::size_t>(c)] != 0) lowest[c] = find_with_care(row * cols + c);
  }
}

Grid<std::uint8_t> lowest_neighbours(const Ground& ground, const Walls& walls,
                                     const Grid<std::uint8_t>& drains, const Tiling& tiling) {
  Grid<std::uint8_t> lowest = Grid<std::uint8_t>::unwritten(ground.frame.rows, ground.frame.cols);
  tiling.each([&](std::int64_t i) {
    const Tile tile = tiling.tile(i);
    LowestNeighbours finder(ground, walls, drains);
    for (std::int64_t row = tile.row0; row < tile.row0 + tile.rows; ++row) {
      finder.find(row, tile.col0, tile.col0 + tile.cols, &lowest.at(row, 0));
    }
  });
  return lowest;
}

/// Pits of a tile and ways that leave it, which are marked in `lowest`.
std::int64_t count_labels(const Tile& tile, std::uint8_t* lowest, std::int64_t stride) {
  std::int64_t count = 0;
  for (std::int64_t r = 0; r < tile.rows; ++r) {
    std::uint8_t* row = lowest + r * stride;
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
std::uint32_t label_tile(const Tile& tile, std::uint8_t* lowest, std::int64_t stride,
                         std::uint32_t next_label, float* labels, std::vector<Onward>& onward) {
  std::int64_t step[kBearings];
  for (int k = 0; k < kBearings; ++k) step[k] = kRowStep[k] * stride + kColStep[k];
  for (std::int64_t r = 0; r < tile.rows; ++r) std::fill_n(labels + r * stride, tile.cols, kUnlabelled);
  std::vector<std::int64_t> way;
  for (std::int64_t r = 0; r < tile.rows; ++r) {
    for (std::int64_t first = r * stride; first < r * stride + tile.cols; ++first) {
      std::int64_t cell = first;
      std::uint32_t label = label_in(labels[cell]);
      if (label != label_in(kUnlabelled)) continue;
      while (label == label_in(kUnlabelled) && lowest[cell] < kBearings) {
        way.push_back(cell);
        cell += step[lowest[cell]];
        label = label_in(labels[cell]);
      }
      if (label == label_in(kUnlabelled)) {
        const std::uint8_t end = lowest[cell];
        label = end == kWayOut || end == kInvalid ? kOutside : next_label++;
        if (end >= kLeavesTile) onward.push_back({label, cell + step[end - kLeavesTile]});
        labels[cell] = std::bit_cast<float>(label);
      }
      for (const std::int64_t above : way) labels[above] = std::bit_cast<float>(label);
      way.clear();
    }
  }
  return next_label;
}

void ensure_labels_fit(std::int64_t labels) {
  if (labels < static_cast<std::int64_t>(kOneWay)) return;
  throw base::InputError({"", "elevation", ""}, "more than 2 147 483 646 pits", "a raster with fewer pits",
                         "smooth the elevation or run the city in parts");
}

std::vector<std::uint32_t> label_basins(Grid<std::uint8_t> lowest, const Tiling& tiling,
                                        Grid<float>& labels) {
  const auto tiles = static_cast<std::size_t>(tiling.size());
  const std::int64_t cols = lowest.cols();
  std::vector<std::int64_t> first(tiles + 1, 0);
  tiling.each([&](std::int64_t i) {
    const Tile tile = tiling.tile(i);
    first[static_cast<std::size_t>(i) + 1] = count_labels(tile, &lowest.at(tile.row0, tile.col0), cols);
  });
  first[0] = 1;
  for (std::size_t i = 0; i < tiles; ++i) first[i + 1] += first[i];
  ensure_labels_fit(first[tiles]);
  std::vector<std::vector<Onward>> onward(tiles);
  tiling.each([&](std::int64_t i) {
    const Tile tile = tiling.tile(i);
    const auto n = static_cast<std::size_t>(i);
    const std::int64_t begin = tile.row0 * cols + tile.col0;
    label_tile(tile, lowest.data() + begin, cols, static_cast<std::uint32_t>(first[n]), labels.data() + begin,
               onward[n]);
    for (Onward& way : onward[n]) way.cell += begin;
  });
  std::vector<std::uint32_t> joined(static_cast<std::size_t>(first[tiles]));
  for (std::size_t label = 0; label < joined.size(); ++label)
    joined[label] = static_cast<std::uint32_t>(label);
  join_onward(
      onward, [&](std::int64_t cell) { return label_in(labels[cell]); }, joined);
  return joined;
}

}  // namespace curbshed::terrain
