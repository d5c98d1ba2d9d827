#include "terrain/tiles.hpp"

namespace curbshed::terrain {

Tiling::Tiling(std::int64_t rows, std::int64_t cols, const WorkPlan& plan)
    : rows_(rows), cols_(cols), threads_(std::max(1, plan.threads)) {
  if (rows == 0 || cols == 0) return;
  const std::int64_t stripe = (rows + threads_ - 1) / threads_;
  tile_cols_ = plan.tile_cols > 0 ? std::min(plan.tile_cols, cols) : cols;
  tile_rows_ = plan.tile_rows > 0 ? std::min(plan.tile_rows, rows) : (plan.tile_cols > 0 ? rows : stripe);
  tile_cols_ = std::min(tile_cols_, kMostCells);
  tile_rows_ = std::max(std::int64_t{1}, std::min(tile_rows_, kMostCells / tile_cols_));
  down_ = (rows + tile_rows_ - 1) / tile_rows_;
  across_ = (cols + tile_cols_ - 1) / tile_cols_;
}

Tile Tiling::tile(std::int64_t i) const {
  const std::int64_t row0 = i / across_ * tile_rows_;
  const std::int64_t col0 = i % across_ * tile_cols_;
  return {row0, col0, std::min(tile_rows_, rows_ - row0), std::min(tile_cols_, cols_ - col0)};
}

void Tiling::each(const std::function<void(std::int64_t)>& body) const {
  if (size() == 0) return;
  base::parallel_stripes(size(), size(), {threads_}, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t i = begin; i < end; ++i) body(i);
  });
}

void Tiling::each(const std::vector<std::int64_t>& numbers,
                  const std::function<void(std::int64_t)>& body) const {
  const auto n = static_cast<std::int64_t>(numbers.size());
  if (n == 0) return;
  base::parallel_stripes(n, n, {threads_}, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t i = begin; i < end; ++i) body(numbers[static_cast<std::size_t>(i)]);
  });
}

void Tiling::mark_around(std::int64_t i, std::vector<std::uint8_t>& marks) const {
  const std::int64_t down = i / across_;
  const std::int64_t across = i % across_;
  for (std::int64_t r = std::max(std::int64_t{0}, down - 1); r <= std::min(down_ - 1, down + 1); ++r) {
    for (std::int64_t c = std::max(std::int64_t{0}, across - 1); c <= std::min(across_ - 1, across + 1);
         ++c) {
      if (r != down || c != across) marks[static_cast<std::size_t>(r * across_ + c)] = 1;
    }
  }
}

}  // namespace curbshed::terrain
