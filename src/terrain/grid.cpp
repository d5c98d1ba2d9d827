#include "curbshed/terrain/grid.hpp"

#include <cmath>

#include <fmt/format.h>

namespace curbshed::terrain {

namespace {

/// Cells from an origin, kept within ±2^62 so that far-off points do not overflow.
std::int64_t steps(double distance_m, double cell_m) {
  constexpr double kFar = 4.0e18;
  const double n = std::floor(distance_m / cell_m);
  if (!(n > -kFar)) return -static_cast<std::int64_t>(kFar);
  if (!(n < kFar)) return static_cast<std::int64_t>(kFar);
  return static_cast<std::int64_t>(n);
}

}  // namespace

std::int64_t GridFrame::row_of(double y_m) const { return steps(north_m - y_m, cell_m); }

std::int64_t GridFrame::col_of(double x_m) const { return steps(x_m - west_m, cell_m); }

std::int64_t GridFrame::cell_at(base::Point p) const {
  const std::int64_t row = row_of(p.y_m);
  const std::int64_t col = col_of(p.x_m);
  return inside(row, col) ? index(row, col) : -1;
}

void check(const Ground& ground) {
  const GridFrame& frame = ground.frame;
  base::ensure(frame.rows >= 0 && frame.cols >= 0 && frame.cell_m > 0.0 && std::isfinite(frame.cell_m),
               "a ground has a positive cell size and no negative size");
  base::ensure(ground.height_m.rows() == frame.rows && ground.height_m.cols() == frame.cols,
               "heights are as large as their frame");
  base::ensure(ground.valid.rows() == frame.rows && ground.valid.cols() == frame.cols,
               "the validity mask is as large as its frame");
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    if (ground.valid[cell] != 0 && !std::isfinite(ground.height_m[cell])) {
      throw base::InputError({"", "elevation", ""},
                             fmt::format("height {} at row {}, column {}", ground.height_m[cell],
                                         cell / frame.cols, cell % frame.cols),
                             "a finite number of metres, or no data",
                             "mark such cells as no data in the elevation file");
    }
  }
}

}  // namespace curbshed::terrain
