#include "curbshed/base/version.hpp"

#include "curbshed/base/version_number.hpp"

namespace curbshed::base {

std::string version() { return CURBSHED_VERSION; }

}  // namespace curbshed::base
