// The outline of pavement, cut into curb lines by street and side.
#pragma once

#include "street/street_blocks.hpp"

namespace curbshed::street::detail {

struct PieceSettings {
  double height_m = 0.15;  ///< of a vertical curb: what the ground must show half of at a dead end
  double reach_m = 12.0;   ///< edges farther than this outside every block belong to none
  CurbFrom from = CurbFrom::Centreline;
};

/// Fills curbs and facts of `out`, whose blocks are there, from the pavement's outline.
void cut_outline(const std::vector<base::Polygon>& pavement, const BlockNet& net,
                 const terrain::Ground& ground, const PieceSettings& settings, StreetCurbs& out);

}  // namespace curbshed::street::detail
