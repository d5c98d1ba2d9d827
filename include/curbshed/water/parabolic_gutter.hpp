// A gutter beside a pavement whose crown is a parabola.
#pragma once

#include "curbshed/water/gutter.hpp"

namespace curbshed::water {

inline constexpr std::string_view kParabolicSource =
    "FHWA HEC-22, 3rd ed., 2009, appendix: crown y = (2H/B) x - (H/B²) x² (from memory); Manning's law "
    "summed over "
    "vertical strips (after Izzard 1946), here integrated";

struct ParabolicStreet {
  base::Slope grade;          ///< along the street, > 0 where flow is asked for
  base::Length crown_height;  ///< H over the foot of the curb, > 0
  base::Length half_width;    ///< B, curb to crown, > 0
  base::Roughness roughness;
};

/// Q = (1/n) √S ∫ (d − y)^(5/3) dx over the spread T, y(T) = d; T = B (1 − √(1 − d/H)); A = ∫ (d − y) dx (SI;
/// the unit constant is Manning's own 1, so that a flat parabola gives 0.375, not the rounded 0.376, of the
/// triangle). Source: kParabolicSource. celerity = dQ/dA. Accuracy of the integral: 1e-10 of the flow. Edges:
/// no flow → all zero; on no grade flow 0 at any spread. Errors (InputError): flow on no grade, a spread over
/// B or a depth over H (water passes the crown), negative values, H or B of 0.
GutterFlow parabolic_at_spread(const ParabolicStreet& street, base::Length spread);
GutterFlow parabolic_at_flow(const ParabolicStreet& street, base::Flow flow);

}  // namespace curbshed::water
