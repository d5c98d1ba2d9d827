// Reads one layer's sub-table of a study.
#pragma once

#include "curbshed/study/study_keys.hpp"

#include "study/toml_document.hpp"

namespace curbshed::study {

/// Fills layer.source(settings), origin and written. Throws InputError with file and line.
void read_layer(const std::string& path, const LayerKey& layer, const TomlValue& table, Settings& settings);

/// Reads the tables of [[street.cut]] and the like into the source's rows.
void read_layer_rows(const std::string& path, const LayerKey& layer, const TomlValue& list,
                     Settings& settings);

}  // namespace curbshed::study
