// Pavement as polygons from measured blocks.
#pragma once

#include "street/block_fits.hpp"

namespace curbshed::street::detail {

/// Strips of all blocks with their junctions, round corners and bulbs, united.
std::vector<base::Polygon> pavement_of(const terrain::Ground& ground, const CentrelineSettings& settings,
                                       const BlockNet& net);

}  // namespace curbshed::street::detail
