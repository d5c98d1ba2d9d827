// Peak of a small catchment from one number for all its ground: for hand checks, never inside a run.
#pragma once

#include "curbshed/base/quantity.hpp"
#include "curbshed/water/design_storms.hpp"
#include "curbshed/water/losses.hpp"

#include <span>
#include <string_view>

namespace curbshed::water {

inline constexpr std::string_view kRationalSource =
    "rational method, Q = C i A, C weighted by area: FHWA HEC-22, 3rd ed., 2009, eqs. 3-1, 3-2";
inline constexpr std::string_view kGraphicalPeakSource =
    "NRCS TR-55, 2nd ed., June 1986, ch. 4 and app. F, table F-1: q = qu A Q Fp, log qu = C0 + C1 log Tc + "
    "C2 (log "
    "Tc)² (the two transcriptions of the table differ in the rows type I 0.35 and type III 0.50)";
inline constexpr std::string_view kCompositeCurveSource =
    "NRCS TR-55, 2nd ed., June 1986, figs. 2-3 and 2-4: CNc = CNp + P (98 − CNp)(1 − 0.5 R)";

/// Q = C i A. C 0 to 1 (RunoffFraction), i and A ≥ 0 (InputError). Meant for areas under 80 ha.
base::Flow rational_flow(base::RunoffFraction coefficient, base::Rate intensity, base::Area area);

/// A part of a catchment and a number of it (runoff coefficient, curve number).
struct AreaPart {
  double area = 0.0;  ///< any unit, the same for all; ≥ 0
  double value = 0.0;
};
/// Mean by area. InputError when all areas are 0 or one is negative.
double weighted_by_area(std::span<const AreaPart> parts);

/// One curve number for pervious ground with hard ground in it. impervious and unconnected (share of the hard
/// ground that drains over pervious ground) 0 to 1. Where the hard ground is 30 % or more it counts as
/// connected. Source: kCompositeCurveSource. InputError outside the ranges.
double composite_curve_number(CurveNumber pervious, double impervious, double unconnected);

/// Unit peak, ft³/s a square mile and inch of runoff. abstraction_ratio Ia/P between the rows is
/// interpolated, beyond the end rows held. Tc 0.1 to 10 h (InputError). Source: kGraphicalPeakSource.
double unit_peak_ft3_s_mi2_in(DayShape shape, double abstraction_ratio, base::Duration concentration);

struct GraphicalPeak {
  base::Flow flow;
  base::Length runoff;
  double abstraction_ratio = 0.0;  ///< Ia/P
};
/// 24-hour rain on ground of one curve number; no ponds (Fp = 1). Source and errors as above; no rain → no
/// flow.
GraphicalPeak graphical_peak(DayShape shape, CurveNumber number, base::Length day_rain,
                             base::Duration concentration, base::Area area);

}  // namespace curbshed::water
