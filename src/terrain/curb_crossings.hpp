// Steps between cell centres that cross a curb.
#pragma once

#include "terrain/curb_lines.hpp"

#include <algorithm>
#include <cmath>

namespace curbshed::terrain::detail {

struct Crossing {
  std::int32_t running = 0;  ///< index of the running curb
  double along_m = 0.0;      ///< of the crossing; outside [0, length] on a connector
  std::int64_t street_cell = 0;
  std::int64_t lot_cell = 0;
  std::uint8_t bearing = 0;  ///< from the street cell to the lot cell
};

/// All crossings by (running, along, street cell, bearing). A step that crosses several curbs, or one curb
/// several times, is listed each time. Cell centres on a curb count as street side. No way of steps leads
/// from the street side of a closed curb, or of curbs whose ends meet, to the other side without a crossing.
std::vector<Crossing> find_crossings(const GridFrame& frame, const std::vector<RunningCurb>& curbs);

/// Calls visit(row, col) for every cell whose centre lies within `reach_m` of the segment in x and in y (a
/// few more beside its ends).
template <class Visit>
void for_cells_near(const GridFrame& frame, base::Point a, base::Point b, double reach_m,
                    const Visit& visit) {
  const double cell = frame.cell_m;
  const auto bounded = [](double v, std::int64_t n) {
    return static_cast<std::int64_t>(std::clamp(v, -1.0, static_cast<double>(n)));
  };
  const double top = std::max(a.y_m, b.y_m);
  const double bottom = std::min(a.y_m, b.y_m);
  const std::int64_t first_row =
      std::max<std::int64_t>(0, bounded(std::floor(-(top + reach_m) / cell - 0.5), frame.rows));
  const std::int64_t last_row =
      std::min(frame.rows - 1, bounded(std::ceil(-(bottom - reach_m) / cell - 0.5), frame.rows));
  const double fall = b.y_m - a.y_m;
  for (std::int64_t row = first_row; row <= last_row; ++row) {
    const double y = -(static_cast<double>(row) + 0.5) * cell;
    double t0 = 0.0;
    double t1 = 1.0;
    if (std::abs(fall) > 0.0) {
      t0 = std::clamp((y - reach_m - a.y_m) / fall, 0.0, 1.0);
      t1 = std::clamp((y + reach_m - a.y_m) / fall, 0.0, 1.0);
    }
    const double x0 = a.x_m + t0 * (b.x_m - a.x_m);
    const double x1 = a.x_m + t1 * (b.x_m - a.x_m);
    const std::int64_t first_col =
        std::max<std::int64_t>(0, bounded(std::floor((std::min(x0, x1) - reach_m) / cell - 0.5), frame.cols));
    const std::int64_t last_col =
        std::min(frame.cols - 1, bounded(std::ceil((std::max(x0, x1) + reach_m) / cell - 0.5), frame.cols));
    for (std::int64_t col = first_col; col <= last_col; ++col) visit(row, col);
  }
}

}  // namespace curbshed::terrain::detail
