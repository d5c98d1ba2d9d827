// When a basin is full: levels, doubts and the way of the excess, for tables, map, page and terminal.
#pragma once

#include "curbshed/report/facts.hpp"
#include "curbshed/report/sheets.hpp"

#include <string>
#include <vector>

namespace curbshed::report {

/// Columns of basins.csv; empty cells where a run has no such levels.
std::vector<NodeColumn> full_columns(const RunFacts& facts);
/// One line a basin: where the water over its rim would go.
base::MapLayer overflow_layer(const RunFacts& facts);

/// At how many basins the pool can reach rim or doorway, and where the doubt of the heights decides; ""
/// without levels.
std::string full_sentence(const RunFacts& facts);
/// Under which water: "the 10-year hour on wet soil, with drains blocked …".
std::string full_state_words(const RunFacts& facts);
/// "the pool can stand 3.1 in over the gutter; the lowest ground around it lies 4.2 in higher (± 2.4 in, from
/// heights) …": levels and the way of the excess.
std::string full_site_words(const RunFacts& facts, const siting::FullSite& site, Units units);
/// Lines "id: words" of the basins with the least freeboard first, ties in chain order; `most` at most.
std::vector<std::string> full_lines(const RunFacts& facts, Units units, std::size_t most);
/// A section of the page; "" without levels.
std::string full_section(const RunFacts& facts, Units units);

}  // namespace curbshed::report
