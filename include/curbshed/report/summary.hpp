// summary.json: the results of a run for programs and pages.
#pragma once

#include "curbshed/report/facts.hpp"

#include <string>

namespace curbshed::report {

/// Follows docs/summary.schema.json. BugError for a number that is not finite.
std::string summary_json(const RunFacts& facts);

}  // namespace curbshed::report
