// How a raster is cut into tiles, and what a tile sees of its neighbours.
#pragma once

#include "curbshed/base/parallel.hpp"
#include "curbshed/terrain/grid.hpp"

#include <algorithm>
#include <functional>

namespace curbshed::terrain {

/// A window on the whole raster, without data.
struct Tile {
  std::int64_t row0 = 0;
  std::int64_t col0 = 0;
  std::int64_t rows = 0;
  std::int64_t cols = 0;
};

class Tiling {
 public:
  /// Tiles as the plan says. A plan without a tile size gets one row stripe for each thread; no tile is
  /// larger than kMostCells, so 32 bits count the cells of a tile and its halo.
  Tiling(std::int64_t rows, std::int64_t cols, const WorkPlan& plan);

  static constexpr std::int64_t kMostCells = std::int64_t{1} << 29;

  std::int64_t size() const { return down_ * across_; }
  Tile tile(std::int64_t i) const;
  std::int64_t of_cell(std::int64_t row, std::int64_t col) const {
    return row / tile_rows_ * across_ + col / tile_cols_;
  }

  /// Calls body(tile number) for all, or for each of `numbers`, on the plan's threads. Calls must not touch
  /// each other's cells.
  void each(const std::function<void(std::int64_t)>& body) const;
  void each(const std::vector<std::int64_t>& numbers, const std::function<void(std::int64_t)>& body) const;

  /// Marks the up to eight tiles around tile i.
  void mark_around(std::int64_t i, std::vector<std::uint8_t>& marks) const;

 private:
  std::int64_t rows_;
  std::int64_t cols_;
  std::int64_t tile_rows_ = 1;
  std::int64_t tile_cols_ = 1;
  std::int64_t down_ = 0;
  std::int64_t across_ = 0;
  int threads_ = 1;
};

/// The ring of cells around a tile, copied so that a tile can be worked on while its neighbours change.
template <class T>
class Halo {
 public:
  Halo() = default;
  Halo(const Tile& tile, T value)
      : rows_(tile.rows),
        cols_(tile.cols),
        ring_(static_cast<std::size_t>(2 * (tile.rows + tile.cols) + 4), value) {}

  /// Row and column relative to the tile: exactly those with row −1 or `rows`, or column −1 or `cols`.
  T& at(std::int64_t row, std::int64_t col) { return ring_[place(row, col)]; }
  const T& at(std::int64_t row, std::int64_t col) const { return ring_[place(row, col)]; }

  /// Calls body(row, col) for each place of the ring that lies inside the whole raster.
  template <class Body>
  static void each_place(const Tile& tile, std::int64_t whole_rows, std::int64_t whole_cols, Body body) {
    const auto inside = [&](std::int64_t r, std::int64_t c) {
      const std::int64_t row = tile.row0 + r;
      const std::int64_t col = tile.col0 + c;
      return row >= 0 && row < whole_rows && col >= 0 && col < whole_cols;
    };
    for (const std::int64_t r : {std::int64_t{-1}, tile.rows}) {
      for (std::int64_t c = -1; c <= tile.cols; ++c) {
        if (inside(r, c)) body(r, c);
      }
    }
    for (std::int64_t r = 0; r < tile.rows; ++r) {
      if (inside(r, -1)) body(r, std::int64_t{-1});
      if (inside(r, tile.cols)) body(r, tile.cols);
    }
  }

 private:
  std::size_t place(std::int64_t row, std::int64_t col) const {
    if (row == -1) return static_cast<std::size_t>(col + 1);
    if (row == rows_) return static_cast<std::size_t>(cols_ + 2 + col + 1);
    return static_cast<std::size_t>(2 * (cols_ + 2) + 2 * row + (col == -1 ? 0 : 1));
  }

  std::int64_t rows_ = 0;
  std::int64_t cols_ = 0;
  std::vector<T> ring_;
};

}  // namespace curbshed::terrain
