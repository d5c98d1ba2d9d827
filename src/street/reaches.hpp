// From receivers on the grid to chains: who gets which cell, and where each node's water runs on to.
#pragma once

#include "street/draft.hpp"

namespace curbshed::street::detail {

/// Node of each cell that catches water: pools first, then gutter cells, then the rest of the transects by
/// nearest station.
terrain::Grid<std::int32_t> paint_receivers(const Scene& scene, const Draft& draft,
                                            const terrain::Depressions& hollows,
                                            const std::vector<std::int32_t>& node_of_hollow);

/// Fills downstream, reach_length_m and leaves_at. A node's water runs on from that of its cells where the
/// lowered surface's level is least and, among equals, fewest steps remain; both fall along every way down,
/// so the chains cannot close to a ring. Where the transects of an outfall and of another site overlap, the
/// way ends in a cell of that site; what it leaves goes to the outfall.
void join_chains(const Scene& scene, const terrain::Grid<std::uint8_t>& directions,
                 const terrain::Grid<float>& levels_m, const terrain::Grid<std::int32_t>& receiver_at,
                 Draft& draft);

/// Fills upstream_gutter_m: the longest way in gutter cells above each node within its own area.
void measure_gutters(const Scene& scene, const terrain::Grid<std::uint8_t>& directions,
                     const terrain::Grid<std::int32_t>& receiver_at,
                     const terrain::Grid<std::int32_t>& first_receiver, Network& net);

/// Length of a way over cells.
double chord_length_m(const terrain::GridFrame& frame, const std::vector<std::int64_t>& cells);

/// True when some water of `node` ordinarily comes through `target`, or they are one.
bool leads_to(const Network& net, std::int32_t node, std::int32_t target);

}  // namespace curbshed::street::detail
