// Flow in a triangular gutter: one curb face, one cross slope.
#pragma once

#include "curbshed/base/quantity.hpp"
#include "curbshed/water/powers.hpp"

#include <cmath>
#include <span>
#include <string_view>

namespace curbshed::water {

inline constexpr std::string_view kGutterSource =
    "FHWA HEC-22, 3rd ed., 2009, ch. 4 (triangular gutter; after Izzard 1946), exponents 5/3 and 8/3 "
    "unrounded";
/// The printed SI constant; the only one used inside. The printed US constant 0.56 equals 0.3768: 0.2 % more
/// flow.
inline constexpr double kGutterConstant = 0.376;

struct GutterSection {
  base::Slope grade;          ///< along the street, > 0 where flow is asked for
  base::Slope cross_slope;    ///< > 0
  base::Roughness roughness;  ///< Manning n, 0.011 to 0.020 for streets
};

/// What flows, and how.
struct GutterFlow {
  base::Flow flow;
  base::Length spread;        ///< width of water from the curb face
  base::Length depth;         ///< at the curb face
  double velocity_m_s = 0.0;  ///< mean
  double celerity_m_s = 0.0;  ///< speed of a small wave, dQ/dA = 4/3 V
};

/// Q = (0.376/n) Sx^(5/3) S^(1/2) T^(8/3) (m, m³/s); d = T Sx; A = Sx T²/2; V = Q/A. Source: kGutterSource.
/// Uniform flow, no resistance of the curb face. Accuracy: within 0.6 % of the printed (rounded) exponents.
/// Edges: no flow → all zero. Flow on no grade, or a zero cross slope: InputError (a pond, not a gutter: see
/// sag.hpp). Negative flow, spread or depth: InputError. Knows no curb height: above it compare depths before
/// use.
GutterFlow gutter_at_flow(const GutterSection& section, base::Flow flow);
GutterFlow gutter_at_spread(const GutterSection& section, base::Length spread);  ///< no grade → flow 0
GutterFlow gutter_at_depth(const GutterSection& section, base::Length depth);    ///< no grade → flow 0

/// Spread that carries the mean speed of a reach whose flow grows evenly, over its downstream spread:
/// 0.65 {[1 − r^(8/3)]/[1 − r²]}^(3/2), r = upstream over downstream spread, 0 to 1; 0.65 stands for
/// (3/4)^(3/2). → 1 at r = 1. Outside: InputError. Source: HEC-22, 3rd ed., ch. 4, table 4-4 (from memory;
/// the formula gives its figures).
double mean_spread_share(double upstream_over_downstream);

/// Straight: one cross slope. Depressed: a dip at the curb (composite_gutter.hpp). Parabolic: a crown that is
/// a parabola (parabolic_gutter.hpp).
enum class GutterForm : unsigned char { Straight, Depressed, Parabolic };

/// Plain numbers of a section of any form for inner loops; makers: here, and in gutter_forms.hpp.
/// Straight: flow is unit_flow_m3_s · T^(8/3). Depressed: that of its pavement alone. Parabolic: flow is
/// unit_flow_m3_s · (T/B)^(8/3) · a number of T/B.
struct RawGutter {
  double unit_flow_m3_s = 0.0;  ///< 0 on no grade
  double cross_slope = 0.02;    ///< of the pavement; of a parabola H/B, from curb to crown
  double width_m = 0.0;         ///< W of the dip; B of the parabola
  double drop_m = 0.0;          ///< a of the dip, under the pavement's own line; H of the parabola
  GutterForm form = GutterForm::Straight;
};
/// Zero cross slope: InputError. No grade is allowed: then ask for no spread at a flow.
RawGutter raw_gutter(const GutterSection& section);

/// How far the water's edge of the pavement's own line lies above the flow line at the curb face: a of a dip.
inline double dip_m(const RawGutter& g) { return g.form == GutterForm::Depressed ? g.drop_m : 0.0; }

namespace forms {  // gutter_forms.cpp: what is not straight
double depth_at_spread_m(const RawGutter& g, double spread_m);
double spread_at_depth_m(const RawGutter& g, double depth_m);
double flow_at_depth_m3_s(const RawGutter& g, double depth_m);
double depth_at_flow_m(const RawGutter& g, double flow_m3_s);
double area_at_depth_m2(const RawGutter& g, double depth_m);
double celerity_at_depth_m_s(const RawGutter& g, double depth_m);
}  // namespace forms

/// Depth is at the curb face. Over a parabola's crown the water gets deeper, no wider (the other half of the
/// street holds it up). Spread or depth ≤ 0 → 0.
inline double depth_at_spread_m(const RawGutter& g, double spread_m) {
  if (g.form != GutterForm::Straight) return forms::depth_at_spread_m(g, spread_m);
  return spread_m * g.cross_slope;
}
inline double spread_at_depth_m(const RawGutter& g, double depth_m) {
  if (g.form != GutterForm::Straight) return forms::spread_at_depth_m(g, depth_m);
  return depth_m / g.cross_slope;
}
inline double flow_at_spread_m3_s(const RawGutter& g, double spread_m) {
  if (g.form != GutterForm::Straight) {
    return forms::flow_at_depth_m3_s(g, forms::depth_at_spread_m(g, spread_m));
  }
  return spread_m > 0.0 ? g.unit_flow_m3_s * power_8_3(spread_m) : 0.0;
}
inline double flow_at_depth_m3_s(const RawGutter& g, double depth_m) {
  if (g.form != GutterForm::Straight) return forms::flow_at_depth_m3_s(g, depth_m);
  return flow_at_spread_m3_s(g, depth_m / g.cross_slope);
}
/// unit_flow_m3_s must be > 0; no flow → 0.
inline double spread_at_flow_m(const RawGutter& g, double flow_m3_s) {
  if (g.form != GutterForm::Straight) {
    return forms::spread_at_depth_m(g, forms::depth_at_flow_m(g, flow_m3_s));
  }
  return flow_m3_s > 0.0 ? power_3_8(flow_m3_s / g.unit_flow_m3_s) : 0.0;
}
inline double depth_at_flow_m(const RawGutter& g, double flow_m3_s) {
  if (g.form != GutterForm::Straight) return forms::depth_at_flow_m(g, flow_m3_s);
  return spread_at_flow_m(g, flow_m3_s) * g.cross_slope;
}
/// The same for many flows at once, the same bits. Both lists the same length (BugError).
void depths_at_flows_m(const RawGutter& g, std::span<const double> flow_m3_s, std::span<double> depth_m);
/// Cross-section of the water; depth ≤ 0 → 0.
inline double area_at_depth_m2(const RawGutter& g, double depth_m) {
  if (!(depth_m > 0.0)) return 0.0;
  if (g.form != GutterForm::Straight) return forms::area_at_depth_m2(g, depth_m);
  return 0.5 * depth_m * depth_m / g.cross_slope;
}
/// V = Q/A; no flow → 0.
inline double velocity_at_flow_m_s(const RawGutter& g, double flow_m3_s) {
  if (g.form != GutterForm::Straight) {
    return flow_m3_s > 0.0 ? flow_m3_s / forms::area_at_depth_m2(g, forms::depth_at_flow_m(g, flow_m3_s))
                           : 0.0;
  }
  const double spread_m = spread_at_flow_m(g, flow_m3_s);
  return spread_m > 0.0 ? flow_m3_s / (0.5 * g.cross_slope * spread_m * spread_m) : 0.0;
}
/// dQ/dA; straight: 4/3 V because Q grows with A^(4/3); no flow → 0.
inline double celerity_at_flow_m_s(const RawGutter& g, double flow_m3_s) {
  if (g.form != GutterForm::Straight) {
    return flow_m3_s > 0.0 ? forms::celerity_at_depth_m_s(g, forms::depth_at_flow_m(g, flow_m3_s)) : 0.0;
  }
  return 4.0 / 3.0 * velocity_at_flow_m_s(g, flow_m3_s);
}

}  // namespace curbshed::water
