// Heights between cell centres.
#pragma once

#include "curbshed/terrain/grid.hpp"

#include <optional>

namespace curbshed::terrain {

/// Bilinear between the four cell centres around p, exact on planes; in the outer half cell of the raster and
/// beside cells without data the height of p's own cell. Absent where that cell is invalid or p lies outside.
std::optional<double> height_at(const Ground& ground, base::Point p);

}  // namespace curbshed::terrain
