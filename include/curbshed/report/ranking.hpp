// The order in which cuts are shown.
#pragma once

#include "curbshed/report/facts.hpp"

#include <cstdint>
#include <vector>

namespace curbshed::report {

/// Cuts by the water that they take, most first: of a mean year, where the study gives no months of the
/// common storm (openings shorter than the flume tests: the lesser of the two relations); ties by name. Node
/// numbers.
std::vector<std::int32_t> ranked_cuts(const RunFacts& facts);

}  // namespace curbshed::report
