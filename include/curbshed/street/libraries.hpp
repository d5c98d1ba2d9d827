// The library behind this layer.
#pragma once

#include <string>

namespace curbshed::street {

/// Version of Boost, whose graph library orders the network: "1.74.0".
std::string graph_library_version();

}  // namespace curbshed::street
