#include "curbshed/cli/version_text.hpp"

#include "curbshed/base/parallel.hpp"
#include "curbshed/base/version.hpp"
#include "curbshed/cli/console.hpp"
#include "curbshed/geodata/libraries.hpp"
#include "curbshed/report/checksum.hpp"
#include "curbshed/report/manifest.hpp"
#include "curbshed/street/libraries.hpp"
#include "curbshed/study/settings.hpp"

#include <fmt/format.h>

namespace curbshed::cli {

std::vector<std::pair<std::string, std::string>> all_library_versions() {
  std::vector<std::pair<std::string, std::string>> versions = geodata::library_versions();
  versions.emplace_back("Boost", street::graph_library_version());
  versions.emplace_back(
      "fmt", fmt::format("{}.{}.{}", FMT_VERSION / 10000, FMT_VERSION / 100 % 100, FMT_VERSION % 100));
  versions.emplace_back("oneTBB", base::thread_library_version());
  versions.emplace_back("toml++", study::toml_library_version());
  versions.emplace_back("nlohmann-json", report::json_library_version());
  versions.emplace_back("OpenSSL", report::crypto_library_version());
  versions.emplace_back("CLI11", parser_version());
  versions.emplace_back("spdlog", log_library_version());
  return versions;
}

std::string version_text() {
  std::string text = fmt::format("curbshed {}\n", base::version());
  for (const auto& library : all_library_versions()) {
    text += fmt::format("{} {}\n", library.first, library.second);
  }
  return text;
}

}  // namespace curbshed::cli
