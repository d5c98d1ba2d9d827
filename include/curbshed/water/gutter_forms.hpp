// Gutters that are not one straight slope, as plain numbers for inner loops.
#pragma once

#include "curbshed/water/composite_gutter.hpp"
#include "curbshed/water/parabolic_gutter.hpp"

namespace curbshed::water {

/// No depression: the straight gutter. Errors (InputError): those of raw_gutter; a negative width or
/// depression; a depression without a width.
RawGutter raw_gutter(const CompositeGutter& gutter);
/// H or B not over 0: InputError. The numbers of T/B are a Chebyshev series of the integral in
/// parabolic_gutter.hpp: within 1e-9 of it.
RawGutter raw_gutter(const ParabolicStreet& street);

/// E0: share of a flow that runs within `width_m` of the curb face, 0 to 1; 1 at no flow or while the water
/// is no wider. Straight: 1 − (1 − W/T)^(8/3) (HEC-22, 3rd ed., ch. 4).
double flow_share_within(const RawGutter& g, double width_m, double flow_m3_s);
/// Cross slope that an opening or a grate beside this flow sees: the pavement's; of a parabola that of the
/// water itself, depth over spread (our rule, no source: the handbook's relations know straight slopes only).
double slope_at_flow(const RawGutter& g, double flow_m3_s);

}  // namespace curbshed::water
