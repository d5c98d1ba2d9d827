#pragma once

#include <string>

namespace curbshed::base {

/// Version of the project, "0.1.0".
std::string version();

}  // namespace curbshed::base
