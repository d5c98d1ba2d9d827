// A curb opening at a dip of the gutter: on grade and in a sag.
#pragma once

#include "curbshed/water/composite_gutter.hpp"
#include "curbshed/water/opening.hpp"

#include <cstdint>

namespace curbshed::water {

inline constexpr std::string_view kDepressedSource =
    "FHWA HEC-22, 3rd ed., 2009, ch. 4, eqs. 4-24, 4-25: Se = Sx + (a/W) E0 in place of Sx";
inline constexpr std::string_view kDepressedSagSource =
    "HEC-22, 3rd ed., 2009, ch. 4, eq. 4-28: weir 1.25 (L + 1.8 W) d^1.5 (from memory); longer than 3.6 m as "
    "without a "
    "depression (Texas DOT Hydraulic Design Manual, ch. 10)";

/// On grade. E0 is that of the gutter that reaches the opening. Without a depression the same as
/// on_grade_capture. Errors as there and as for the composite gutter.
OnGradeCapture depressed_capture(const CompositeGutter& gutter, base::Length clear_length,
                                 base::Flow arriving, OnGradeRelation relation = OnGradeRelation::Handbook);

/// How water goes through an opening in a sag.
enum class SagRegime : std::uint8_t { Dry, Weir, Between, Orifice };
std::string_view word(SagRegime regime);  ///< "dry", "weir", "between weir and orifice", "orifice"

struct SagFlow {
  base::Flow captured;
  SagRegime regime = SagRegime::Dry;
};
/// Weir up to the height of the throat h (h + a at a depression a); above it the lesser of weir and orifice,
/// so that nothing jumps: without a depression the orifice is the lesser from 1.52 h on (the sources take it
/// from 1.4 h, where it gives 6 % more than the weir). At a depression the weir counts the dip's width, so
/// that a short throat would take less once it is full: there it takes no more than its orifice when just
/// full (our rule). A depression counts for openings up to kLongOpening_m. `depth` is that of the pavement's
/// own slope, T · Sx, without the dip. A throat height that is absent: open at the top, a weir at every
/// depth. Never falls as the depth grows.
SagFlow sag_flow(const SagOpening& opening, base::Length gutter_width, base::Length depression,
                 base::Length depth);

}  // namespace curbshed::water
