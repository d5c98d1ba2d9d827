// Levels along the gutter below each place.
#pragma once

#include "curbshed/study/chain_model.hpp"

#include "study/basin_sites.hpp"

namespace curbshed::study {

/// From the gutter levels of the curb stations within 3 m of the drawn gutters; one a node.
std::vector<ReachSections> reach_sections(const StationBins& stations,
                                          const std::vector<base::Polyline>& gutters,
                                          const street::Network& network);

}  // namespace curbshed::study
