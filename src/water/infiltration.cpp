// Symbols: F depth gone in, f capacity, K conductivity, S = ψΔθ, i rain, f0 and fc Horton's rates, k decay.
#include "curbshed/water/infiltration.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

namespace curbshed::water {
namespace {

using Law = RawInfiltration::Law;

constexpr int kNewtonSteps = 60;
constexpr double kWithin = 1e-15;

[[noreturn]] void refuse(std::string what, std::string allowed) {
  throw base::InputError({}, std::move(what), std::move(allowed), "look at the number and its unit");
}

/// F with F − F0 − S ln((S + F)/(S + F0)) = K t. In x = (F − F0)/(S + F0): x − s ln(1 + x) = t', s = S/(S +
/// F0); log1p keeps its figures for small x. The left side is convex and rising, so Newton from above
/// closes in from one side.
double green_ampt_after(double F0, double S, double Kt) {
  if (S == 0.0) return F0 + Kt;
  const double s = S / (S + F0);
  const double t = Kt / (S + F0);
  // Above the root: x − s ln(1 + x) ≥ (1 − s) x and ≥ x²/(2 (1 + x)) s.
  double x = t + std::sqrt(t * t + 2.0 * t);
  if (s < 1.0) x = std::min(x, t / (1.0 - s));
  for (int n = 0; n < kNewtonSteps && x > 0.0; ++n) {
    const double slope = (x + 1.0 - s) / (1.0 + x);
    const double next = std::max(0.0, x - (x - s * std::log1p(x) - t) / slope);
    const bool done = std::fabs(next - x) <= kWithin * x;
    x = next;
    if (done) break;
  }
  return F0 + x * (S + F0);
}

double horton_depth(const RawInfiltration& soil, double t) {
  const double extra = (soil.initial_m_s - soil.conductivity_m_s) / soil.decay_per_s;
  return soil.conductivity_m_s * t - extra * std::expm1(-soil.decay_per_s * t);
}

/// Time of standing water after which F has gone in.
double horton_time(const RawInfiltration& soil, double F) {
  if (!(F > 0.0)) return 0.0;
  const double fc = soil.conductivity_m_s;
  const double k = soil.decay_per_s;
  const double extra = (soil.initial_m_s - fc) / k;
  if (extra == 0.0) return fc > 0.0 ? F / fc : std::numeric_limits<double>::infinity();
  if (fc == 0.0 && F >= extra) return std::numeric_limits<double>::infinity();
  // F(t) is rising and concave: Newton from below stays below.
  double t = F / soil.initial_m_s;
  for (int n = 0; n < kNewtonSteps; ++n) {
    const double rate = fc + (soil.initial_m_s - fc) * std::exp(-k * t);
    const double next = t + (F - horton_depth(soil, t)) / rate;
    const bool done = std::fabs(next - t) <= kWithin * t;
    t = next;
    if (done) break;
  }
  return std::max(0.0, t);
}

/// F at which the capacity has fallen to i; absent: it never does.
std::optional<double> depth_at_capacity(const RawInfiltration& soil, double i) {
  const double K = soil.conductivity_m_s;
  if (i <= K) return std::nullopt;
  if (soil.law == Law::GreenAmpt) return K * soil.suction_deficit_m / (i - K);
  if (i >= soil.initial_m_s) return 0.0;
  return horton_depth(soil, std::log((soil.initial_m_s - K) / (i - K)) / soil.decay_per_s);
}

Infiltrated infiltrated(const RawInfiltration& soil, double t, std::optional<double> i) {
  if (!(t > 0.0)) refuse(fmt::format("a time of {} s is not usable", t), "over 0 s");
  if (i && !(*i >= 0.0)) refuse(fmt::format("a rain of {} m/s is not usable", *i), "0 mm/h or more");
  Infiltrated out{.ponding = std::nullopt,
                  .depth = base::Length::metres(0.0),
                  .rate = base::Rate::metres_per_second(0.0)};
  double tp = 0.0;
  double Fp = 0.0;
  if (i) {
    const std::optional<double> at = depth_at_capacity(soil, *i);
    if (at) tp = *at / *i;
    if (at) out.ponding = base::Duration::seconds(tp);
    if (!at || tp >= t) {
      out.depth = base::Length::metres(*i * t);
      out.rate = base::Rate::metres_per_second(*i);
      return out;
    }
    Fp = *at;
  } else {
    out.ponding = base::Duration::seconds(0.0);
  }
  const double F = ponded_depth_m(soil, Fp, t - tp);
  out.depth = base::Length::metres(F);
  out.rate = base::Rate::metres_per_second(capacity_m_s(soil, F));
  return out;
}

}  // namespace

RawInfiltration raw_infiltration(const GreenAmptSoil& soil) {
  const double psi = soil.suction.in_metres();
  const double K = soil.conductivity.in_metres_per_second();
  if (!(psi >= 0.0)) refuse(fmt::format("a suction of {} m is not usable", psi), "0 m or more");
  if (!(soil.deficit >= 0.0 && soil.deficit <= 1.0))
    refuse(fmt::format("a moisture deficit of {} is not usable", soil.deficit), "0 to 1");
  if (!(K > 0.0)) refuse(fmt::format("a conductivity of {} m/s is not usable", K), "over 0");
  RawInfiltration raw;
  raw.law = Law::GreenAmpt;
  raw.conductivity_m_s = K;
  raw.suction_deficit_m = psi * soil.deficit;
  return raw;
}

RawInfiltration raw_infiltration(const HortonSoil& soil) {
  RawInfiltration raw;
  raw.law = Law::Horton;
  raw.conductivity_m_s = soil.final.in_metres_per_second();
  raw.initial_m_s = soil.initial.in_metres_per_second();
  raw.decay_per_s = soil.decay_per_s;
  if (!(raw.conductivity_m_s >= 0.0))
    refuse(fmt::format("a final rate of {} m/s is not usable", raw.conductivity_m_s), "0 or more");
  if (!(raw.initial_m_s >= raw.conductivity_m_s && raw.initial_m_s > 0.0))
    refuse(fmt::format("an initial rate of {} m/s is not usable", raw.initial_m_s),
           "over 0, and no less than the final rate");
  if (!(raw.decay_per_s > 0.0 && std::isfinite(raw.decay_per_s)))
    refuse(fmt::format("a decay of {} 1/s is not usable", raw.decay_per_s), "over 0");
  return raw;
}

double ponded_depth_m(const RawInfiltration& soil, double before_m, double step_s) {
  if (soil.law == Law::GreenAmpt)
    return green_ampt_after(before_m, soil.suction_deficit_m, soil.conductivity_m_s * step_s);
  const double t = horton_time(soil, before_m);
  return std::isfinite(t) ? std::max(before_m, horton_depth(soil, t + step_s)) : before_m;
}

double capacity_m_s(const RawInfiltration& soil, double taken_m) {
  if (soil.law == Law::GreenAmpt) {
    if (soil.suction_deficit_m == 0.0) return soil.conductivity_m_s;
    if (!(taken_m > 0.0)) return std::numeric_limits<double>::infinity();
    return soil.conductivity_m_s * (1.0 + soil.suction_deficit_m / taken_m);
  }
  return soil.conductivity_m_s + (soil.initial_m_s - soil.conductivity_m_s) *
                                     std::exp(-soil.decay_per_s * horton_time(soil, taken_m));
}

Infiltrated green_ampt(const GreenAmptSoil& soil, base::Duration time, std::optional<base::Rate> rain) {
  return infiltrated(raw_infiltration(soil), time.in_seconds(),
                     rain ? std::optional<double>(rain->in_metres_per_second()) : std::nullopt);
}

Infiltrated horton(const HortonSoil& soil, base::Duration time, std::optional<base::Rate> rain) {
  return infiltrated(raw_infiltration(soil), time.in_seconds(),
                     rain ? std::optional<double>(rain->in_metres_per_second()) : std::nullopt);
}

double infiltration_of_step_m(InfiltrationState& state, const RawInfiltration& soil, double rain_m,
                              double step_s) {
  if (!(rain_m > 0.0)) {
    state.dry_s += step_s;
    state.taken_m = state.at_rest_m * std::max(0.0, 1.0 - state.dry_s / soil.recovery_s);
    return 0.0;
  }
  const double F0 = state.taken_m;
  const double i = rain_m / step_s;
  const std::optional<double> at = depth_at_capacity(soil, i);
  double in_m = rain_m;
  if (at && F0 + rain_m > *at) {
    const double to_ponding_m = std::max(0.0, *at - F0);
    const double left_s = step_s - to_ponding_m / i;
    const double start_m = F0 + to_ponding_m;
    in_m = to_ponding_m + (ponded_depth_m(soil, start_m, left_s) - start_m);
    in_m = std::clamp(in_m, 0.0, rain_m);
  }
  state.taken_m = F0 + in_m;
  state.at_rest_m = state.taken_m;
  state.dry_s = 0.0;
  return in_m;
}

}  // namespace curbshed::water
