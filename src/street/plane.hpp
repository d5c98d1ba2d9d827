// Arithmetic of points as vectors.
#pragma once

#include "curbshed/base/geometry.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace curbshed::street::detail {

inline base::Point plus(base::Point a, base::Point b) { return {a.x_m + b.x_m, a.y_m + b.y_m}; }
inline base::Point minus(base::Point a, base::Point b) { return {a.x_m - b.x_m, a.y_m - b.y_m}; }
inline base::Point times(double k, base::Point a) { return {k * a.x_m, k * a.y_m}; }
inline double dot(base::Point a, base::Point b) { return a.x_m * b.x_m + a.y_m * b.y_m; }
inline double cross(base::Point a, base::Point b) { return a.x_m * b.y_m - a.y_m * b.x_m; }
inline base::Point left_of(base::Point direction) { return {-direction.y_m, direction.x_m}; }
/// {0, 0} stays as it is.
inline base::Point unit(base::Point a) {
  const double length = std::hypot(a.x_m, a.y_m);
  return length > 0.0 ? times(1.0 / length, a) : a;
}
inline bool before(base::Point a, base::Point b) { return a.x_m != b.x_m ? a.x_m < b.x_m : a.y_m < b.y_m; }

/// Mean of the two middle ones of an even count. Not empty.
inline double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return 0.5 * (*middle + *std::max_element(values.begin(), middle));
}

/// Standard deviation from the median absolute deviation; 0 for fewer than two values.
inline double spread_of(const std::vector<double>& values) {
  if (values.size() < 2) return 0.0;
  const double middle = median_of(values);
  std::vector<double> off;
  for (const double v : values) off.push_back(std::abs(v - middle));
  return 1.4826 * median_of(off);
}

}  // namespace curbshed::street::detail
