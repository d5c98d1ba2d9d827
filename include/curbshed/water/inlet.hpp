// Drain inlets: curb opening, grate, slotted drain, or a table of what the inlet takes.
#pragma once

#include "curbshed/water/opening.hpp"

#include <optional>
#include <string_view>
#include <vector>

namespace curbshed::water {

inline constexpr std::string_view kGrateSource =
    "grates on grade: frontal flow E0 = 1 − (1 − W/T)^(8/3), of it Rf = 1 − 0.295 (V − V0) above the "
    "splash-over "
    "speed V0; side flow Rs = 1/(1 + 0.0828 V^1.8/(Sx L^2.3)): Shammas & Wang, Fair, Geyer & Okun's Water "
    "and "
    "Wastewater Engineering, 3rd ed., 2011, eqs. 13.32 to 13.37, after FHWA HEC-22; Texas DOT Hydraulic "
    "Design "
    "Manual, ch. 10, eqs. 10-22 to 10-28. In a sag weir 1.66 P d^1.5 and orifice 0.67 A √(2 g d): the same "
    "manual, "
    "eqs. 10-30 and 10-31";
inline constexpr std::string_view kSlotSource =
    "slotted drains on grade as a curb opening of their length (Texas DOT Hydraulic Design Manual, ch. 10, "
    "sec. 5); "
    "in a sag weir 1.4 L d^1.5 and orifice 0.8 L W √(2 g d), FHWA HEC-22, 3rd ed., 2009, ch. 4 (from memory)";

enum class InletKind : std::uint8_t { CurbOpening, Grate, Slotted };

/// One row of a rating table. A table is by depth at the curb face (m) or by flow that comes (m³/s).
struct RatingPair {
  double at = 0.0;
  double captured_m3_s = 0.0;
};
struct Rating {
  bool by_depth = true;
  std::vector<RatingPair> pairs;  ///< `at` rises, `captured` does not fall, both ≥ 0
};
/// Straight lines between the pairs, from (0, 0) to the first; above the last pair the last value. at ≤ 0 →
/// 0.
double rated_m3_s(const Rating& rating, double at);

inline constexpr double kGrateWeirConstant = 1.66;     ///< SI, m^0.5/s; kGrateSource
inline constexpr double kGrateOrificeConstant = 0.67;  ///< kGrateSource
inline constexpr double kSlotWeirConstant = 1.4;       ///< SI, m^0.5/s; kSlotSource
inline constexpr double kSlotOrificeConstant = 0.8;    ///< kSlotSource

/// What an inlet is. Lengths run along the curb and are clear of clogging.
struct InletShape {
  InletKind kind = InletKind::CurbOpening;
  double clear_length_m = 0.0;
  double width_m = 0.0;      ///< of a grate from the curb face, of a slot: its opening
  double open_share = 1.0;   ///< of a grate: openings over area
  double rated_share = 1.0;  ///< of what its rating says: 1 − clogging
  // Of a grate or a slot in a pond; absent: the constants above. A curb opening's: RawSagOpening.
  std::optional<double> weir = {};     ///< SI, m^0.5/s
  std::optional<double> orifice = {};  ///< C of C A √(2 g d)
  /// Of a grate: speed of the gutter from which water jumps over the bars, as charts of its kind and length
  /// or its maker give it; absent: none jumps.
  std::optional<double> splash_over_m_s = {};
  const Rating* rating = nullptr;  ///< counts before the formulas wherever it can
};

/// Flow that an inlet on a grade takes, 0 to flow. Curb opening and slot by `opening` (see RawOpening); a
/// grate: flow · (E0 Rf + (1 − E0) Rs), source kGrateSource; without a splash-over speed it neglects water
/// that jumps over the bars, which on steep grades takes much away. A rating by depth is asked at the
/// gutter's depth.
double inlet_on_grade_m3_s(const InletShape& inlet, const RawOpening& opening, const RawGutter& gutter,
                           double flow_m3_s);

/// Flow that an inlet takes from a pond of this depth at the curb face. Does not fall as depth grows. Curb
/// opening by `sag`; grate: the lesser of weir over three sides and orifice (kGrateSource); slot:
/// kSlotSource. A rating by flow says nothing about a pond: the formulas count.
double inlet_in_pond_m3_s(const InletShape& inlet, const RawSagOpening& sag, double depth_m);

}  // namespace curbshed::water
