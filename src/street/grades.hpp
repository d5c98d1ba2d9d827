// Grade and cross slope at the nodes, with errors.
#pragma once

#include "street/crowns.hpp"

namespace curbshed::street::detail {

/// Fills grade (the size of the fall along the gutter), grade_error, cross_slope, cross_slope_error and where
/// both come from.
void fit_grades(const Scene& scene, UnloweredWays& ways, const terrain::Depressions& hollows,
                const std::vector<std::uint8_t>& kept, const std::vector<Crown>& crowns,
                base::Workers workers, Draft& draft);

}  // namespace curbshed::street::detail
