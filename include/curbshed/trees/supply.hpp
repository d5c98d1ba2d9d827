// Water of a typical year, from months, their wet days and what a basin takes of one rain.
#pragma once

#include <array>
#include <vector>

namespace curbshed::trees {

inline constexpr std::size_t kMonths = 12;

/// Rain of a mean month.
struct RainMonth {
  double wet_days = 0.0;              ///< ≥ 0
  double mean_wet_day_depth_m = 0.0;  ///< ≥ 0
};

/// What one rain brings, by its depth: straight between the points, constant beyond the last one (so the few
/// larger rains count with too little).
struct EventCurve {
  std::vector<double> depth_m;    ///< rising, the first is 0
  std::vector<double> volume_m3;  ///< the first is 0; no value is negative
};

/// Mean volume of a rain whose depth is spread exponentially about `mean_depth_m`, m³.
///
/// Wet-day depths are taken as exponential: density e^(−p/d)/d. For a curve of straight pieces with slope s
/// from a to b the mean is the sum of s · d · (e^(−a/d) − e^(−b/d)), exact. Exponential daily depths: common
/// in weather generators, e.g. Richardson 1981, Water Resources Research 17(1):182-190 (from memory); real
/// records have more small and more very large days. Edges: mean 0 → 0. Throws BugError for a curve that does
/// not start at 0, does not rise in depth or has a negative volume.
double mean_event_m3(const EventCurve& curve, double mean_depth_m);

/// Volume of each month: wet days × mean_event_m3, m³. Each wet day is one rain on an empty basin.
std::array<double, kMonths> monthly_supply_m3(const EventCurve& curve,
                                              const std::array<RainMonth, kMonths>& months);

}  // namespace curbshed::trees
