// Polygons on the grid.
#pragma once

#include "curbshed/base/geometry.hpp"
#include "curbshed/terrain/grid.hpp"

#include <cstdint>
#include <vector>

namespace curbshed::geodata {

/// The value of the polygon that holds each cell's centre, −1 where none does; where several do, the last
/// one's. One value (≥ 0) a shape; shapes that are not polygons are a BugError. Holes are left open.
terrain::Grid<std::int32_t> burn_polygons(const terrain::GridFrame& frame,
                                          const std::vector<base::Shape>& shapes,
                                          const std::vector<std::int32_t>& values);

}  // namespace curbshed::geodata
