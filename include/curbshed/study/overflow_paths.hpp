// Where the water of a full basin goes once it is over the rim.
#pragma once

#include "curbshed/study/preparation.hpp"

#include <cstdint>
#include <string_view>
#include <vector>

namespace curbshed::study {

/// What the lowest point of a basin's rim is.
enum class RimKind : std::uint8_t {
  Street,  ///< the ground between curb and basin, or the curb itself
  Gap,     ///< the same, where a driveway, ramp or other gap of a curb is near
  Ground   ///< ground behind or beside the basin
};
/// "its side toward the street", "a gap of the curb", "the ground beside it".
std::string_view word_of(RimKind kind);

struct OverflowPath {
  std::int32_t node = -1;  ///< whose basin
  RimKind over = RimKind::Ground;
  base::Polyline line;    ///< from the rim's lowest point down; middle points of straight parts left out
  double length_m = 0.0;  ///< of the line
  double lowest_m = 0.0;  ///< lowest ground on it, unlowered
  base::Point lowest_at;
  std::int32_t into = -1;  ///< node that it reaches; −1: over lots off the data, lost to the street
};

/// Paths of all cuts' basins, in chain order. Each follows the run's directions, as the ground lies now with
/// walls in place and no basin dug, from the cell of the rim's lowest point to the first cell of another
/// node; its own cut is passed, since its basin is full. A rim that was measured keeps the place that the
/// ground gives it. Ground under a stopped line: ends there. Needs the preparation's grids.
std::vector<OverflowPath> overflow_paths(const StudyInputs& inputs, const Preparation& preparation);

}  // namespace curbshed::study
