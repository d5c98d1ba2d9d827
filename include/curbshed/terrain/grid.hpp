// Rasters in memory: a frame (where the cells are), owned grids, and windows on them.
#pragma once

#include "curbshed/base/error.hpp"
#include "curbshed/base/geometry.hpp"

#include <algorithm>
#include <cstdint>
#include <new>
#include <utility>
#include <vector>

namespace curbshed::terrain {

/// Square cells, north up, metres. Row 0 is the northern row. Cell (r, c) covers
/// [west + c·cell, west + (c+1)·cell] × [north − (r+1)·cell, north − r·cell].
struct GridFrame {
  double west_m = 0.0;
  double north_m = 0.0;
  double cell_m = 1.0;
  std::int64_t rows = 0;
  std::int64_t cols = 0;

  std::int64_t cells() const { return rows * cols; }
  bool inside(std::int64_t row, std::int64_t col) const {
    return row >= 0 && row < rows && col >= 0 && col < cols;
  }
  std::int64_t index(std::int64_t row, std::int64_t col) const { return row * cols + col; }
  base::Point centre(std::int64_t row, std::int64_t col) const {
    return {west_m + (static_cast<double>(col) + 0.5) * cell_m,
            north_m - (static_cast<double>(row) + 0.5) * cell_m};
  }
  base::Point centre(std::int64_t cell) const { return centre(cell / cols, cell % cols); }
  /// Row and column of a point; may lie outside.
  std::int64_t row_of(double y_m) const;
  std::int64_t col_of(double x_m) const;
  /// Cell of a point, −1 outside.
  std::int64_t cell_at(base::Point p) const;
  double cell_area_m2() const { return cell_m * cell_m; }
};

/// A window on a raster: rows × cols values at data[r · stride + c]; (row0, col0) is its first cell in the
/// whole raster of whole_rows × whole_cols. Cells beyond the window but inside the whole raster belong to
/// other windows; beyond the whole raster there is no data.
template <class T>
struct GridView {
  T* data = nullptr;
  std::int64_t stride = 0;
  std::int64_t rows = 0;
  std::int64_t cols = 0;
  std::int64_t row0 = 0;
  std::int64_t col0 = 0;
  std::int64_t whole_rows = 0;
  std::int64_t whole_cols = 0;

  T& at(std::int64_t r, std::int64_t c) const { return data[r * stride + c]; }
  operator GridView<const T>() const {
    return {data, stride, rows, cols, row0, col0, whole_rows, whole_cols};
  }
};

/// Memory for a grid, on large pages where the system has them: fewer page faults and fewer misses in the
/// tables of pages. Throws std::bad_alloc.
void* take_grid_memory(std::size_t bytes);
void free_grid_memory(void* memory, std::size_t bytes) noexcept;

/// While one of these lives, large memory of grids that go is kept for the next, whatever its size: fresh
/// pages cost more than filling them. So grids take as much as the most that lived at one time; all is let go
/// with the last of these. For work that makes many grids of one raster; never under a memory limit.
class KeptGridMemory {
 public:
  KeptGridMemory();
  ~KeptGridMemory();
  KeptGridMemory(const KeptGridMemory&) = delete;
  KeptGridMemory& operator=(const KeptGridMemory&) = delete;
};

/// Allocator of grids. Values that are given no value stay unwritten, so that the threads that fill a grid
/// are the first to touch it.
template <class T>
struct GridMemory {
  using value_type = T;
  GridMemory() = default;
  template <class Other>
  GridMemory(const GridMemory<Other>&) noexcept {}
  T* allocate(std::size_t n) { return static_cast<T*>(take_grid_memory(n * sizeof(T))); }
  void deallocate(T* memory, std::size_t n) noexcept { free_grid_memory(memory, n * sizeof(T)); }
  template <class U, class... Values>
  void construct(U* at, Values&&... values) {
    if constexpr (sizeof...(Values) == 0) {
      ::new (static_cast<void*>(at)) U;
    } else {
      ::new (static_cast<void*>(at)) U(std::forward<Values>(values)...);
    }
  }
  friend bool operator==(const GridMemory&, const GridMemory&) { return true; }
};
template <class T>
bool operator==(const std::vector<T, GridMemory<T>>& a, const std::vector<T>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end());
}

