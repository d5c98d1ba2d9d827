// A second opinion on peaks: the rational formula at each outfall, and why the run differs from it.
#pragma once

#include "curbshed/street/network.hpp"

#include <cstdint>
#include <string_view>
#include <vector>

namespace curbshed::study {

struct ChainModel;
struct EventReaches;
struct LateralInflow;
struct Storm;
struct StormResult;

/// What most likely makes a peak differ from C·i·A, in the order in which it is looked for.
enum class PeakReason : std::uint8_t {
  None,
  FromOtherGutters,  ///< over a tenth of its water comes over crowns from areas that are not its own
  IntoInlets,        ///< over a tenth of the runoff goes into drain inlets
  OverSideWays,      ///< over a tenth leaves by side ways
  Ponds,             ///< a sag above holds water back: its peak falls by a third, or a tenth stays in it
  NotYetThere,       ///< over a tenth is still on the way when the run ends
  ShortStorm,        ///< the rain ends before water of the farthest ground comes
  MixedTimes,        ///< half of the area is nearer than a third of the time of concentration
  LossesFirst,       ///< peak over C·i·A: the ground takes its losses before the heaviest rain
  Spread,            ///< peak under C·i·A: water of the parts of the area comes one after another
};
/// "water ponds in a sag above"; "" for None.
std::string_view reason_words(PeakReason reason);

/// Peak by the rational formula Q = C · i · A (Kuichling 1889; HEC-22, 3rd ed., ch. 3, eq. 3-1, number from
/// memory) over the area's own time of concentration.
/// A: all ground whose water comes by ordinary ways, m2. Time of concentration: by which water of 95 % of A
/// has come (to the gutter, along it, down the reaches; 95 % so that a few flat cells do not set it), at
/// least one step, s. C: runoff over rain of A in the whole storm. i: heaviest mean rain over that time, m/s.
struct RationalPeak {
  double area_m2 = 0.0;
  double concentration_s = 0.0;
  double coefficient = 0.0;
  double intensity_m_s = 0.0;
  double ratio = 0.0;                    ///< base-case peak / (C · i · A); 0 where there is no runoff
  PeakReason reason = PeakReason::None;  ///< set where the ratio is under 0.5 or over 1.5
  double peak_m3_s() const { return coefficient * intensity_m_s * area_m2; }
};
inline constexpr double kLeastPeakRatio = 0.5;
inline constexpr double kMostPeakRatio = 1.5;

/// One entry a node; area 0 for all but outfalls with an area.
std::vector<RationalPeak> rational_peaks(const ChainModel& model, const EventReaches& reaches,
                                         const LateralInflow& lateral, const Storm& storm,
                                         const StormResult& base);

}  // namespace curbshed::study
