// What `curbshed check` tells.
#pragma once

#include "curbshed/cli/gather_inputs.hpp"
#include "curbshed/study/storm.hpp"

#include <string>
#include <vector>

namespace curbshed::cli {

/// Reference system, units with their evidence, size, memory, layers with what was set aside and why, places,
/// storms, notes.
std::string check_text(const study::Settings& settings, const GatheredInputs& gathered,
                       const study::Preparation& preparation, const std::vector<study::Storm>& storms,
                       report::Units units);

}  // namespace curbshed::cli
