// A gutter whose first stretch from the curb falls more steeply than the pavement: a dip at the curb.
#pragma once

#include "curbshed/water/gutter.hpp"

namespace curbshed::water {

inline constexpr std::string_view kCompositeSource =
    "FHWA HEC-22, 3rd ed., 2009, ch. 4, eqs. 4-4 to 4-7, as the difference of triangles (HDS-3), exponent "
    "8/3 unrounded";

struct CompositeGutter {
  GutterSection section;                           ///< of the pavement
  base::Length width = base::Length::metres(0.0);  ///< W of the dip, > 0 where there is a depression
  base::Length depression =
      base::Length::metres(0.0);  ///< a: how far the curb end lies under the pavement's line
};

struct CompositeFlow {
  base::Flow flow;
  base::Length spread;
  base::Length depth;              ///< at the curb face
  double velocity_m_s = 0.0;       ///< mean
  double gutter_flow_share = 1.0;  ///< E0: flow within W over all flow; 1 while the water is no wider than W
};

/// Sw = Sx + a/W; d1 = Sx (T − W), d = d1 + Sw W; Q = (0.376/n) √S {(d^(8/3) − d1^(8/3))/Sw + d1^(8/3)/Sx};
/// for T ≤ W a triangle of slope Sw. E0 = 1 − (0.376/n) √S d1^(8/3)/Sx / Q. Source: kCompositeSource. No flow
/// → all zero, E0 1. Errors (InputError): those of gutter_at_flow; a negative width or depression; a
/// depression without a width.
CompositeFlow composite_at_flow(const CompositeGutter& gutter, base::Flow flow);
CompositeFlow composite_at_spread(const CompositeGutter& gutter, base::Length spread);

}  // namespace curbshed::water
