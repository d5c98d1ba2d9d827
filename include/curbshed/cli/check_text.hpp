// What `curbshed check` tells.
#pragma once

#include "curbshed/cli/place.hpp"
#include "curbshed/study/storm.hpp"

#include <string>
#include <vector>

namespace curbshed::cli {

/// Reference system, units with their evidence, size, memory, the place, layers with what was set aside and
/// why, places, storms, notes, what is still a placeholder, and what can and cannot be decided.
std::string check_text(const study::Settings& settings, const PreparedStudy& prepared,
                       const std::vector<study::Storm>& storms, report::Units units);

}  // namespace curbshed::cli
