#include "curbshed/water/time_area.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/base/vectors.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace curbshed::water {
namespace {

// Narrower ranges count as one delay: the difference of two integrals would lose its digits.
constexpr double kNarrow_steps = 1e-3;

/// Integral from −1 to u of the hat 1 − |x| on [−1, 1]: the share of a step's water that a delay puts into a
/// step.
double hat_integral(double u) {
  if (u <= -1.0) return 0.0;
  if (u <= 0.0) return 0.5 * (u + 1.0) * (u + 1.0);
  if (u < 1.0) return 1.0 - 0.5 * (1.0 - u) * (1.0 - u);
  return 1.0;
}

/// to += factor · from. Wider vectors where the machine has them: a product and a sum, the same bits.
CURBSHED_VECTOR_CLONES void add_scaled(double factor, const double* from, std::size_t count, double* to) {
  for (std::size_t k = 0; k < count; ++k) to[k] += factor * from[k];
}

}  // namespace

std::size_t steps_needed(double to_s, double step_s) {
  base::ensure(step_s > 0.0 && to_s >= 0.0 && std::isfinite(to_s / step_s),
               "a delay is finite and not negative");
  return static_cast<std::size_t>(to_s / step_s) + 2;
}

void add_area_by_step(const DelayedArea& area, double step_s, std::span<double> by_step_m2) {
  base::ensure(area.from_s >= 0.0 && area.from_s <= area.to_s, "a delay range runs forward from 0");
  base::ensure(by_step_m2.size() >= steps_needed(area.to_s, step_s), "the areas by step are long enough");
  const double a = area.from_s / step_s;
  const double b = area.to_s / step_s;
  if (b - a < kNarrow_steps) {
    const double middle = 0.5 * (a + b);
    const auto whole = static_cast<std::size_t>(middle);
    const double later = area.area_m2 * (middle - static_cast<double>(whole));
    by_step_m2[whole] += area.area_m2 - later;
    by_step_m2[whole + 1] += later;
    return;
  }
  const auto last = static_cast<std::size_t>(b) + 1;
  for (auto k = static_cast<std::size_t>(a); k <= last; ++k) {
    const double place = static_cast<double>(k);
    by_step_m2[k] += area.area_m2 * (hat_integral(b - place) - hat_integral(a - place)) / (b - a);
  }
}

std::vector<double> areas_by_step_m2(std::span<const DelayedArea> areas, double step_s) {
  std::size_t steps = 0;
  for (const DelayedArea& area : areas) steps = std::max(steps, steps_needed(area.to_s, step_s));
  std::vector<double> by_step_m2(steps, 0.0);
  for (const DelayedArea& area : areas) add_area_by_step(area, step_s, by_step_m2);
  return by_step_m2;
}

double add_time_area(std::span<const double> excess_m, std::span<const double> by_step_m2,
                     std::span<double> volume_m3) {
  double rest_m3 = 0.0;
  const std::size_t steps = volume_m3.size();
  for (std::size_t i = 0; i < excess_m.size(); ++i) {
    const double depth_m = excess_m[i];
    if (depth_m == 0.0) continue;
    const std::size_t in_time = i < steps ? std::min(by_step_m2.size(), steps - i) : 0;
    add_scaled(depth_m, by_step_m2.data(), in_time, volume_m3.data() + i);
    for (std::size_t k = in_time; k < by_step_m2.size(); ++k) rest_m3 += depth_m * by_step_m2[k];
  }
  return rest_m3;
}

}  // namespace curbshed::water
