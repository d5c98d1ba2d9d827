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

/// Kind of the basin, second cut, fall of the floor, dams; lengths of the water line and the grade are filled
/// already. In a sag both cuts of a basin stand in one pond: it counts as beside. InputError: a kind or floor
/// that is none of ours, dams that are no whole number or leave no room.
void fill_basin_kind(const SiteOverrides& own, const BasinSettings& usual, bool in_sag,
                     const base::Where& where, NodeParams& params);

}  // namespace curbshed::study
