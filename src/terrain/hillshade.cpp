#include "curbshed/terrain/hillshade.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace curbshed::terrain {
namespace {

struct Blocks {
  GridFrame frame;
  Grid<float> height_m;  ///< mean of the known cells
  Grid<std::uint8_t> known;
};

Blocks averaged(const Ground& ground, std::int64_t most_cells, base::Workers workers) {
  const GridFrame& fine = ground.frame;
  const std::int64_t size = (std::max({fine.rows, fine.cols, std::int64_t{1}}) + most_cells - 1) / most_cells;
  Blocks blocks;
  blocks.frame = {fine.west_m, fine.north_m, fine.cell_m * static_cast<double>(size),
                  (fine.rows + size - 1) / size, (fine.cols + size - 1) / size};
  blocks.height_m = Grid<float>(blocks.frame.rows, blocks.frame.cols);
  blocks.known = Grid<std::uint8_t>(blocks.frame.rows, blocks.frame.cols, 0);
  base::parallel_stripes(blocks.frame.rows, 64, workers, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t r = begin; r < end; ++r) {
      for (std::int64_t c = 0; c < blocks.frame.cols; ++c) {
        double sum_m = 0.0;
        std::int64_t count = 0;
        for (std::int64_t y = r * size; y < std::min(fine.rows, (r + 1) * size); ++y) {
          for (std::int64_t x = c * size; x < std::min(fine.cols, (c + 1) * size); ++x) {
            if (ground.valid.at(y, x) == 0) continue;
            sum_m += static_cast<double>(ground.height_m.at(y, x));
            ++count;
          }
        }
        if (count == 0) continue;
        blocks.height_m.at(r, c) = static_cast<float>(sum_m / static_cast<double>(count));
        blocks.known.at(r, c) = 1;
      }
    }
  });
  return blocks;
}

/// Heights around a cell, row by row; its own where there is none.
std::array<double, 9> around(const Blocks& blocks, std::int64_t r, std::int64_t c) {
  std::array<double, 9> z{};
  for (std::int64_t i = 0; i < 9; ++i) {
    const std::int64_t y = std::clamp<std::int64_t>(r + i / 3 - 1, 0, blocks.frame.rows - 1);
    const std::int64_t x = std::clamp<std::int64_t>(c + i % 3 - 1, 0, blocks.frame.cols - 1);
    const bool known = blocks.known.at(y, x) != 0;
    z[static_cast<std::size_t>(i)] = static_cast<double>(blocks.height_m.at(known ? y : r, known ? x : c));
  }
  return z;
}

std::uint8_t light_at(const Blocks& blocks, std::int64_t r, std::int64_t c, double steeper) {
  const std::array<double, 9> z = around(blocks, r, c);
  const double across = 8.0 * blocks.frame.cell_m / steeper;
  const double east = ((z[2] + 2.0 * z[5] + z[8]) - (z[0] + 2.0 * z[3] + z[6])) / across;
  const double north = ((z[0] + 2.0 * z[1] + z[2]) - (z[6] + 2.0 * z[7] + z[8])) / across;
  // Light comes from (−1, 1) at 45°: the cosine between it and the surface's normal.
  const double toward = (east - north) / std::numbers::sqrt2;
  const double light =
      (std::numbers::sqrt2 / 2.0) * (1.0 + toward) / std::sqrt(1.0 + east * east + north * north);
  return static_cast<std::uint8_t>(std::lround(255.0 * std::clamp(light, 0.0, 1.0)));
}

}  // namespace

Hillshade hillshade(const Ground& ground, std::int64_t most_cells, double steeper, base::Workers workers) {
  base::ensure(most_cells >= 1 && steeper > 0.0, "a picture has cells and some steepness");
  const Blocks blocks = averaged(ground, most_cells, workers);
  Hillshade shade;
  shade.frame = blocks.frame;
  shade.light = Grid<std::uint8_t>(blocks.frame.rows, blocks.frame.cols, 255);
  base::parallel_stripes(blocks.frame.rows, 64, workers, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t r = begin; r < end; ++r) {
      for (std::int64_t c = 0; c < blocks.frame.cols; ++c) {
        if (blocks.known.at(r, c) != 0) shade.light.at(r, c) = light_at(blocks, r, c, steeper);
      }
    }
  });
  return shade;
}

}  // namespace curbshed::terrain
