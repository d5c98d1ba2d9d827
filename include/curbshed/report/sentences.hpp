// What a run found, in plain sentences: the same on the terminal and on the page.
#pragma once

#include "curbshed/report/facts.hpp"

#include <string>
#include <string_view>

namespace curbshed::report {

/// "the 2-year hour (0.87 in of rain)"
std::string storm_words(const study::Storm& storm, Units units);

/// The storm with this id, nullptr where the study has none.
const study::StormComparison* find_storm(const RunFacts& facts, std::string_view id);

/// What the basins take of the runoff that comes by, in this storm.
std::string taken_sentence(const RunFacts& facts, const study::StormComparison& storm, std::size_t cuts,
                           Units units);
/// The peak where the water leaves, without and with the cuts.
std::string peak_sentence(const RunFacts& facts, const study::StormComparison& storm, Units units);
/// Water and canopy of a mean year; facts.year is not null.
std::string year_sentence(const RunFacts& facts, Units units);
/// That values of the study are still placeholders, with the first; empty when none is.
std::string placeholder_sentence(const RunFacts& facts);
/// How many features of each layer lie outside the study's place and were left out; empty when none does.
std::string outside_sentence(const RunFacts& facts);
/// What that rests on.
std::string year_assumption();
/// Names of the storms in which the basin is full before the peak, "none".
std::string full_words(const RunFacts& facts, std::int32_t node);

/// Where most of what arrives leaves by side ways before it comes to the cut: "most of it leaves over the
/// crown or the curb above the cut"; else "". It may be the noise of the heights that makes the crown so low.
std::string leaving_words(const study::NodeResult& result);

}  // namespace curbshed::report
