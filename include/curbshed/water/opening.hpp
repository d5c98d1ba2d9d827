// Water through a curb opening: on grade, in a sag, and the mouth between gutter and basin.
#pragma once

#include "curbshed/water/gutter.hpp"
#include "curbshed/water/root.hpp"

#include <algorithm>
#include <limits>
#include <optional>
#include <span>
#include <string_view>

namespace curbshed::water {

inline constexpr std::string_view kOnGradeSource =
    "FHWA HEC-22, 3rd ed., 2009, ch. 4, curb opening on grade: L_T = 0.817 Q^0.42 S^0.3 (1/(n Sx))^0.6, E = "
    "1 − (1 − L/L_T)^1.8";
inline constexpr std::string_view kOnGradeTestsSource =
    "Guo & MacKenzie 2012, Hydraulic Efficiency of Grate and Curb-Opening Inlets under Clogging Effect, "
    "Colorado DOT "
    "CDOT-2012-3: L_T = 0.38 Q^0.51 S^0.058 (1/(n Sx))^0.46 (ft, ft3/s; from memory), E as in HEC-22";
inline constexpr std::string_view kSagOpeningSource =
    "FHWA HEC-22, 3rd ed., 2009, ch. 4, curb opening in a sag without depression: weir 1.60 L d^1.5, orifice "
    "0.67 h L "
    "√(2 g (d − h/2)) (equations from memory; constants and ranges as in the Texas DOT Hydraulic Design "
    "Manual, ch. 10)";
inline constexpr std::string_view kDrownedWeirSource =
    "Villemonte 1947, Submerged-weir discharge studies: free flow × (1 − (h2/h1)^1.5)^0.385 (from memory)";
inline constexpr std::string_view kBroadCrestSource =
    "critical flow over a level broad crest: q = (2/3)^1.5 √g h^1.5";

inline constexpr std::string_view kRoundHoleSource =
    "round hole: C √(2g) times the integral of its width times the square root of the head on each strip, as "
    "Encyclopaedia Britannica, 11th ed., 1911, vol. 14, Hydraulics, section 40, for circular orifices; C 0.6 "
    "of a sharp-edged orifice as in the Toronto-area LID guide (STEP wiki)";

inline constexpr double kFullLengthConstant = 0.817;  ///< SI; kOnGradeSource
inline constexpr double kSagWeirConstant =
    1.60;  ///< SI, m^0.5/s, printed (3.0 US would be 1.656); kSagOpeningSource
inline constexpr double kOrificeConstant = 0.67;         ///< kSagOpeningSource
inline constexpr double kDippedWeirConstant = 1.25;      ///< SI; kDepressedSagSource
inline constexpr double kRoundHoleConstant = 0.6;        ///< kRoundHoleSource
inline constexpr double kLongOpening_m = 3.6;            ///< 12 ft; kDepressedSagSource
inline constexpr double kShortestTestedOpening_m = 1.5;  ///< flume tests: shorter openings are outside them

/// Length that stays open: length × (1 − clogging). clogging 0 to 1, length ≥ 0, else InputError.
base::Length clear_length(base::Length opening, double clogging);

/// Two published relations for an opening on grade. Openings under kShortestTestedOpening_m lie outside the
/// tests of both: what they take is a range between the two.
enum class OnGradeRelation : unsigned char { Handbook, FlumeTests };
/// Coefficients of L_T = length Q^flow_power S^grade_power (1/(n Sx))^roughness_power, E = 1 − (1 −
/// L/L_T)^efficiency_power, in metres and m³/s. As built: kOnGradeSource.
struct OnGradeTable {
  double length = kFullLengthConstant;
  double flow_power = 0.42;
  double grade_power = 0.3;
  double roughness_power = 0.6;
  double efficiency_power = 1.8;
};
/// Of kOnGradeTestsSource, from feet.
OnGradeTable flume_tests_table();

/// An undepressed opening beside passing flow.
struct OnGradeOpening {
  GutterSection gutter;
  base::Length clear_length = base::Length::metres(0.0);  ///< ≥ 0
};
struct OnGradeCapture {
  base::Length full_length;     ///< L_T: opening that takes it all
  base::Efficiency efficiency;  ///< 1 at no flow
  base::Flow captured;
  base::Flow bypass;
  bool outside_tests = false;  ///< opening shorter than kShortestTestedOpening_m
};
/// L_T = 0.817 Q^0.42 S^0.3 (1/(n Sx))^0.6 (SI); E = 1 − (1 − L/L_T)^1.8 for L < L_T, else 1. Source:
/// kOnGradeSource. Fitted to inlets of 1.5 m and more; shorter ones are extrapolation and, by later
/// full-scale tests, often over-stated. Edges: no flow → L_T 0, E 1, nothing captured; zero length → E 0. No
/// grade or cross slope: InputError (use sag_opening_flow; below about 0.3 % the relation is not to be
/// trusted). Neglects a gutter dip and what stands behind.
/// With OnGradeRelation::FlumeTests: L_T = 0.38 Q^0.51 S^0.058 (1/(n Sx))^0.46 (ft, ft³/s;
/// kOnGradeTestsSource).
OnGradeCapture on_grade_capture(const OnGradeOpening& opening, base::Flow arriving,
                                OnGradeRelation relation = OnGradeRelation::Handbook);

/// Plain numbers for inner loops.
struct RawOpening {
  double clear_length_m = 0.0;
  double full_length_factor = 0.0;  ///< L_T = factor · Q^flow_power
  double flow_power = OnGradeTable().flow_power;
  double efficiency_power = OnGradeTable().efficiency_power;
  // At a dip, or beside a parabola: the factor holds the pavement's slope, which is then not the one to use.
  double roughness_power = OnGradeTable().roughness_power;
  double dip_rise = 0.0;     ///< a/W: depression at the opening over its width
  double dip_width_m = 0.0;  ///< W
  bool slope_varies = false;
};
RawOpening raw_opening(const OnGradeOpening& opening, OnGradeRelation relation = OnGradeRelation::Handbook);
RawOpening raw_opening(const OnGradeOpening& opening, const OnGradeTable& table);
/// Captured flow, 0 to flow. No flow → 0. The first neglects a dip.
double captured_m3_s(const RawOpening& opening, double flow_m3_s);
/// The same for many flows at once, within 1e-13 of the flow. Both lists the same length (BugError).
void captured_m3_s(const RawOpening& opening, std::span<const double> flow_m3_s,
                   std::span<double> captured_m3_s);
/// Beside a gutter of any form, with Se = Sx + (a/W) E0 where the opening dips; kDepressedSource. E0 is of
/// the gutter that reaches the opening.
double captured_m3_s(const RawOpening& opening, const RawGutter& gutter, double flow_m3_s);

/// An undepressed opening with a pond before it.
struct SagOpening {
  base::Length clear_length = base::Length::metres(0.0);
  std::optional<base::Length> height;  ///< of the throat; absent = open-topped (a cut): a weir at every depth
};
/// Weir 1.60 L d^1.5 up to d = h; orifice 0.67 h L √(2 g (d − h/2)) above 1.4 h; between, the lesser. Source:
/// kSagOpeningSource. The weir is rated by depth in the gutter, free fall behind. Edges: depth ≤ 0 or no
/// length → 0. Non-decreasing in depth. Negative length or height ≤ 0: InputError.
base::Flow sag_opening_flow(const SagOpening& opening, base::Length depth);

/// Plain numbers: height_m infinite = open-topped.
struct RawSagOpening {
  double clear_length_m = 0.0;
  double height_m = std::numeric_limits<double>::infinity();
  double weir = kSagWeirConstant;
  double dipped_weir = kDippedWeirConstant;
  double orifice = kOrificeConstant;
  double dip_width_m = 0.0;  ///< W
  double dip_m = 0.0;        ///< a
};
/// With a dip: sag_flow of depressed_opening.hpp; depth by the pavement's own slope.
double sag_opening_m3_s(const RawSagOpening& opening, double depth_m);

/// Flow through an upright round hole, m³/s, as both sides stand above its lowest point: each strip passes
/// with the head upon it, above the lower water with its own depth, below it with the difference of the two.
/// C √(2g) ∫ b(z) √(head(z)) dz; kRoundHoleSource. Part full it is a weir, full an orifice; no jump between.
/// Heads ≤ 0 count as 0; street ≤ pool → 0. Accuracy of the integral: 1e-6 of the flow.
struct RoundHole {
  double diameter_m = 0.0;
  double coefficient = kRoundHoleConstant;
};
struct MouthHeads;
double round_hole_m3_s(const RoundHole& hole, const MouthHeads& heads);

/// Mouth of a basin: a level crest between two pools.
struct MouthHeads {
  double street_m = 0.0;  ///< gutter water surface above the crest; ≤ 0 = no water above it
  double pool_m = 0.0;    ///< pool surface above the crest
};
/// Flow from street to pool, m³/s, negative when it runs back: 1.60 L h1^1.5 (1 − (h2/h1)^1.5)^0.385, h1 the
/// higher head, h2 the lower (≥ 0). Source: kDrownedWeirSource; free flow by kSagOpeningSource. Guarantees: 1
/// swapping the heads changes the sign only; 2 grows with street_m, falls with pool_m; 3 equal heads or both
/// ≤ 0 → 0. Neglects approach speed. length_m ≥ 0.
double mouth_flow_m3_s(double length_m, const MouthHeads& heads);
/// The inverse: pool level, 0 to street_m (> 0), at which a mouth takes `share` (0 to 1) of its free flow.
double drowned_level_m(double street_m, double share);
/// The same with its slopes by the share; share over 0 and under 1.
CurvePoint drowned_level_curve(double street_m, double share);

/// A mouth of any kind: open-topped, under a slab (height_m), or round (diameter_m > 0).
struct RawMouth {
  double length_m = 0.0;  ///< clear; of a round hole the clear share of its diameter
  double height_m = std::numeric_limits<double>::infinity();
  double diameter_m = 0.0;
  double weir = kSagWeirConstant;
  double orifice = kOrificeConstant;  ///< of a round hole its coefficient
  bool open_topped() const {
    return !(diameter_m > 0.0) && height_m == std::numeric_limits<double>::infinity();
  }
};
/// As above with its guarantees. Under a slab the lesser of that and 0.67 h L √(2 g (h1 − max(h2, h/2))), h
/// at most h1 (kSagOpeningSource, the drowned side by the difference of levels: our rule). Round:
/// round_hole_m3_s times the clear share.
double mouth_flow_m3_s(const RawMouth& mouth, const MouthHeads& heads);
/// Pool level, 0 to street_m (> 0), at which it takes flow_m3_s; its free flow or more → 0.
double drowned_level_m(const RawMouth& mouth, double street_m, double flow_m3_s);

/// Flow over a level broad crest per metre of crest, m²/s: (2/3)^1.5 √g h^1.5, about 1.705 h^1.5. h ≤ 0 → 0.
/// Free fall behind. Source: kBroadCrestSource. Upper bound: friction and rounding losses are neglected.
double broad_crest_m2_s(double head_m);
/// The factor of that formula, m^0.5/s.
double broad_crest_constant();
/// With a factor of its own.
inline double crest_m2_s(double constant, double head_m) {
  return head_m > 0.0 ? constant * (head_m * std::sqrt(head_m)) : 0.0;
}

}  // namespace curbshed::water
