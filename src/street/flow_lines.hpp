// Lines of the user's, cut into or raised on the surface that directions are found on.
#pragma once

#include "street/corner_places.hpp"

namespace curbshed::street::detail {

/// Lowers the cells in their order so that each lies depth_m below what it was, and below the cell before.
void carve(const std::vector<std::int64_t>& cells, double depth_m, terrain::Ground& low);

/// Valleys start and end in the gutter where one is within snap_m. Cells off the pavement stay, where that is
/// given. Throws InputError for a line outside the elevation or on unknown ground.
void cut_flow_lines(const Scene& scene, const std::vector<FlowLine>& lines, terrain::Ground& low);

/// Corner of each point: the nearest within 20 m. Throws InputError where there is none, or two points have
/// one corner.
std::vector<std::int32_t> corners_of_points(const CornerPlaces& places,
                                            const std::vector<CornerPoint>& points);

/// Cuts in the way that each point asks for, for gutters that fall toward the corner.
void cut_corner_points(const Scene& scene, const CornerPlaces& places, const std::vector<CornerPoint>& points,
                       const std::vector<std::int32_t>& corners, terrain::Ground& low);

/// The gutter falls toward the corner, on the ground as it is.
bool falls_to_corner(const Scene& scene, const CornerFork& fork);

}  // namespace curbshed::street::detail
