// The rows of [street.field].
#pragma once

#include "curbshed/cli/site_places.hpp"
#include "curbshed/study/field_values.hpp"

#include <vector>

namespace curbshed::cli {

/// Rows with nothing in them are left out. A place is looked at only where the row names no cut: a phone's is
/// too far off to find one, and need not agree. InputError that names the row: no number, a value out of
/// range, a `water` that is neither yes nor no, a place that leads nowhere.
std::vector<study::FieldRow> field_rows(const StudyLayer& layer, SitePlaces& places);

/// Rows of levels against the top of the curb, as field rows of one value each. InputError that names the
/// row: no cut, no height, a word that is not known, a gutter above the curb's top.
std::vector<study::FieldRow> level_rows(const StudyLayer& layer);

}  // namespace curbshed::cli
