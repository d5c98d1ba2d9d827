// Symbols as in the header; u = 1 − x/B, so that y = H (1 − u²) and the water's edge lies at u0 = √(1 − d/H).
#include "curbshed/water/parabolic_gutter.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/water/root.hpp"

#include <array>
#include <cmath>

#include <fmt/format.h>

namespace curbshed::water {
namespace {

[[noreturn]] void refuse(std::string what, std::string allowed, std::string next) {
  throw base::InputError({}, std::move(what), std::move(allowed), std::move(next));
}

// Gauss-Legendre, 8 points.
constexpr std::array<double, 4> kAt{0.1834346424956498, 0.5255324099163290, 0.7966664774136267,
                                    0.9602898564975363};
constexpr std::array<double, 4> kWeight{0.3626837833783620, 0.3137066458778873, 0.2223810344533745,
                                        0.1012285362903763};
constexpr int kPanels = 8;

template <class F>
double integral_to_one(const F& f) {
  double sum = 0.0;
  const double half = 0.5 / kPanels;
  for (int p = 0; p < kPanels; ++p) {
    const double middle = (2.0 * p + 1.0) * half;
    for (std::size_t k = 0; k < kAt.size(); ++k) {
      sum += kWeight[k] * half * (f(middle - half * kAt[k]) + f(middle + half * kAt[k]));
    }
  }
  return sum;
}

struct Raw {
  double H = 0.0;
  double B = 0.0;
  double factor = 0.0;  ///< √S / n

  /// ∫ depth^(5/3) dx. u = u0 + T/B s³ takes the corner at the water's edge away.
  double conveyance(double T) const {
    const double w = T / B;
    return integral_to_one([&](double s) {
      const double rise = w * s * s * s;
      const double depth = H * rise * (rise + 2.0 * (1.0 - w));
      return std::cbrt(depth) * std::cbrt(depth) * depth * T * 3.0 * s * s;
    });
  }
  double depth(double T) const { return H * (T / B) * (2.0 - T / B); }
  double area(double T) const {
    const double w = T / B;
    return H * B * w * w * (1.0 - 2.0 / 3.0 * w);
  }
};

Raw raw_of(const ParabolicStreet& street) {
  const Raw raw{.H = street.crown_height.in_metres(),
                .B = street.half_width.in_metres(),
                .factor = std::sqrt(street.grade.as_fraction()) / street.roughness.value()};
  if (!(raw.H > 0.0 && raw.B > 0.0))
    refuse(fmt::format("a crown {:g} m high, {:g} m from the curb, is not usable", raw.H, raw.B),
           "both over 0 m", "give the crown's height and its distance from the curb");
  return raw;
}

GutterFlow described(const Raw& raw, double T) {
  const double Q = raw.factor * raw.conveyance(T);
  const double A = raw.area(T);
  GutterFlow out{.flow = base::Flow::cubic_metres_per_second(Q),
                 .spread = base::Length::metres(T),
                 .depth = base::Length::metres(raw.depth(T))};
  if (Q > 0.0 && A > 0.0) {
    out.velocity_m_s = Q / A;
    const double dT = 1e-5 * T;
    out.celerity_m_s =
        raw.factor * (raw.conveyance(T) - raw.conveyance(T - dT)) / (raw.area(T) - raw.area(T - dT));
  }
  return out;
}

}  // namespace

GutterFlow parabolic_at_spread(const ParabolicStreet& street, base::Length spread) {
  const Raw raw = raw_of(street);
  const double T = spread.in_metres();
  if (!(T >= 0.0 && T <= raw.B))
    refuse(fmt::format("a spread of {:g} m is not usable", T),
           fmt::format("0 m to the crown at {:g} m", raw.B), "beyond the crown water runs on both sides");
  return described(raw, T);
}

GutterFlow parabolic_at_flow(const ParabolicStreet& street, base::Flow flow) {
  const Raw raw = raw_of(street);
  const double Q = flow.in_cubic_metres_per_second();
  if (Q < 0.0)
    refuse(fmt::format("a gutter flow of {:g} m3/s is not usable", Q), "0 m3/s or more", "mend that value");
  if (Q > 0.0 && !(raw.factor > 0.0))
    refuse("a flow on no grade has no depth", "a grade over 0 %", "give the grade, or work it as a sag");
  if (Q == 0.0) return described(raw, 0.0);
  const double most = raw.factor * raw.conveyance(raw.B);
  if (Q > most)
    refuse(fmt::format("a flow of {:g} m3/s passes the crown", Q), fmt::format("at most {:g} m3/s", most),
           "share it between both gutters");
  const Root root =
      lower_root({.low = 0.0, .high = raw.B}, [&](double T) { return raw.factor * raw.conveyance(T) - Q; });
  GutterFlow out = described(raw, root.at);
  out.flow = flow;
  return out;
}

}  // namespace curbshed::water
