// Receivers whose area the edge of the data cuts.
#pragma once

#include "street/draft.hpp"

namespace curbshed::street::detail {

/// Fills edge_cuts_area: a cell of the node's own area on the edge of the data runs into the data, and the
/// ground rises outward there over the last cells square to the edge.
void mark_cut_areas(const Scene& scene, const terrain::Grid<std::uint8_t>& directions,
                    const terrain::Grid<std::int32_t>& first_receiver, Network& net);

/// Fills edge_cuts_above, in chain order.
void carry_marks_down(Network& net);

}  // namespace curbshed::street::detail
