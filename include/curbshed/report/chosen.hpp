// The chosen cuts, as tables and sentences.
#pragma once

#include "curbshed/report/facts.hpp"

#include <string>
#include <vector>

namespace curbshed::report {

/// Every cut that the choice looked at: the chosen ones in build order, then the rest by name. No rows
/// without a choice. What owners said is in none of its columns.
base::Table choice_table(const RunFacts& facts);

/// What was chosen, under which limits, what it brings, and how far no other set can be better. Needs a
/// choice.
std::vector<std::string> choice_sentences(const RunFacts& facts, Units units);

/// A worth in the unit of the aim: "3.2 m3", "12 L/s".
std::string worth_words(const RunFacts& facts, double worth, Units units);

/// One line a chosen cut, in build order: "K3, Kiln Street … : adds 4.1 m3, then 12.3 m3 together".
std::vector<std::string> choice_lines(const RunFacts& facts, Units units);

/// Place in the build order, from 1; 0 = not chosen, or no choice was asked for.
std::int64_t build_order(const RunFacts& facts, std::int32_t node);
std::int64_t build_order(const RunFacts& facts, const std::string& id);

}  // namespace curbshed::report
