// Corners at which heights do not tell where the water goes, in words: one line a corner.
#pragma once

#include "curbshed/report/display.hpp"
#include "curbshed/report/facts.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace curbshed::report {

struct CornerLines {
  std::vector<std::string> lines;  ///< the corner that changes the largest share of any cut's area first
  std::size_t more = 0;            ///< corners left out, those that change no cut's area by a tenth with them
};

/// "Kiln Street, north side, at Lantern Street (turns, as far as heights tell): K1 gets 100 m2 of ground if
/// the water turns, 86 m2 if it crosses; S1 …; 2 more cuts." Corners below which no cut stands are not
/// counted. At most `most` lines and three cuts a line; cuts that change by less than a tenth are counted
/// with the rest.
CornerLines corner_lines(const RunFacts& facts, Units units, std::size_t most);

/// By node: true where an uncertain corner above changes the area by a tenth or more.
std::vector<bool> below_uncertain_corners(const RunFacts& facts);

/// What the list is, as a heading.
std::string corner_heading();

}  // namespace curbshed::report
