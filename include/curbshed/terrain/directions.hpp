// Where the water of each cell goes.
#pragma once

#include "curbshed/terrain/levels.hpp"
#include "curbshed/terrain/ways.hpp"

namespace curbshed::terrain {

/// One direction a cell on the water surface `levels` (see water_levels, same ground, walls, drains).
///
/// A step is permitted to a valid neighbour when it is free, or walled with a crest at or below this cell's
/// level. Rule: of the eight triangular facets whose two neighbours are permitted and of all permitted
/// neighbours alone, the one that falls steepest; inside a facet the water goes to its cardinal or its
/// diagonal neighbour so that along any straight fall line the share of diagonal steps is the tangent of the
/// facet's angle (Tarboton 1997 facets): the choice compares that tangent with a fixed low-discrepancy
/// sequence of the cell's global column (facets about east and west) or row (about north and south). A chosen
/// neighbour is always strictly lower; ties go to the lowest bearing. So the mean bearing follows the fall
/// line and the answer depends only on the cell's surroundings and its place in the whole raster. On flats:
/// over permitted steps of the same level to the way out of that flat that costs least, ties to the lowest
/// bearing. A step costs the integer (5 straight, 7 diagonal) · (1 + floor(1 / depth²)), where depth is level
/// − height of the cell that it leaves, in metres, at least 0.03. Where the ground itself is flat that is the
/// nearest way out; in a filled hollow the water keeps to the deep ground, such as the lowered gutter,
/// instead of cutting across the pond. Drains (data edge, marked drains) get kStops only when no permitted
/// neighbour is strictly lower; a marked drain always stops.
Grid<std::uint8_t> flow_directions(const Ground& ground, const Grid<float>& levels, const Walls& walls,
                                   const Grid<std::uint8_t>& drains, const WorkPlan& plan);

/// Steepest single neighbour (drop / distance, ties to the lowest bearing) instead of the facet rule; the
/// rest is equal. Kept as the comparison for the bias tests.
Grid<std::uint8_t> flow_directions_steepest_neighbour(const Ground& ground, const Grid<float>& levels,
                                                      const Walls& walls, const Grid<std::uint8_t>& drains,
                                                      const WorkPlan& plan);

}  // namespace curbshed::terrain
