// Areas from areas and lines: union, strip, buffer, what two areas share, lines beside lines.
#pragma once

#include "curbshed/base/geometry.hpp"

#include <cstdint>
#include <vector>

namespace curbshed::shapes {

// Guarantees of every function here (each one a test):
// 1. Results do not depend on the order of the polygons, nor on where their rings begin or how they turn.
// 2. Outer rings turn counter-clockwise, holes clockwise; each ring begins at its lowest point by x, then y;
//    polygons are sorted by that point.
// 3. Corners of union_of, overlap and without lie on whole tenths of a millimetre; arcs are polygons of
//    kArcSteps chords a quarter, inside the true arc by at most 0.1 % of its radius.
// 4. Rings that cross themselves are mended (even-odd); rings without area and coordinates that are no
//    numbers are left out.
// Throws BugError when the library fails on what was checked here.

inline constexpr int kArcSteps = 16;

/// What any of the polygons covers.
std::vector<base::Polygon> union_of(const std::vector<base::Polygon>& polygons);

/// Grown by `distance_m` with round corners; shrunk when it is negative.
std::vector<base::Polygon> buffer(const std::vector<base::Polygon>& polygons, double distance_m);

enum class StripEnd : std::uint8_t { Flat, Round };

/// The ground within `half_width_m` > 0 of a line; corners are mitred up to 2 half widths. Nothing for a line
/// without length.
std::vector<base::Polygon> strip(const base::Polyline& line, double half_width_m, StripEnd end);

/// What both cover.
std::vector<base::Polygon> overlap(const std::vector<base::Polygon>& a, const std::vector<base::Polygon>& b);

/// What `a` covers and `b` does not.
std::vector<base::Polygon> without(const std::vector<base::Polygon>& a, const std::vector<base::Polygon>& b);

/// The parts of a line inside the polygons, in the line's order and direction.
std::vector<base::Polyline> clip(const base::Polyline& line, const std::vector<base::Polygon>& inside);

/// The line beside `line`, `left_m` to its left (negative: to its right), mitred, in the same direction. More
/// parts than one where the line bends so sharply that it falls apart; none when nothing is left.
std::vector<base::Polyline> offset(const base::Polyline& line, double left_m);

}  // namespace curbshed::shapes
