// Symbols: Q flow, T spread, d depth, Sx cross slope, S grade, n roughness.
#include "curbshed/water/gutter.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/base/vectors.hpp"

#include <cstddef>

#include <fmt/format.h>

namespace curbshed::water {
namespace {

GutterFlow describe(const RawGutter& g, double flow_m3_s, double spread_m) {
  GutterFlow out{.flow = base::Flow::cubic_metres_per_second(flow_m3_s),
                 .spread = base::Length::metres(spread_m),
                 .depth = base::Length::metres(spread_m * g.cross_slope)};
  if (flow_m3_s > 0.0) {
    out.velocity_m_s = flow_m3_s / (0.5 * g.cross_slope * spread_m * spread_m);
    out.celerity_m_s = 4.0 / 3.0 * out.velocity_m_s;
  }
  return out;
}

void require_not_negative(double value, const char* what, const char* unit) {
  if (value >= 0.0) return;
  throw base::InputError({}, fmt::format("a gutter {} of {} {} is not usable", what, value, unit),
                         fmt::format("0 {} or more", unit), "mend that value");
}

CURBSHED_VECTOR_CLONES void list_depths(const RawGutter& g, const double* flow_m3_s, std::size_t count,
                                        double* depth_m) {
  const double unit_m3_s = g.unit_flow_m3_s;
  const double cross_slope = g.cross_slope;
  for (std::size_t i = 0; i < count; ++i) {
    const double spread_m = power_3_8(flow_m3_s[i] / unit_m3_s);
    depth_m[i] = (flow_m3_s[i] > 0.0 ? spread_m : 0.0) * cross_slope;
  }
}

}  // namespace

RawGutter raw_gutter(const GutterSection& section) {
  const double Sx = section.cross_slope.as_fraction();
  const double S = section.grade.as_fraction();
  const double n = section.roughness.value();
  if (!(Sx > 0.0)) {
    throw base::InputError({}, "a cross slope of 0 % makes no gutter", "over 0 %",
                           "give a cross slope, such as 2 %");
  }
  return {.unit_flow_m3_s = kGutterConstant / n * std::pow(Sx, 5.0 / 3.0) * std::sqrt(S), .cross_slope = Sx};
}

GutterFlow gutter_at_flow(const GutterSection& section, base::Flow flow) {
  const RawGutter g = raw_gutter(section);
  const double Q = flow.in_cubic_metres_per_second();
  require_not_negative(Q, "flow", "m³/s");
  if (Q > 0.0 && !(g.unit_flow_m3_s > 0.0)) {
    throw base::InputError({}, "a gutter with no grade carries no flow", "a grade over 0 %",
                           "give the least grade of the street, or treat the place as a sag");
  }
  return describe(g, Q, spread_at_flow_m(g, Q));
}

GutterFlow gutter_at_spread(const GutterSection& section, base::Length spread) {
  const RawGutter g = raw_gutter(section);
  const double T = spread.in_metres();
  require_not_negative(T, "spread", "m");
  return describe(g, flow_at_spread_m3_s(g, T), T);
}

GutterFlow gutter_at_depth(const GutterSection& section, base::Length depth) {
  const RawGutter g = raw_gutter(section);
  const double d = depth.in_metres();
  require_not_negative(d, "depth", "m");
  return describe(g, flow_at_depth_m3_s(g, d), d / g.cross_slope);
}

void depths_at_flows_m(const RawGutter& g, std::span<const double> flow_m3_s, std::span<double> depth_m) {
  base::ensure(flow_m3_s.size() == depth_m.size(), "as many depths as flows");
  if (g.form != GutterForm::Straight) {
    for (std::size_t i = 0; i < flow_m3_s.size(); ++i) {
      depth_m[i] = forms::depth_at_flow_m(g, flow_m3_s[i]);
    }
    return;
  }
  list_depths(g, flow_m3_s.data(), flow_m3_s.size(), depth_m.data());
}

double mean_spread_share(double upstream_over_downstream) {
  const double r =
      base::detail::within(upstream_over_downstream, 0.0, 1.0, "upstream over downstream spread");
  // Limit at r = 1: [8/3 (1 − r)] / [2 (1 − r)] = 4/3.
  const double ratio = 1.0 - r < 1e-7 ? 4.0 / 3.0 : (1.0 - std::pow(r, 8.0 / 3.0)) / (1.0 - r * r);
  return std::pow(0.75 * ratio, 1.5);
}

}  // namespace curbshed::water
