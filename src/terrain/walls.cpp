#include "curbshed/terrain/walls.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <tuple>

namespace curbshed::terrain {

namespace {

/// Set bits of n bytes: eight bytes at a time, most of which are 0.
std::int64_t count_bits(const std::uint8_t* bytes, std::int64_t n) {
  std::int64_t count = 0;
  for (std::int64_t i = 0; i < n; i += 8) {
    std::uint64_t word = 0;
    std::memcpy(&word, bytes + i, static_cast<std::size_t>(std::min<std::int64_t>(8, n - i)));
    if (word != 0) count += std::popcount(word);
  }
  return count;
}

}  // namespace

std::int64_t Walls::place_of(std::int64_t cell) const {
  const std::int64_t block = cell / kBlock;
  return crests_before[static_cast<std::size_t>(block)] +
         count_bits(bits.data() + block * kBlock, cell - block * kBlock);
}

float Walls::crest_m(std::int64_t cell, int bearing) const {
  base::ensure(walled(cell, bearing), "every walled step has a crest");
  const unsigned lower = static_cast<unsigned>(bits[cell]) & ((1U << bearing) - 1U);
  return crest_heights_m[static_cast<std::size_t>(place_of(cell) + std::popcount(lower))];
}

std::vector<Crest> Walls::crests() const {
  std::vector<Crest> all;
  all.reserve(crest_heights_m.size());
  each_crest(0, bits.cells(), [&](const Crest& crest) { all.push_back(crest); });
  return all;
}

Walls make_walls(std::int64_t rows, std::int64_t cols, std::vector<Crest> crests) {
  const auto leaves = [&](const Crest& c) {
    base::ensure(c.cell >= 0 && c.cell < rows * cols && c.bearing < kBearings && std::isfinite(c.height_m),
                 "a crest has a cell of the raster, a bearing and a finite height");
    const std::int64_t row = c.cell / cols + kRowStep[c.bearing];
    const std::int64_t col = c.cell % cols + kColStep[c.bearing];
    return row < 0 || row >= rows || col < 0 || col >= cols;
  };
  std::erase_if(crests, leaves);
  std::sort(crests.begin(), crests.end(), [](const Crest& a, const Crest& b) {
    return std::tuple(a.cell, a.bearing, a.height_m) < std::tuple(b.cell, b.bearing, b.height_m);
  });
  const auto same_step = [](const Crest& a, const Crest& b) {
    return a.cell == b.cell && a.bearing == b.bearing;
  };
  crests.erase(std::unique(crests.begin(), crests.end(), same_step), crests.end());

  Walls walls;
  walls.bits = Grid<std::uint8_t>(rows, cols, 0);
  walls.crest_heights_m.reserve(crests.size());
  walls.crests_before.reserve(static_cast<std::size_t>(walls.bits.cells() / Walls::kBlock + 1));
  auto next = crests.begin();
  for (std::int64_t block = 0; block * Walls::kBlock < walls.bits.cells(); ++block) {
    walls.crests_before.push_back(static_cast<std::int64_t>(walls.crest_heights_m.size()));
    for (; next != crests.end() && next->cell / Walls::kBlock == block; ++next) {
      walls.crest_heights_m.push_back(next->height_m);
      walls.bits[next->cell] = static_cast<std::uint8_t>(walls.bits[next->cell] | (1U << next->bearing));
    }
  }
  return walls;
}

}  // namespace curbshed::terrain
