// Walls in yards: lines that water does not cross, from either side.
#pragma once

#include "curbshed/terrain/walls.hpp"

#include <optional>
#include <string>
#include <vector>

namespace curbshed::terrain {

struct YardWall {
  std::string id;
  base::Polyline line;
  std::optional<double> height_m;  ///< above the ground
};

/// `walls` and the yard walls. Every step between neighbouring cells whose centres lie on different sides of
/// a line is walled both ways, so that nothing leaks diagonally; a centre on the line counts as one of its
/// sides. Crest: the higher ground of the two cells + height. A step over several walls or over a curb takes
/// the highest crest. Left out: steps where both cells are street (`street` 1, may be empty), since no wall
/// stands there; steps to a cell without ground; lines of one place. Ends are open: close a yard by a line
/// whose ends meet.
Walls with_yard_walls(const Ground& ground, const Grid<std::uint8_t>& street, const Walls& walls,
                      const std::vector<YardWall>& yard_walls, double default_height_m);

}  // namespace curbshed::terrain
