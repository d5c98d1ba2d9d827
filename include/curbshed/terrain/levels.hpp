// The level to which water stands before it finds a way out.
#pragma once

#include "curbshed/terrain/walls.hpp"

namespace curbshed::terrain {

/// For each valid cell: the lowest, over all ways out, of the highest (cell height, directed crest) on the
/// way, in metres.
///
/// A way goes from cell to one of 8 neighbours; a walled step counts with its crest. A way is out when it
/// reaches a drain: a cell on the raster's edge, a cell beside an invalid cell, or a cell marked in `drains`
/// (1 = water leaves here). Guarantees, each a test:
///  1. level ≥ height; a drain's level is its height.
///  2. filling the result again changes nothing.
///  3. equal to a brute-force relaxation, with any one-way walls, ties and invalid cells.
///  4. equal for every WorkPlan, bit for bit.
/// `drains` may be empty (no marked drains). Invalid cells hold 0.
Grid<float> water_levels(const Ground& ground, const Walls& walls, const Grid<std::uint8_t>& drains,
                         const WorkPlan& plan);

/// True when water leaves the data from this cell: on the raster's edge or beside an invalid cell.
bool on_data_edge(const Ground& ground, std::int64_t row, std::int64_t col);

/// A connected set of cells under water at one level (8 neighbours, walls not looked at: one pond has one
/// level).
struct Depression {
  std::int32_t label = 0;         ///< 0, 1, … in the order of the first cell
  std::int64_t deepest_cell = 0;  ///< lowest ground, ties to the lowest index
  std::int64_t cells = 0;
  double depth_m = 0.0;  ///< deepest
  double volume_m3 = 0.0;
  float spill_level_m = 0.0F;
};
struct Depressions {
  std::vector<Depression> list;
  Grid<std::int32_t> label;  ///< −1 outside
};
/// All depressions of a surface: cells whose level is above their height, joined where neighbouring levels
/// are equal.
Depressions find_depressions(const Ground& ground, const Grid<float>& levels);

}  // namespace curbshed::terrain
