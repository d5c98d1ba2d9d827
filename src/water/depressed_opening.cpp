// Symbols: a depression, W width of the dip, E0 share of the flow within it, d depth, h throat height.
#include "curbshed/water/depressed_opening.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

namespace curbshed::water {

OnGradeCapture depressed_capture(const CompositeGutter& gutter, base::Length clear_length,
                                 base::Flow arriving, OnGradeRelation relation) {
  const double a = gutter.depression.in_metres();
  OnGradeOpening opening{.gutter = gutter.section, .clear_length = clear_length};
  if (a != 0.0) {
    const CompositeFlow flow = composite_at_flow(gutter, arriving);
    opening.gutter.cross_slope = base::Slope::fraction(gutter.section.cross_slope.as_fraction() +
                                                       a / gutter.width.in_metres() * flow.gutter_flow_share);
  }
  return on_grade_capture(opening, arriving, relation);
}

std::string_view word(SagRegime regime) {
  switch (regime) {
    case SagRegime::Dry:
      return "dry";
    case SagRegime::Weir:
      return "weir";
    case SagRegime::Between:
      return "between weir and orifice";
    case SagRegime::Orifice:
      return "orifice";
  }
  return {};
}

SagFlow sag_flow(const SagOpening& opening, base::Length gutter_width, base::Length depression,
                 base::Length depth) {
  const double a = depression.in_metres();
  const double W = gutter_width.in_metres();
  const double d = depth.in_metres();
  const double L = opening.clear_length.in_metres();
  if (!(a >= 0.0 && W >= 0.0) || (a > 0.0 && !(W > 0.0))) {
    throw base::InputError({}, fmt::format("a dip of {} m over a width of {} m is not usable", a, W),
                           "a depression of 0 m or more over a width above 0 m",
                           "give both the width of the dip and its depression");
  }
  if (!(d > 0.0) || L == 0.0) {
    sag_opening_flow(opening, depth);  // its refusals
    return {base::Flow::cubic_metres_per_second(0.0), SagRegime::Dry};
  }
  const bool dipped = a > 0.0 && L <= kLongOpening_m;
  if (!dipped) {
    const base::Flow flow = sag_opening_flow(opening, depth);
    const double h = opening.height ? opening.height->in_metres() : std::numeric_limits<double>::infinity();
    if (d <= h) return {flow, SagRegime::Weir};
    const bool full =
        d > 1.4 * h && flow.in_cubic_metres_per_second() < kSagWeirConstant * L * d * std::sqrt(d);
    return {flow, full ? SagRegime::Orifice : SagRegime::Between};
  }
  sag_opening_flow(opening, depth);
  const double weir = kDippedWeirConstant * (L + 1.8 * W) * d * std::sqrt(d);
  if (!opening.height) return {base::Flow::cubic_metres_per_second(weir), SagRegime::Weir};
  const double h = opening.height->in_metres();
  // At the face of the opening the water stands deeper by the dip.
  const double orifice =
      kOrificeConstant * h * L * std::sqrt(2.0 * base::kGravity_m_s2 * (std::max(d, h + a) + a - 0.5 * h));
  const base::Flow flow = base::Flow::cubic_metres_per_second(std::min(weir, orifice));
  if (weir <= orifice) return {flow, d <= h + a ? SagRegime::Weir : SagRegime::Between};
  return {flow, d > 1.4 * h ? SagRegime::Orifice : SagRegime::Between};
}

}  // namespace curbshed::water
