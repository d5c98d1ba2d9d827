#include "curbshed/terrain/height_at.hpp"

#include <cmath>

namespace curbshed::terrain {

std::optional<double> height_at(const Ground& ground, base::Point p) {
  const GridFrame& frame = ground.frame;
  const std::int64_t cell = frame.cell_at(p);
  if (cell < 0 || ground.valid[cell] == 0) return std::nullopt;
  const double col = (p.x_m - frame.west_m) / frame.cell_m - 0.5;
  const double row = (frame.north_m - p.y_m) / frame.cell_m - 0.5;
  const auto c = static_cast<std::int64_t>(std::floor(col));
  const auto r = static_cast<std::int64_t>(std::floor(row));
  if (!frame.inside(r, c) || !frame.inside(r + 1, c + 1)) return ground.height_m[cell];
  const std::int64_t first = frame.index(r, c);
  const std::int64_t corners[] = {first, first + 1, first + frame.cols, first + frame.cols + 1};
  for (const std::int64_t corner : corners) {
    if (ground.valid[corner] == 0) return ground.height_m[cell];
  }
  const double x = col - static_cast<double>(c);
  const double y = row - static_cast<double>(r);
  const auto z = [&](int i) { return static_cast<double>(ground.height_m[corners[i]]); };
  return (1.0 - y) * ((1.0 - x) * z(0) + x * z(1)) + y * ((1.0 - x) * z(2) + x * z(3));
}

}  // namespace curbshed::terrain
