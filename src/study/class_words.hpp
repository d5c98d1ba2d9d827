// Words of ours that several keys and layers share.
#pragma once

#include <string_view>
#include <vector>

namespace curbshed::study {

std::vector<std::string_view> street_classes();
std::vector<std::string_view> surface_names();
std::vector<std::string_view> texture_names();

}  // namespace curbshed::study
