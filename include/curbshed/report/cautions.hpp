// What every output says beside its numbers.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace curbshed::report {

/// One or two plain sentences each, the most important first.
const std::vector<std::string_view>& cautions();
/// All in one line, for the metadata of layers and rasters.
std::string cautions_line();

}  // namespace curbshed::report
