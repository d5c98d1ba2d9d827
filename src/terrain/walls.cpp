#include "curbshed/terrain/walls.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace curbshed::terrain {

float Walls::crest_m(std::int64_t cell, int bearing) const {
  const auto place = [](const Crest& c) { return std::tuple(c.cell, static_cast<int>(c.bearing)); };
  const auto wanted = std::tuple(cell, bearing);
  const auto found = std::lower_bound(crests.begin(), crests.end(), wanted,
                                      [&](const Crest& c, const auto& w) { return place(c) < w; });
  base::ensure(found != crests.end() && place(*found) == wanted, "every walled step has a crest");
  return found->height_m;
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

  Walls walls{Grid<std::uint8_t>(rows, cols, 0), std::move(crests)};
  for (const Crest& c : walls.crests) {
    walls.bits[c.cell] = static_cast<std::uint8_t>(walls.bits[c.cell] | (1U << c.bearing));
  }
  return walls;
}

}  // namespace curbshed::terrain
