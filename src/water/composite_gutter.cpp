// Symbols as in the header.
#include "curbshed/water/composite_gutter.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/water/root.hpp"

#include <cmath>

#include <fmt/format.h>

namespace curbshed::water {
namespace {

struct Raw {
  double factor = 0.0;  ///< (0.376/n) √S
  double Sx = 0.0;
  double Sw = 0.0;
  double W = 0.0;

  double depth(double T) const { return T <= W ? Sw * T : Sx * (T - W) + Sw * W; }
  double beyond(double T) const { return T <= W ? 0.0 : factor * std::pow(Sx * (T - W), 8.0 / 3.0) / Sx; }
  double flow(double T) const {
    const double d1 = T <= W ? 0.0 : Sx * (T - W);
    return factor * (std::pow(depth(T), 8.0 / 3.0) - std::pow(d1, 8.0 / 3.0)) / Sw + beyond(T);
  }
  double area(double T) const {
    const double d = depth(T);
    const double d1 = T <= W ? 0.0 : Sx * (T - W);
    return 0.5 * ((d * d - d1 * d1) / Sw + d1 * d1 / Sx);
  }
};

Raw raw_of(const CompositeGutter& gutter) {
  const double W = gutter.width.in_metres();
  const double a = gutter.depression.in_metres();
  if (!(W >= 0.0 && a >= 0.0) || (a > 0.0 && !(W > 0.0))) {
    throw base::InputError({}, fmt::format("a dip of {} m over a width of {} m is not usable", a, W),
                           "a depression of 0 m or more over a width above 0 m",
                           "give both the width of the dip and its depression");
  }
  const RawGutter g = raw_gutter(gutter.section);
  Raw raw;
  raw.Sx = g.cross_slope;
  raw.factor = g.unit_flow_m3_s / std::pow(raw.Sx, 5.0 / 3.0);
  raw.W = a > 0.0 ? W : 0.0;
  raw.Sw = a > 0.0 ? raw.Sx + a / W : raw.Sx;
  return raw;
}

CompositeFlow describe(const Raw& raw, double T) {
  const double Q = raw.flow(T);
  CompositeFlow out{.flow = base::Flow::cubic_metres_per_second(Q),
                    .spread = base::Length::metres(T),
                    .depth = base::Length::metres(raw.depth(T))};
  if (Q > 0.0) {
    out.velocity_m_s = Q / raw.area(T);
    out.gutter_flow_share = 1.0 - raw.beyond(T) / Q;
  }
  return out;
}

/// Where nothing dips the share is that of the gutter's own width, all of it where none is given.
CompositeFlow finished(const CompositeGutter& gutter, CompositeFlow out) {
  const double W = gutter.width.in_metres();
  const double T = out.spread.in_metres();
  if (gutter.depression.in_metres() == 0.0) {
    out.gutter_flow_share = W > 0.0 && T > W ? 1.0 - std::pow(1.0 - W / T, 8.0 / 3.0) : 1.0;
  }
  return out;
}

}  // namespace

CompositeFlow composite_at_spread(const CompositeGutter& gutter, base::Length spread) {
  const Raw raw = raw_of(gutter);
  // The plain gutter's own refusals.
  const GutterFlow plain = gutter_at_spread(gutter.section, spread);
  return finished(gutter, describe(raw, plain.spread.in_metres()));
}

CompositeFlow composite_at_flow(const CompositeGutter& gutter, base::Flow flow) {
  const Raw raw = raw_of(gutter);
  const GutterFlow plain = gutter_at_flow(gutter.section, flow);
  // A dip carries more: the plain spread is wide enough, but for water within the dip, whose steeper slope
  // carries the flow in less spread anyway.
  const double Q = flow.in_cubic_metres_per_second();
  const double widest = plain.spread.in_metres();
  const Root root = lower_root({.low = 0.0, .high = widest}, [&](double T) { return raw.flow(T) - Q; });
  CompositeFlow out = finished(gutter, describe(raw, raw.Sw > raw.Sx ? root.at : widest));
  out.flow = flow;
  return out;
}

}  // namespace curbshed::water
