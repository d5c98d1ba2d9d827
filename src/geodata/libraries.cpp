#include "curbshed/geodata/libraries.hpp"

#include "gdal_support.hpp"

#include <string_view>

#include <fmt/format.h>
#include <proj.h>

namespace curbshed::geodata {

std::vector<std::pair<std::string, std::string>> library_versions() {
  detail::start_gdal();
  std::vector<std::pair<std::string, std::string>> versions;
  versions.emplace_back("GDAL", GDALVersionInfo("RELEASE_NAME"));
  versions.emplace_back("PROJ", proj_info().version);
  // "…\nGEOS_VERSION=3.11.1-CAPI-1.17.1\n…"
  const std::string build = GDALVersionInfo("BUILD_INFO");
  constexpr std::string_view kKey = "GEOS_VERSION=";
  const std::size_t at = build.find(kKey);
  if (at != std::string::npos) {
    const std::size_t begin = at + kKey.size();
    versions.emplace_back("GEOS", build.substr(begin, build.find_first_of("-\r\n", begin) - begin));
  }
  return versions;
}

}  // namespace curbshed::geodata
