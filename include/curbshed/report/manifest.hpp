// manifest.json (what made these results) and run-log.json (how the run went).
#pragma once

#include "curbshed/report/facts.hpp"

#include <string>
#include <utility>
#include <vector>

namespace curbshed::report {

/// An output with its checksum.
struct OutputFile {
  std::string name;
  std::string sha256;
};

/// Versions, inputs with checksums, settings with their origin, the ledger of each storm, notes. No path
/// outside the study's folder, no user or machine, no clock. BugError for a number that is not finite.
std::string manifest_json(const RunFacts& facts, const std::vector<OutputFile>& outputs);

/// The one file outside the same-bytes promise.
struct RunLog {
  int threads = 1;
  std::string threads_origin;                            ///< flag, environment, default
  std::vector<std::pair<std::string, double>> stages_s;  ///< wall seconds, in order
  double peak_memory_mb = 0.0;
  std::vector<std::pair<std::string, double>> stages_peak_mb{};  ///< most memory held in each, in order
};
std::string run_log_json(const RunLog& log);

/// Version of nlohmann-json, "3.11.2".
std::string json_library_version();

}  // namespace curbshed::report
