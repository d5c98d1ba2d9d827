// Time-area: excess depths and areas by delay make a hydrograph.
#pragma once

#include <span>
#include <string_view>
#include <vector>

namespace curbshed::water {

inline constexpr std::string_view kTimeAreaSource =
    "time-area sum Q(j) = Σ i(j − k + 1) A(k), as in Bedient, Huber & Vieux, Hydrology and Floodplain "
    "Analysis, 5th ed., fig. 1-23";

/// Area whose water takes from_s to to_s, evenly spread between (equal: one delay). 0 ≤ from_s ≤ to_s.
struct DelayedArea {
  double area_m2 = 0.0;
  double from_s = 0.0;
  double to_s = 0.0;
};

/// Areas by whole steps of delay: entry k is the area whose excess of step j arrives in step j + k. Water of
/// one step leaves evenly through it, so a delay of (k + f) steps puts the share 1 − f into entry k and f
/// into k + 1; a range of delays is the mean of that over the range, exact. Sum = the areas given, within
/// rounding. step_s > 0 (BugError).
std::vector<double> areas_by_step_m2(std::span<const DelayedArea> areas, double step_s);
/// The same, added to `by_step_m2`, which must be long enough: steps_needed (BugError).
void add_area_by_step(const DelayedArea& area, double step_s, std::span<double> by_step_m2);
/// Entries that `to_s` needs.
std::size_t steps_needed(double to_s, double step_s);

/// Adds the arriving volume of each step to volume_m3 and returns what has not arrived by its end, in m³.
/// volume(j) = Σ over k of excess(j − k) · area(k). Guarantees: Σ volume + rest = Σ excess · Σ area within
/// rounding; nothing negative from nothing negative. excess_m may be shorter or longer than volume_m3 (what
/// falls later has not arrived). No excess or no area: adds nothing. Does not allocate. Neglects storage
/// and that thin water is slow: rain much shorter than the travel time peaks too high (2.2 times for half of
/// t_e on a plane).
double add_time_area(std::span<const double> excess_m, std::span<const double> by_step_m2,
                     std::span<double> volume_m3);

}  // namespace curbshed::water
