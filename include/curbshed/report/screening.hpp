// The places against the rules, for tables, map, page and terminal.
#pragma once

#include "curbshed/report/facts.hpp"

#include <string>
#include <vector>

namespace curbshed::report {

/// Above this many sites screening.csv has only what is over a limit or to be measured, unless
/// rules.every_row.
inline constexpr std::size_t kMostFullSites = 300;

/// One row a site and rule, sites in the order of the ranked cuts, rules in that of docs/rules.md. Numbers
/// are in the rule's unit, which stands in its own column.
base::Table screening_table(const RunFacts& facts);
/// One polygon a site: its results, and the rules that it is over or that are to be measured.
base::MapLayer screening_layer(const RunFacts& facts);

/// "24 of 80 places are over a limit, 56 are to be measured on site, 0 are within all limits."
std::string screening_sentence(const RunFacts& facts);
std::string screening_sentence(const siting::Screening& screening);
/// "over a limit: shelf, walk_width", the first few rules that the cut's place is over; "" = none, or not
/// screened.
std::string over_words(const RunFacts& facts, std::int32_t node);
/// Whose limits these are: "All 65 limits are ours, not this city's: …".
std::string whose_sentence(const RunFacts& facts);
/// One line a rule that keeps basins out, the most first: "buried_gas: 4 places, 3 by it alone, 1 of these
/// back if it were loosened by a tenth". `most` lines at most.
std::vector<std::string> biting_lines(const RunFacts& facts, std::size_t most);
std::vector<std::string> biting_lines(const siting::Screening& screening, std::size_t most);
/// Keys of the rules with this outcome at a site, in the table's order.
std::vector<std::string> rules_with(const siting::Screening& screening, std::size_t site,
                                    siting::Outcome outcome);
/// Rules without data at any place, by their keys; "" = none.
std::string missing_sentence(const RunFacts& facts);

/// A section of the page: counts, rules that bite, one row a place.
std::string screening_section(const RunFacts& facts);

}  // namespace curbshed::report
