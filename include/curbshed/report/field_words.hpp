// What was measured and seen on the street, in words and for files.
#pragma once

#include "curbshed/report/facts.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace curbshed::report {

/// "grade", "%": as files name a value that was measured, its unit there, and the factor to it.
struct FieldUnit {
  std::string_view name;
  std::string_view unit;
  double factor = 1.0;
};
/// "gutter below the curb's top", "doorway above the curb's top": what a level is and how it counts.
std::string level_word(study::FieldValue what);
FieldUnit field_unit(study::FieldValue what);

/// One sentence a place where no water was seen although much should come, the largest area first.
std::vector<std::string> dry_sentences(const study::ChainModel& model, const study::FieldFindings& field,
                                       Units units);

/// "measured", "fitted", "study" …
std::string field_origin(const RunFacts& facts, std::int32_t node, study::FieldValue what,
                         std::string_view otherwise);
/// "yes", "no", "yes and no"; "" where nobody looked.
std::string water_seen_word(const RunFacts& facts, std::int32_t node);

}  // namespace curbshed::report
