// The libraries behind this layer.
#pragma once

#include <string>
#include <utility>
#include <vector>

namespace curbshed::geodata {

/// Name and version of each, as they run now: GDAL, PROJ, and GEOS when GDAL was built with it.
std::vector<std::pair<std::string, std::string>> library_versions();

}  // namespace curbshed::geodata
