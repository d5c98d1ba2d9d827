// The opening of a cut: from what the cut brings along and the study.
#pragma once

#include "curbshed/base/error.hpp"
#include "curbshed/study/preparation.hpp"

namespace curbshed::study {

PondedTable ponded_table(const OpeningSettings& opening);

/// Kind, throat, dip and invert; a core's diameter becomes the opening's length (a cut of no length stays
/// none). Errors (InputError): a core without its diameter; an opening higher than its curb.
void fill_opening_kind(const SiteOverrides& own, const BasinSettings& usual, double curb_height_m,
                       const base::Where& where, NodeParams& params);

}  // namespace curbshed::study
