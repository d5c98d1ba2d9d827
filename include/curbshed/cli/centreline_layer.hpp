// The layer of centrelines and what the study says about streets.
#pragma once

#include "curbshed/cli/study_layer.hpp"
#include "curbshed/street/centrelines.hpp"

#include <vector>

namespace curbshed::cli {

street::CentrelineSettings centreline_settings(const study::Settings& settings);

/// Every line of the layer; features whose class, kind or width cannot be used are set aside in `layer`.
std::vector<street::Centreline> centrelines_of(StudyLayer& layer, const study::Settings& settings);

/// Sets aside in `layer` what the street stage could not use; only features of which no part was used.
void set_unused_aside(const street::StreetCurbs& found, StudyLayer& layer);

/// Widths assumed, curbs along which water does not run.
void note_streets(const street::StreetCurbs& found, base::Notes& notes);

}  // namespace curbshed::cli
