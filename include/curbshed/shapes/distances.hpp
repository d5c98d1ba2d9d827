// How far shapes lie apart.
#pragma once

#include "curbshed/base/geometry.hpp"

#include <optional>

namespace curbshed::shapes {

/// Shortest distance between an area and a shape, metres; 0 where they touch or one lies in the other.
/// Infinite when either is empty. Rings and lines as drawn: nothing is mended.
double distance_m(const base::Polygon& area, const base::Shape& shape);

/// Where the straight way from `from` along the unit vector `along` first meets the area, metres; 0 when it
/// begins in it. Absent when it does not within `reach_m`.
std::optional<double> way_to_m(base::Point from, base::Point along, double reach_m,
                               const base::Polygon& area);
/// Length of that way within the area from where it first enters to where it first leaves again; `reach_m`
/// counts from `from`.
double way_within_m(base::Point from, base::Point along, double reach_m, const base::Polygon& area);

}  // namespace curbshed::shapes
