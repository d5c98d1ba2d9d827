// Labelled cells as polygons.
#pragma once

#include "curbshed/terrain/grid.hpp"

namespace curbshed::terrain {

struct LabelArea {
  std::int32_t label = 0;
  std::int64_t cells = 0;
  std::vector<base::Polygon>
      polygons;  ///< along cell edges; outer rings counter-clockwise, holes clockwise; valid in OGC sense
};
/// One entry for each label ≥ 0 that occurs, by label. Cells joined by an edge (not by a corner) are one
/// polygon.
std::vector<LabelArea> trace_areas(const GridFrame& frame, const Grid<std::int32_t>& labels);

}  // namespace curbshed::terrain
