#include "curbshed/trees/supply.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>

namespace curbshed::trees {

double mean_event_m3(const EventCurve& curve, double mean_depth_m) {
  base::ensure(curve.depth_m.size() == curve.volume_m3.size() && curve.depth_m.size() >= 2,
               "an event curve has two points or more");
  base::ensure(curve.depth_m.front() == 0.0 && curve.volume_m3.front() == 0.0,
               "an event curve starts at no rain and no water");
  if (!(mean_depth_m > 0.0)) {
    return 0.0;
  }
  double mean_m3 = 0.0;
  double over = 1.0;  // share of rains deeper than the piece's start
  for (std::size_t i = 1; i < curve.depth_m.size(); ++i) {
    const double wide_m = curve.depth_m[i] - curve.depth_m[i - 1];
    base::ensure(wide_m > 0.0 && curve.volume_m3[i] >= 0.0, "an event curve rises in depth");
    const double slope_m2 = (curve.volume_m3[i] - curve.volume_m3[i - 1]) / wide_m;
    const double beyond = std::exp(-curve.depth_m[i] / mean_depth_m);
    mean_m3 += slope_m2 * mean_depth_m * (over - beyond);
    over = beyond;
  }
  return mean_m3;
}

std::array<double, kMonths> monthly_supply_m3(const EventCurve& curve,
                                              const std::array<RainMonth, kMonths>& months) {
  std::array<double, kMonths> supply{};
  for (std::size_t month = 0; month < kMonths; ++month) {
    supply[month] = months[month].wet_days * mean_event_m3(curve, months[month].mean_wet_day_depth_m);
  }
  return supply;
}

}  // namespace curbshed::trees
