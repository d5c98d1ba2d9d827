// manifest.json of a folder that holds the ground's water alone, without streets.
#pragma once

#include "curbshed/report/manifest.hpp"

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

namespace curbshed::report {

struct GroundWaterFacts {
  std::string version;
  std::vector<std::pair<std::string, std::string>> libraries;
  InputFile file;
  std::int64_t rows = 0;
  std::int64_t cols = 0;
  double cell_m = 0.0;
  std::string crs_name;
  std::string crs_code;
  std::string crs_unit;
  std::string height_unit;
  std::string height_evidence;
  std::int64_t cells_without_height = 0;
  double lowest_m = 0.0;
  double highest_m = 0.0;
  std::int64_t wet_cells = 0;  ///< where water stands above the ground
  double standing_m3 = 0.0;
  double deepest_m = 0.0;
};

/// As manifest_json: no path, no clock, no threads and no memory.
std::string ground_manifest_json(const GroundWaterFacts& facts, const std::vector<OutputFile>& outputs);

}  // namespace curbshed::report
