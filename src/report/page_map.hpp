// The map of the page: hillshade, contributing areas, curbs, gutters, basins and cuts.
#pragma once

#include "curbshed/report/page.hpp"

#include <string>

namespace curbshed::report {

/// An SVG element. `ranks`: label of each node on the map, "" = none.
std::string map_svg(const RunFacts& facts, const PageMap& map, const std::vector<std::string>& ranks,
                    Units units);

}  // namespace curbshed::report
