// Root of a rising function between two bounds; the same bits every time.
#pragma once

#include <cmath>

namespace curbshed::water {

inline constexpr int kMaxIterations = 120;
inline constexpr int kMaxDoublings = 40;
inline constexpr double kRootWithin = 1e-13;  ///< of the bracket's size scale, metres

struct Bracket {
  double low = 0.0;
  double high = 0.0;
};
struct Root {
  double at = 0.0;       ///< f(at) ≤ 0 unless f(low) > 0, then low
  double above = 0.0;    ///< other end of the last bracket, f(above) ≥ 0
  bool resolved = true;  ///< |above − at| within kRootWithin · max(1, |at|)
};

/// Root of a non-decreasing f in [low, high] by regula falsi with halved weights, and a bisection after each
/// step that did not halve the bracket. Returns the end where f ≤ 0, so that a balance closed from it never
/// overdraws. f(low) > 0 → low; f(high) < 0 → high, not resolved. At most kMaxIterations evaluations.
template <class F>
Root lower_root(Bracket bracket, const F& f) {
  double low = bracket.low;
  double high = bracket.high;
  double f_low = f(low);
  if (f_low >= 0.0) return {.at = low, .above = low, .resolved = true};
  double f_high = f(high);
  if (f_high < 0.0) return {.at = high, .above = high, .resolved = false};
  if (f_high == 0.0) return {.at = high, .above = high, .resolved = true};
  bool bisect = false;
  int side = 0;
  for (int i = 0; i < kMaxIterations; ++i) {
    const double width = high - low;
    if (width <= kRootWithin * std::fmax(1.0, std::fabs(low)))
      return {.at = low, .above = high, .resolved = true};
    double middle = bisect ? low + 0.5 * width : low + width * (-f_low / (f_high - f_low));
    if (!(middle > low && middle < high)) middle = low + 0.5 * width;
    if (!(middle > low && middle < high)) return {.at = low, .above = high, .resolved = true};
    const double f_middle = f(middle);
    if (f_middle == 0.0) return {.at = middle, .above = middle, .resolved = true};
    if (f_middle < 0.0) {
      low = middle;
      f_low = f_middle;
      if (side == -1) f_high *= 0.5;
      side = -1;
    } else {
      high = middle;
      f_high = f_middle;
      if (side == 1) f_low *= 0.5;
      side = 1;
    }
    bisect = high - low > 0.5 * width;
  }
  return {.at = low, .above = high, .resolved = false};
}

}  // namespace curbshed::water
