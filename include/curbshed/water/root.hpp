// Root of a rising function between two bounds; the same bits every time.
#pragma once

#include <algorithm>
#include <cmath>
#include <optional>

namespace curbshed::water {

inline constexpr int kMaxIterations = 120;
inline constexpr int kMaxDoublings = 40;
inline constexpr double kRootWithin = 1e-13;  ///< of max(1, |root|)

struct Bracket {
  double low = 0.0;
  double high = 0.0;
};
struct Root {
  double at = 0.0;       ///< f(at) ≤ 0, unless f(low) > 0: then low
  bool resolved = true;  ///< the root lies within 2 · kRootWithin · max(1, |at|) above `at`
};

/// Root of a non-decreasing f in [low, high] by Chandrupatla's method (1997, Advances in Engineering Software
/// 28:145; from memory): inverse quadratic steps where they are safe, halving elsewhere. Returns the end of
/// the last bracket where f ≤ 0, so that a balance closed from it never overdraws. f(low) ≥ 0 → low; f(high)
/// < 0 → high, not resolved. At most kMaxIterations evaluations after the ends.
template <class F>
Root lower_root(Bracket bracket, const F& f) {
  double a = bracket.low;
  double fa = f(a);
  if (fa >= 0.0) return {.at = a, .resolved = true};
  double b = bracket.high;
  double fb = f(b);
  if (fb <= 0.0) return {.at = b, .resolved = fb == 0.0};
  double share = 0.5;  // of the way from the newest point a to b, where f has the other sign
  for (int i = 0; i < kMaxIterations; ++i) {
    const double x = a + share * (b - a);
    const double fx = f(x);
    if (fx == 0.0) return {.at = x, .resolved = true};
    double c = a;
    double fc = fa;
    if ((fx < 0.0) != (fa < 0.0)) {
      c = b;
      fc = fb;
      b = a;
      fb = fa;
    }
    a = x;
    fa = fx;
    const double least = kRootWithin * std::max(1.0, std::fabs(a)) / std::fabs(b - a);
    if (least > 0.5) return {.at = fa < 0.0 ? a : b, .resolved = true};
    const double xi = (a - b) / (c - b);
    const double phi = (fa - fb) / (fc - fb);
    share = 0.5;
    if (phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi) {
      share = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb);
    }
    share = std::clamp(share, least, 1.0 - least);
  }
  return {.at = fa < 0.0 ? a : b, .resolved = false};
}

/// Value, slope and second slope of a function at a place.
struct CurvePoint {
  double value = 0.0;
  double slope = 0.0;
  double bend = 0.0;
};

/// Root of a rising f that curves upward in (low, high], f(high) ≥ 0, by Halley's steps from the right: three
/// evaluations where lower_root needs eight. Within kRootWithin of the root, on either side of it. Nothing
/// where the steps do not settle (a kink, a bracket that does not hold): then ask lower_root.
template <class F>
std::optional<double> smooth_root(Bracket bracket, const F& f) {
  constexpr int kSteps = 10;
  double x = bracket.high;
  for (int i = 0; i < kSteps; ++i) {
    const CurvePoint at = f(x);
    const double newton = at.value / at.slope;
    const double bent = 0.5 * at.bend / at.slope;
    const double next = x - newton / (1.0 - newton * bent);
    if (!(next > bracket.low && next <= bracket.high)) return std::nullopt;
    const double moved = x - next;
    x = next;
    if (std::fabs(moved * (moved * bent) * (moved * bent)) <= 0.1 * kRootWithin) return x;
  }
  return std::nullopt;
}

}  // namespace curbshed::water
