// Symbols: T spread, d depth at the curb face, t = T − W beyond the dip, Sx and Sw slopes of pavement and
// dip, w = T/B, D = d/H, y height of the parabola over the curb's foot.
#include "curbshed/water/gutter_forms.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/water/root.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

namespace curbshed::water {
namespace {

constexpr int kNewtonLimit = 60;

double power_5_3(double x) {
  const double third = std::cbrt(x);
  return x * third * third;
}

// --- dip ---------------------------------------------------------------------------------------------

double dip_slope(const RawGutter& g) { return g.cross_slope + g.drop_m / g.width_m; }
/// Depth at which the water is as wide as the dip.
double full_dip_m(const RawGutter& g) { return g.cross_slope * g.width_m + g.drop_m; }

double beyond_dip_m(const RawGutter& g, double d) { return std::max(0.0, d - full_dip_m(g)) / g.cross_slope; }

double dip_flow(const RawGutter& g, double d) {
  const double t = beyond_dip_m(g, d);
  const double beyond = power_8_3(t);
  const double share = g.cross_slope / dip_slope(g);
  return g.unit_flow_m3_s * (share * (power_8_3(d / g.cross_slope) - beyond) + beyond);
}

/// Flow is convex in depth: from above, Newton's steps never pass the root.
double dip_depth(const RawGutter& g, double Q) {
  const double Sx = g.cross_slope;
  const double share = Sx / dip_slope(g);
  const double within = Sx * std::pow(Q / (g.unit_flow_m3_s * share), 3.0 / 8.0);
  const double full = full_dip_m(g);
  if (within <= full) return within;
  // The pavement alone carries less at a spread, so its spread is wide enough.
  double t = std::max(0.0, std::pow(Q / g.unit_flow_m3_s, 3.0 / 8.0) - g.width_m);
  for (int i = 0; i < kNewtonLimit; ++i) {
    const double reach = full / Sx + t;
    const double gain =
        8.0 / 3.0 * g.unit_flow_m3_s * (share * (power_5_3(reach) - power_5_3(t)) + power_5_3(t));
    const double fall =
        (g.unit_flow_m3_s * (share * (power_8_3(reach) - power_8_3(t)) + power_8_3(t)) - Q) / gain;
    if (!(fall > 1e-16 * reach)) break;
    t = std::max(0.0, t - fall);
  }
  return full + Sx * t;
}

// --- parabola ----------------------------------------------------------------------------------------

// Gauss-Legendre, 8 points.
constexpr std::array<double, 4> kAt{0.1834346424956498, 0.5255324099163290, 0.7966664774136267,
                                    0.9602898564975363};
constexpr std::array<double, 4> kWeight{0.3626837833783620, 0.3137066458778873, 0.2223810344533745,
                                        0.1012285362903763};
constexpr int kPanels = 8;

template <class F>
double integral(double from, double to, const F& f) {
  double sum = 0.0;
  const double half = 0.5 * (to - from) / kPanels;
  for (int p = 0; p < kPanels; ++p) {
    const double middle = from + (2.0 * p + 1.0) * half;
    for (std::size_t k = 0; k < kAt.size(); ++k) {
      sum += kWeight[k] * half * (f(middle - half * kAt[k]) + f(middle + half * kAt[k]));
    }
  }
  return sum;
}

/// Flow over unit_flow and w^(8/3): with u = u0 + w s³ the depth over H is w s³ (2 − 2w + w s³).
double shape_number(double w) {
  return integral(0.0, 1.0, [w](double s) {
    const double cube = s * s * s;
    return 3.0 * cube * cube * s * power_5_3(2.0 * (1.0 - w) + w * cube);
  });
}

constexpr std::size_t kTerms = 40;

/// Chebyshev series of shape_number on 0 to 1, worked out once.
const std::array<double, kTerms>& shape_series() {
  static const std::array<double, kTerms> series = [] {
    std::array<double, kTerms> values{};
    std::array<double, kTerms> out{};
    const auto angle = [](std::size_t k) {
      return std::numbers::pi * (static_cast<double>(k) + 0.5) / static_cast<double>(kTerms);
    };
    for (std::size_t k = 0; k < kTerms; ++k) values[k] = shape_number(0.5 * (1.0 + std::cos(angle(k))));
    for (std::size_t n = 0; n < kTerms; ++n) {
      for (std::size_t k = 0; k < kTerms; ++k) {
        out[n] += values[k] * std::cos(static_cast<double>(n) * angle(k));
      }
      out[n] *= (n == 0 ? 1.0 : 2.0) / static_cast<double>(kTerms);
    }
    return out;
  }();
  return series;
}

double shape_by_series(double w) {
  const std::array<double, kTerms>& c = shape_series();
  const double x = 2.0 * w - 1.0;
  double b1 = 0.0;
  double b2 = 0.0;
  for (std::size_t n = kTerms - 1; n > 0; --n) {
    const double b = 2.0 * x * b1 - b2 + c[n];
    b2 = b1;
    b1 = b;
  }
  return x * b1 - b2 + c[0];
}

double share_of_width(double D) { return D / (1.0 + std::sqrt(1.0 - D)); }

double crown_flow(const RawGutter& g, double d) {
  const double D = d / g.drop_m;
  if (D <= 1.0) {
    const double w = share_of_width(D);
    return g.unit_flow_m3_s * power_8_3(w) * shape_by_series(w);
  }
  return g.unit_flow_m3_s *
         integral(0.0, 1.0, [D](double u) { return power_5_3(std::max(0.0, D - 1.0 + u * u)); });
}

double crown_depth(const RawGutter& g, double Q) {
  double high = g.drop_m;
  for (int i = 0; i < kMaxDoublings && crown_flow(g, high) < Q; ++i) high *= 2.0;
  return lower_root({.low = 0.0, .high = high}, [&](double d) { return crown_flow(g, d) - Q; }).at;
}

}  // namespace

RawGutter raw_gutter(const CompositeGutter& gutter) {
  const double W = gutter.width.in_metres();
  const double a = gutter.depression.in_metres();
  if (!(W >= 0.0 && a >= 0.0) || (a > 0.0 && !(W > 0.0))) {
    throw base::InputError({}, fmt::format("a dip of {} m over a width of {} m is not usable", a, W),
                           "a depression of 0 m or more over a width above 0 m",
                           "give both the width of the dip and its depression");
  }
  RawGutter g = raw_gutter(gutter.section);
  if (a > 0.0) {
    g.width_m = W;
    g.drop_m = a;
    g.form = GutterForm::Depressed;
  }
  return g;
}

RawGutter raw_gutter(const ParabolicStreet& street) {
  const double H = street.crown_height.in_metres();
  const double B = street.half_width.in_metres();
  if (!(H > 0.0 && B > 0.0)) {
    throw base::InputError({}, fmt::format("a crown {:g} m high, {:g} m from the curb, is not usable", H, B),
                           "both over 0 m", "give the crown's height and its distance from the curb");
  }
  return {
      .unit_flow_m3_s = std::sqrt(street.grade.as_fraction()) / street.roughness.value() * power_5_3(H) * B,
      .cross_slope = H / B,
      .width_m = B,
      .drop_m = H,
      .form = GutterForm::Parabolic};
}

double flow_share_within(const RawGutter& g, double width_m, double flow_m3_s) {
  if (!(flow_m3_s > 0.0)) return 1.0;
  const double d = depth_at_flow_m(g, flow_m3_s);
  const double T = spread_at_depth_m(g, d);
  if (width_m >= T) return 1.0;
  if (g.form == GutterForm::Parabolic) {
    const double D = d / g.drop_m;
    const double inner = integral(0.0, width_m / g.width_m,
                                  [D](double w) { return power_5_3(std::max(0.0, D - w * (2.0 - w))); });
    return std::clamp(g.unit_flow_m3_s * inner / flow_m3_s, 0.0, 1.0);
  }
  const double beyond = g.unit_flow_m3_s * power_8_3(T - width_m);
  if (g.form == GutterForm::Straight || width_m >= g.width_m) {
    return std::clamp(1.0 - beyond / flow_m3_s, 0.0, 1.0);
  }
  // The line at which the share ends lies within the dip.
  const double d1 = std::max(0.0, d - dip_slope(g) * width_m);
  const double t = beyond_dip_m(g, d);
  const double past_dip = power_8_3(t);
  const double share = g.cross_slope / dip_slope(g);
  const double rest = g.unit_flow_m3_s * (share * (power_8_3(d1 / g.cross_slope) - past_dip) + past_dip);
  return std::clamp(1.0 - rest / flow_m3_s, 0.0, 1.0);
}

double slope_at_flow(const RawGutter& g, double flow_m3_s) {
  if (g.form != GutterForm::Parabolic || !(flow_m3_s > 0.0)) return g.cross_slope;
  const double d = depth_at_flow_m(g, flow_m3_s);
  return d / spread_at_depth_m(g, d);
}

namespace forms {

double depth_at_spread_m(const RawGutter& g, double spread_m) {
  if (!(spread_m > 0.0)) return 0.0;
  if (g.form == GutterForm::Parabolic) {
    const double w = std::min(1.0, spread_m / g.width_m);
    return g.drop_m * w * (2.0 - w);
  }
  return spread_m <= g.width_m ? dip_slope(g) * spread_m : g.cross_slope * spread_m + g.drop_m;
}

double spread_at_depth_m(const RawGutter& g, double depth_m) {
  if (!(depth_m > 0.0)) return 0.0;
  if (g.form == GutterForm::Parabolic) {
    return g.width_m * share_of_width(std::min(1.0, depth_m / g.drop_m));
  }
  return depth_m <= full_dip_m(g) ? depth_m / dip_slope(g) : (depth_m - g.drop_m) / g.cross_slope;
}

double flow_at_depth_m3_s(const RawGutter& g, double depth_m) {
  if (!(depth_m > 0.0)) return 0.0;
  return g.form == GutterForm::Parabolic ? crown_flow(g, depth_m) : dip_flow(g, depth_m);
}

double depth_at_flow_m(const RawGutter& g, double flow_m3_s) {
  if (!(flow_m3_s > 0.0)) return 0.0;
  return g.form == GutterForm::Parabolic ? crown_depth(g, flow_m3_s) : dip_depth(g, flow_m3_s);
}

double area_at_depth_m2(const RawGutter& g, double depth_m) {
  if (!(depth_m > 0.0)) return 0.0;
  if (g.form == GutterForm::Parabolic) {
    const double D = depth_m / g.drop_m;
    if (D >= 1.0) return g.drop_m * g.width_m * (D - 2.0 / 3.0);
    const double w = share_of_width(D);
    return g.drop_m * g.width_m * w * w * (1.0 - 2.0 / 3.0 * w);
  }
  const double d1 = g.cross_slope * beyond_dip_m(g, depth_m);
  return 0.5 * ((depth_m * depth_m - d1 * d1) / dip_slope(g) + d1 * d1 / g.cross_slope);
}

double celerity_at_depth_m_s(const RawGutter& g, double depth_m) {
  constexpr double kPart = 1e-5;
  const double lower = depth_m * (1.0 - kPart);
  const double upper = depth_m * (1.0 + kPart);
  return (forms::flow_at_depth_m3_s(g, upper) - forms::flow_at_depth_m3_s(g, lower)) /
         (forms::area_at_depth_m2(g, upper) - forms::area_at_depth_m2(g, lower));
}

}  // namespace forms
}  // namespace curbshed::water