/// An owned raster, row by row.
template <class T>
class Grid {
 public:
  Grid() = default;
  Grid(std::int64_t rows, std::int64_t cols, T value = T{}) : Grid(unwritten(rows, cols)) {
    std::fill(values_.begin(), values_.end(), value);
  }
  /// Nothing may be read before it is written.
  static Grid unwritten(std::int64_t rows, std::int64_t cols) {
    Grid grid;
    grid.rows_ = rows;
    grid.cols_ = cols;
    grid.values_ = Values(static_cast<std::size_t>(rows * cols));
    return grid;
  }
  using Values = std::vector<T, GridMemory<T>>;

  std::int64_t rows() const { return rows_; }
  std::int64_t cols() const { return cols_; }
  std::int64_t cells() const { return rows_ * cols_; }
  bool empty() const { return values_.empty(); }
  T& operator[](std::int64_t cell) { return values_[static_cast<std::size_t>(cell)]; }
  const T& operator[](std::int64_t cell) const { return values_[static_cast<std::size_t>(cell)]; }
  T& at(std::int64_t r, std::int64_t c) { return (*this)[r * cols_ + c]; }
  const T& at(std::int64_t r, std::int64_t c) const { return (*this)[r * cols_ + c]; }
  T* data() { return values_.data(); }
  const T* data() const { return values_.data(); }
  const Values& values() const { return values_; }

  GridView<T> whole() { return {values_.data(), cols_, rows_, cols_, 0, 0, rows_, cols_}; }
  GridView<const T> whole() const { return {values_.data(), cols_, rows_, cols_, 0, 0, rows_, cols_}; }
  GridView<T> window(std::int64_t r0, std::int64_t c0, std::int64_t rows, std::int64_t cols) {
    return {values_.data() + r0 * cols_ + c0, cols_, rows, cols, r0, c0, rows_, cols_};
  }
  GridView<const T> window(std::int64_t r0, std::int64_t c0, std::int64_t rows, std::int64_t cols) const {
    return {values_.data() + r0 * cols_ + c0, cols_, rows, cols, r0, c0, rows_, cols_};
  }

 private:
  std::int64_t rows_ = 0;
  std::int64_t cols_ = 0;
  Values values_;
};

/// Ground heights with a validity byte (1 = height known). Invalid cells hold 0 in `height_m` and are never
/// read.
struct Ground {
  GridFrame frame;
  Grid<float> height_m;
  Grid<std::uint8_t> valid;
};

/// Throws InputError for a NaN or infinite height under a valid cell, BugError when sizes differ.
void check(const Ground& ground, int threads = 1);

/// Compass bearing / 45°: 0 north, 2 east, 4 south, 6 west.
inline constexpr int kBearings = 8;
inline constexpr std::int8_t kRowStep[kBearings] = {-1, -1, 0, 1, 1, 1, 0, -1};
inline constexpr std::int8_t kColStep[kBearings] = {0, 1, 1, 1, 0, -1, -1, -1};
inline constexpr int opposite(int bearing) { return (bearing + 4) % kBearings; }

/// Values of a direction grid: 0-7 towards that neighbour; water stops; or no data.
inline constexpr std::uint8_t kStops =
    8;  ///< a drain (see levels.hpp), or it leaves over the edge or into nodata
inline constexpr std::uint8_t kNoGround = 9;  ///< invalid cell

/// How the work is cut. Results never depend on it. 0 = the whole raster is one tile.
struct WorkPlan {
  int threads = 1;
  std::int64_t tile_rows = 0;
  std::int64_t tile_cols = 0;
};

}  // namespace curbshed::terrain
