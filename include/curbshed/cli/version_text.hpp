// Versions of curbshed and of what it stands on.
#pragma once

#include <string>
#include <utility>
#include <vector>

namespace curbshed::cli {

/// In a fixed order: GDAL, PROJ, …, each once.
std::vector<std::pair<std::string, std::string>> all_library_versions();
/// "curbshed 0.1.0" and one line a library.
std::string version_text();

}  // namespace curbshed::cli
