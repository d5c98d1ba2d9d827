// Features of curb and cut layers as the study takes them.
#pragma once

#include "curbshed/cli/study_layer.hpp"
#include "curbshed/study/preparation.hpp"

namespace curbshed::cli {

/// Kind, height, street and side; no line yet. InputError: a word that is not known.
terrain::CurbLine curb_of(const StudyLayer& layer, std::size_t row);

/// What a cut brings along instead of the study's values. InputError that names the cut: a value that cannot
/// be used, a basin that would have no floor.
study::SiteOverrides cut_overrides(const StudyLayer& layer, std::size_t row,
                                   const study::BasinSettings& basin);

/// The same of a basin that is there already. A polygon without lengths counts as the rectangle of its area
/// and outline, the long side along the curb; a volume gives the depth of steep sides.
study::SiteOverrides existing_basin(const StudyLayer& layer, std::size_t row,
                                    const study::BasinSettings& basin);

/// Where a basin's polygon meets the street: the place on the nearest curb beside its middle. InputError
/// without a curb within reach_m of one of its corners.
base::Point beside_curb(const base::Polygon& polygon, const std::vector<terrain::CurbLine>& curbs,
                        double reach_m);

}  // namespace curbshed::cli
