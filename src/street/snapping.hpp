// Sites on the grid: which gutter each one stands in and which cells it catches water in.
#pragma once

#include "curbshed/base/error.hpp"

#include "street/draft.hpp"

namespace curbshed::street::detail {

/// Place of a message for a feature whose source is "file:layer".
base::Where where_of(const std::string& source, const std::string& id);

/// Cells touched by a segment in the order in which it meets them; at a grid corner both neighbours are
/// taken.
std::vector<std::int64_t> cells_touched(const terrain::GridFrame& frame, base::Point a, base::Point b);

/// Cells across the gutter from the curb face of a station into the street, max(transect_m, 2 cells) long,
/// its gutter cell first. Every cell that the line touches is in it, so no way over 8 neighbours slips
/// through. Ends at walls and unknown ground.
std::vector<std::int64_t> transect(const Scene& scene, std::int32_t station);

struct Snapped {
  std::vector<Place> places;                  ///< cuts and outfalls by id, then inlets by id
  std::vector<std::string> set_aside_inlets;  ///< "id: reason", by id
};
/// Throws InputError for a cut or outfall that cannot be used. A cut in a gap of the curb moves to a curb
/// within 1 m. An inlet in a taken gutter cell moves to the nearest free one. An outfall away from any curb
/// goes to the cell within snap_m that most water reaches on the ground as it is.
Snapped snap_sites(const Scene& scene, UnloweredWays& ways);

}  // namespace curbshed::street::detail
