// The map layers of a run.
#pragma once

#include "curbshed/report/facts.hpp"

#include <vector>

namespace curbshed::report {

/// curbs gutters cuts basins screening contributing_areas outfalls inlets sags corners block_faces
/// set_aside, in this order, empty ones
/// included. Each description ends with the cautions.
std::vector<base::MapLayer> map_layers(const RunFacts& facts);

}  // namespace curbshed::report
