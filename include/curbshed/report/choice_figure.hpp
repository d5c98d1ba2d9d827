// Benefit against the number of cuts, as a drawing.
#pragma once

#include "curbshed/report/facts.hpp"

#include <string>

namespace curbshed::report {

/// One step a chosen cut in build order: how high what the first 1, 2, … are worth together, with the number
/// over it; a dashed line where no set can be worth more. "" without a chosen cut. The numbers stand in the
/// list beside it and in choice.csv.
std::string choice_figure(const RunFacts& facts, Units units);

}  // namespace curbshed::report
