// Steps of the heights along straight lines: where two surveys, or two tiles of one, were put together.
#pragma once

#include "curbshed/terrain/grid.hpp"

#include <vector>

namespace curbshed::terrain {

struct SurveySeam {
  base::Point from;  ///< western, then southern end
  base::Point to;
  double step_m = 0.0;  ///< median; positive: higher to the left, looking from `from` to `to`
  double length_m = 0.0;
  double share = 0.0;  ///< of the length along which the step was found
};

/// Straight lines at least 100 m long (some of up to 150 m are missed), within 6° of the raster's rows or
/// columns, across which the ground steps by more than `least_step_m` beyond the slopes on both sides, along
/// at least 70 % of their length in windows of 25 m, everywhere the same way up and by about as much.
/// `ignore`: cells that do not count (1; curbs, walls); empty = none. A wall that long cannot be told from a
/// seam. Seams at other bearings are not found. By row, then column.
std::vector<SurveySeam> survey_seams(const Ground& ground, const Grid<std::uint8_t>& ignore,
                                     double least_step_m);

}  // namespace curbshed::terrain
