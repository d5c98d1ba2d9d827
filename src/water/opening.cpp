// Symbols: Q flow, L clear length, LT length that takes all, S grade, Sx cross slope, n roughness, d depth, h
// throat height.
#include "curbshed/water/opening.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/base/vectors.hpp"
#include "curbshed/water/gutter_forms.hpp"
#include "curbshed/water/powers.hpp"
#include "curbshed/water/root.hpp"

#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

#include <fmt/format.h>

namespace curbshed::water {
namespace {

void require_length(base::Length length) {
  if (length.in_metres() >= 0.0) return;
  throw base::InputError({}, fmt::format("an opening of {} m is not usable", length.in_metres()),
                         "0 m or more", "give the clear length of the opening");
}

constexpr double kDrownedExponent = 0.385;  // kDrownedWeirSource

double power_1_5(double x) { return x * std::sqrt(x); }

/// Of Q^flow_power, the share of the length that takes all which is not there; 0 where all is taken.
CURBSHED_VECTOR_CLONES void list_missing(const RawOpening& opening, const double* power, std::size_t count,
                                         double* missing) {
  const double clear_m = opening.clear_length_m;
  const double factor = opening.full_length_factor;
  for (std::size_t i = 0; i < count; ++i) {
    const double share = 1.0 - clear_m / (factor * power[i]);
    missing[i] = share > 0.0 ? share : 0.0;
  }
}

CURBSHED_VECTOR_CLONES void list_captured(const double* flow_m3_s, const double* passing, std::size_t count,
                                          double* captured_m3_s) {
  for (std::size_t i = 0; i < count; ++i) {
    const double share = 1.0 - passing[i];  // a power of 1 may come out a rounding above 1
    const double flow = flow_m3_s[i] > 0.0 ? flow_m3_s[i] : 0.0;
    captured_m3_s[i] = flow * (share > 0.0 ? share : 0.0);
  }
}

const double kBroadCrest = power_1_5(2.0 / 3.0) * std::sqrt(base::kGravity_m_s2);  // kBroadCrestSource

}  // namespace

base::Length clear_length(base::Length opening, double clogging) {
  require_length(opening);
  return opening * (1.0 - base::detail::within(clogging, 0.0, 1.0, "clogging"));
}

OnGradeTable flume_tests_table() {
  // kOnGradeTestsSource, in feet as published.
  constexpr double kLength_ft = 0.38;
  constexpr double kFlowPower = 0.51;
  return {.length = kLength_ft * base::kMetresPerFoot / std::pow(base::kCubicMetresPerCubicFoot, kFlowPower),
          .flow_power = kFlowPower,
          .grade_power = 0.058,
          .roughness_power = 0.46};
}

RawOpening raw_opening(const OnGradeOpening& opening, OnGradeRelation relation) {
  return raw_opening(opening, relation == OnGradeRelation::FlumeTests ? flume_tests_table() : OnGradeTable());
}

RawOpening raw_opening(const OnGradeOpening& opening, const OnGradeTable& table) {
  require_length(opening.clear_length);
  const double S = opening.gutter.grade.as_fraction();
  const double Sx = opening.gutter.cross_slope.as_fraction();
  const double n = opening.gutter.roughness.value();
  if (!(S > 0.0 && Sx > 0.0)) {
    throw base::InputError(
        {},
        fmt::format("an opening on a grade of {} % with a cross slope of {} % is not on grade", 100.0 * S,
                    100.0 * Sx),
        "both over 0 %", "give the least grade of the street, or treat the place as a sag");
  }
  return {.clear_length_m = opening.clear_length.in_metres(),
          .full_length_factor =
              table.length * std::pow(S, table.grade_power) * std::pow(1.0 / (n * Sx), table.roughness_power),
          .flow_power = table.flow_power,
          .efficiency_power = table.efficiency_power,
          .roughness_power = table.roughness_power};
}

double captured_m3_s(const RawOpening& opening, double flow_m3_s) {
  if (!(flow_m3_s > 0.0)) return 0.0;
  const double LT = opening.full_length_factor * std::pow(flow_m3_s, opening.flow_power);
  if (opening.clear_length_m >= LT) return flow_m3_s;
  return flow_m3_s * (1.0 - std::pow(1.0 - opening.clear_length_m / LT, opening.efficiency_power));
}

double captured_m3_s(const RawOpening& opening, const RawGutter& gutter, double flow_m3_s) {
  if (!opening.slope_varies || !(flow_m3_s > 0.0)) return captured_m3_s(opening, flow_m3_s);
  const double Se =
      slope_at_flow(gutter, flow_m3_s) +
      opening.dip_rise *
          (opening.dip_rise > 0.0 ? flow_share_within(gutter, opening.dip_width_m, flow_m3_s) : 0.0);
  RawOpening there = opening;
  there.full_length_factor *= std::pow(gutter.cross_slope / Se, opening.roughness_power);
  return captured_m3_s(there, flow_m3_s);
}

void captured_m3_s(const RawOpening& opening, std::span<const double> flow_m3_s,
                   std::span<double> captured_m3_s) {
  base::ensure(flow_m3_s.size() == captured_m3_s.size(), "as many captured flows as flows");
  constexpr std::size_t kAtOnce = 512;
  std::array<double, kAtOnce> powered;
  std::array<double, kAtOnce> missing;
  for (std::size_t from = 0; from < flow_m3_s.size(); from += kAtOnce) {
    const std::size_t count = std::min(kAtOnce, flow_m3_s.size() - from);
    powers(flow_m3_s.subspan(from, count), opening.flow_power, std::span(powered).first(count));
    list_missing(opening, powered.data(), count, missing.data());
    powers(std::span(missing).first(count), opening.efficiency_power, std::span(powered).first(count));
    list_captured(flow_m3_s.data() + from, powered.data(), count, captured_m3_s.data() + from);
  }
}

OnGradeCapture on_grade_capture(const OnGradeOpening& opening, base::Flow arriving,
                                OnGradeRelation relation) {
  const double Q = arriving.in_cubic_metres_per_second();
  if (Q < 0.0) {
    throw base::InputError({}, fmt::format("a gutter flow of {} m³/s is not usable", Q), "0 m³/s or more",
                           "mend that value");
  }
  const RawOpening raw = raw_opening(opening, relation);
  const double Qi = captured_m3_s(raw, Q);
  const double E = Q > 0.0 ? Qi / Q : 1.0;
  return {.full_length =
              base::Length::metres(Q > 0.0 ? raw.full_length_factor * std::pow(Q, raw.flow_power) : 0.0),
          .efficiency = base::Efficiency::of(std::min(1.0, E)),
          .captured = base::Flow::cubic_metres_per_second(Qi),
          .bypass = base::Flow::cubic_metres_per_second(Q - Qi),
          .outside_tests = raw.clear_length_m < kShortestTestedOpening_m};
}

double sag_opening_m3_s(const RawSagOpening& opening, double depth_m) {
  if (!(depth_m > 0.0)) return 0.0;
  const double L = opening.clear_length_m;
  const double h = opening.height_m;
  const double a = opening.dip_m;
  if (a > 0.0 && L <= kLongOpening_m) {
    const double weir =
        L > 0.0 ? opening.dipped_weir * (L + 1.8 * opening.dip_width_m) * power_1_5(depth_m) : 0.0;
    if (h == std::numeric_limits<double>::infinity()) return weir;
    // At the face of the opening the water stands deeper by the dip.
    const double orifice = opening.orifice * h * L *
                           std::sqrt(2.0 * base::kGravity_m_s2 * (std::max(depth_m, h + a) + a - 0.5 * h));
    return std::min(weir, orifice);
  }
  const double weir = opening.weir * L * power_1_5(depth_m);
  if (depth_m <= h) return weir;
  const double orifice = opening.orifice * h * L * std::sqrt(2.0 * base::kGravity_m_s2 * (depth_m - 0.5 * h));
  return std::min(weir, orifice);
}

base::Flow sag_opening_flow(const SagOpening& opening, base::Length depth) {
  require_length(opening.clear_length);
  RawSagOpening raw{.clear_length_m = opening.clear_length.in_metres()};
  if (opening.height) {
    raw.height_m = opening.height->in_metres();
    if (!(raw.height_m > 0.0)) {
      throw base::InputError({}, fmt::format("a throat height of {} m is not usable", raw.height_m),
                             "over 0 m", "give the height, or leave it out for an open-topped cut");
    }
  }
  return base::Flow::cubic_metres_per_second(sag_opening_m3_s(raw, depth.in_metres()));
}

double mouth_flow_m3_s(double length_m, const MouthHeads& heads) {
  const double street = std::max(0.0, heads.street_m);
  const double pool = std::max(0.0, heads.pool_m);
  const double h1 = std::max(street, pool);
  const double h2 = std::min(street, pool);
  if (!(h1 > h2)) return 0.0;
  const double free_m3_s = kSagWeirConstant * length_m * power_1_5(h1);
  const double flow = h2 > 0.0 ? free_m3_s * std::pow(1.0 - power_1_5(h2 / h1), kDrownedExponent) : free_m3_s;
  return street > pool ? flow : -flow;
}

double drowned_level_m(double street_m, double share) {
  if (!(share > 0.0)) return street_m;
  if (share >= 1.0) return 0.0;
  const double root = cube_root(1.0 - std::pow(share, 1.0 / kDrownedExponent));
  return street_m * (root * root);
}

CurvePoint drowned_level_curve(double street_m, double share) {
  constexpr double kPower = 1.0 / kDrownedExponent;
  const double w = std::pow(share, kPower);
  const double root = cube_root(1.0 - w);
  const double slope = -2.0 / 3.0 * street_m * kPower * w / (share * root);
  return {.value = street_m * (root * root),
          .slope = slope,
          .bend = slope * (kPower - 1.0 + kPower * w / (3.0 * (1.0 - w))) / share};
}

namespace {

// Gauss-Legendre, 16 points.
constexpr std::array<double, 8> kAt{0.0950125098376374, 0.2816035507792589, 0.4580167776572274,
                                    0.6178762444026438, 0.7554044083550030, 0.8656312023878318,
                                    0.9445750230732326, 0.9894009349916499};
constexpr std::array<double, 8> kWeight{0.1894506104550685, 0.1826034150449236, 0.1691565193950025,
                                        0.1495959888165767, 0.1246289712555339, 0.0951585116824928,
                                        0.0622535239386479, 0.0271524594117541};

/// ∫ 2 √(z (1 − z)) √(y − z) dz from `from` to min(1, y), heights over the diameter, within 1e-8. z = from +
/// (to − from) sin² takes the corners at both ends away; pieces that get shorter toward both ends take what a
/// corner just outside leaves behind.
double strips_above(double y, double from) {
  const double to = std::min(1.0, y);
  if (!(to > from)) return 0.0;
  const double span = to - from;
  constexpr double kQuarter = 0.5 * std::numbers::pi;
  constexpr std::array<double, 7> kEnds{0.0, 0.03, 0.15, 0.5, 0.85, 0.97, 1.0};
  double sum = 0.0;
  for (std::size_t piece = 0; piece + 1 < kEnds.size(); ++piece) {
    const double middle = 0.5 * kQuarter * (kEnds[piece] + kEnds[piece + 1]);
    const double half = 0.5 * kQuarter * (kEnds[piece + 1] - kEnds[piece]);
    for (std::size_t k = 0; k < kAt.size(); ++k) {
      for (const double side : {-1.0, 1.0}) {
        const double angle = middle + side * half * kAt[k];
        const double sine = std::sin(angle);
        const double z = from + span * sine * sine;
        sum += kWeight[k] * half * std::sqrt(std::max(0.0, z * (1.0 - z) * (y - z))) * sine * std::cos(angle);
      }
    }
  }
  return 4.0 * span * sum;
}

/// Area of a circle of diameter 1 up to a height.
double segment(double y) {
  if (y >= 1.0) return 0.25 * std::numbers::pi;
  return y > 0.0 ? 0.25 * std::acos(1.0 - 2.0 * y) - 0.5 * (1.0 - 2.0 * y) * std::sqrt(y * (1.0 - y)) : 0.0;
}

double under_slab_m3_s(const RawMouth& mouth, double h1, double h2) {
  const double h = std::min(mouth.height_m, h1);
  return mouth.orifice * h * mouth.length_m *
         std::sqrt(2.0 * base::kGravity_m_s2 * std::max(0.0, h1 - std::max(h2, 0.5 * h)));
}

double weir_mouth_m3_s(double constant_and_length, double h1, double h2) {
  const double free_m3_s = constant_and_length * power_1_5(h1);
  return h2 > 0.0 ? free_m3_s * std::pow(1.0 - power_1_5(h2 / h1), kDrownedExponent) : free_m3_s;
}

}  // namespace

double round_hole_m3_s(const RoundHole& hole, const MouthHeads& heads) {
  const double D = hole.diameter_m;
  const double y1 = std::max(0.0, heads.street_m) / D;
  const double y2 = std::max(0.0, heads.pool_m) / D;
  if (!(y1 > y2)) return 0.0;
  return hole.coefficient * std::sqrt(2.0 * base::kGravity_m_s2 * D) * D * D *
         (segment(y2) * std::sqrt(y1 - y2) + strips_above(y1, y2));
}

double mouth_flow_m3_s(const RawMouth& mouth, const MouthHeads& heads) {
  const double street = std::max(0.0, heads.street_m);
  const double pool = std::max(0.0, heads.pool_m);
  const double h1 = std::max(street, pool);
  const double h2 = std::min(street, pool);
  if (!(h1 > h2)) return 0.0;
  double flow = 0.0;
  if (mouth.diameter_m > 0.0) {
    flow = mouth.length_m / mouth.diameter_m *
           round_hole_m3_s({mouth.diameter_m, mouth.orifice}, {.street_m = h1, .pool_m = h2});
  } else {
    flow = weir_mouth_m3_s(mouth.weir * mouth.length_m, h1, h2);
    if (!mouth.open_topped()) flow = std::min(flow, under_slab_m3_s(mouth, h1, h2));
  }
  return street > pool ? flow : -flow;
}

double drowned_level_m(const RawMouth& mouth, double street_m, double flow_m3_s) {
  if (mouth.diameter_m > 0.0) {
    const Root root = lower_root({.low = 0.0, .high = street_m}, [&](double pool_m) {
      return flow_m3_s - mouth_flow_m3_s(mouth, {.street_m = street_m, .pool_m = pool_m});
    });
    return root.at;
  }
  const double free_m3_s = mouth.weir * mouth.length_m * power_1_5(street_m);
  double level_m = drowned_level_m(street_m, flow_m3_s / free_m3_s);
  if (!mouth.open_topped()) {
    const double h = std::min(mouth.height_m, street_m);
    const double speed_m_s = flow_m3_s / (mouth.orifice * h * mouth.length_m);
    const double under_m = street_m - speed_m_s * speed_m_s / (2.0 * base::kGravity_m_s2);
    level_m = std::min(level_m, under_m >= 0.5 * h ? under_m : 0.0);
  }
  return level_m;
}

double broad_crest_constant() {  // not kBroadCrest: others may ask before that is set
  return power_1_5(2.0 / 3.0) * std::sqrt(base::kGravity_m_s2);
}

double broad_crest_m2_s(double head_m) { return crest_m2_s(kBroadCrest, head_m); }

}  // namespace curbshed::water
