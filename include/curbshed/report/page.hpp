// report.html: one file that a neighbour opens.
#pragma once

#include "curbshed/report/facts.hpp"

#include <string>

namespace curbshed::report {

/// What lies under the map.
struct PageMap {
  terrain::GridFrame frame;  ///< of the picture; its rows × cols need not be those of the ground
  std::string png;           ///< the picture's bytes; "" = none
};

/// The whole page: no script, nothing fetched, well-formed as XML too. First three sentences with their
/// storm, then the gutter ribbon of each street side, the map, the ranked table, what was assumed, the
/// cautions. Ranked by water of a mean year, where the study gives no months by what is taken in the common
/// storm; ties by name. Same facts, same bytes.
std::string page_html(const RunFacts& facts, const PageMap& map, Units units);

}  // namespace curbshed::report
