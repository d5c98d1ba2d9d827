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

}  // namespace curbshed::cli
