// What lots with rain tanks keep: as a sheet, as a sum and in words.
#pragma once

#include "curbshed/report/sheets.hpp"

#include <optional>
#include <string>

namespace curbshed::report {

/// One row a tank (`nodes` are numbers of tanks), with cuts.
Sheet lots_sheet(const RunFacts& facts);

struct LotSums {
  double led_m3 = 0.0;   ///< off the roofs that are led to tanks
  double kept_m3 = 0.0;  ///< of it, what does not go on to the street
};
/// With cuts; absent where no lot has a tank.
std::optional<LotSums> lot_sums(const study::StormComparison& storm);

/// What the tanks keep in a storm, and whether they stand in the case without cuts; "" without tanks.
std::string lots_sentence(const RunFacts& facts, const study::StormComparison& storm, Units units);

}  // namespace curbshed::report
