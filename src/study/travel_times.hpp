// How long the water of each cell takes to the gutter, and how far it then runs in it.
#pragma once

#include "curbshed/street/network.hpp"
#include "curbshed/study/preparation.hpp"

namespace curbshed::study {

struct TravelTimes {
  terrain::Grid<std::int64_t> to_gutter_1024;  ///< 1/1024 s, to the first gutter or receiver cell
  terrain::Grid<std::int64_t> in_gutter_1024;  ///< 1/1024 m, from there to the first receiver
  std::int64_t timed_cells = 0;
  std::int64_t floor_cells = 0;  ///< of these, with a slope under the least slope
};

/// Sheet flow where the longest way above a cell is under rain.sheet_limit: the cell adds t(y + dy) - t(y), y
/// = way from its lower side to where its sheet flow ends (water::sheet_time_added_s says why). Then shallow
/// concentrated flow. Slopes are falls over rain.slope_way of path on the unlowered ground, at least
/// rain.least_slope. A cell's seconds are rounded once, to 1/1024 s. Time ends at the first gutter cell; from
/// there all cells down to the receiver are gutter way, those of a valley gutter or crossing without a curb
/// too. Receiver cells stop both.
TravelTimes travel_times(const StudyInputs& inputs, const terrain::CurbField& curbs,
                         const street::StreetModel& street, const RainSettings& rain,
                         const terrain::WorkPlan& plan);

}  // namespace curbshed::study
