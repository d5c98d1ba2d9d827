// How high the street's water stands at each place when nothing takes it: the level to which a pool can rise.
#pragma once

#include "curbshed/study/storm.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace curbshed::study {

inline constexpr std::string_view kWetNumberSource =
    "Chow, Maidment & Mays 1988, Applied Hydrology, eq. 5.5.11 (from memory); within 1.2 of the table of wet "
    "numbers in NRCS National Engineering Handbook 630, ch. 10";

/// Curve number on wet ground from the tables' average one: 23 CN / (10 + 0.13 CN), 30 to 100. Source:
/// kWetNumberSource.
double wet_curve_number(double average);

/// The model when all is full: drain inlets blocked; planned cuts and existing basins take nothing, as if
/// each were full at the start and every cut blocked; soil wet at the start: curve numbers of wet ground,
/// soils by Green-Ampt or Horton at their final rate from the first drop. A coefficient stays: no published
/// conversion. Ponds in sags start empty, as in the storms themselves.
ChainModel when_all_is_full(const ChainModel& model);

/// Of the storms, the one with the most rain within any 15 minutes; then the deeper one, then the first.
/// Quarter of an hour: about the time of concentration of a cut in a street (our choice, no source).
std::size_t largest_storm(const std::vector<Storm>& storms);

/// The street's water at one node; metres.
struct FullLevel {
  double gutter_m = 0.0;  ///< gutter at the curb face, as the network has it
  double depth_m = 0.0;   ///< deepest water above it; a dip of the gutter lies under it and does not count
  double level_m() const { return gutter_m + depth_m; }
};
struct FullWater {
  std::string storm_id;
  std::string storm_title;
  std::vector<FullLevel> levels;  ///< one a node
};

/// One base-case run of the largest storm on when_all_is_full. A basin's pool can rise to the level of its
/// node, not higher. It is the high end: the water that a working basin above would take is in it. Depths
/// are those of steady flow in the gutter's section (or of the pond of a sag), what runs off by side ways
/// left out; standing waves and jams are not in it. The other results of a run do not depend on it. Same bits
/// for any number of workers. No storms: BugError.
FullWater full_water(const ChainModel& model, const std::vector<Storm>& storms, base::Workers workers = {});

}  // namespace curbshed::study
