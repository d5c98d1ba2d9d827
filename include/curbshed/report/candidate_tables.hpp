// What is dug and built, and the candidates for further cuts: tables, layers, sentences.
#pragma once

#include "curbshed/report/facts.hpp"
#include "curbshed/siting/candidates_model.hpp"

#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace curbshed::report {

/// The basin of a cut as it is dug; nothing where it has no floor. The ground stands as high as the curb.
std::optional<siting::DugBasin> dug_basin(const RunFacts& facts, std::int32_t node);
/// What it takes to build.
std::optional<siting::Materials> materials_of(const RunFacts& facts, std::int32_t node);
/// One site of the study.
siting::Cost cost_of(const RunFacts& facts, const siting::Materials& materials, std::int64_t sites);

/// Of all cuts' basins.
struct Work {
  std::int64_t basins = 0;
  siting::Materials materials;
  siting::Cost cost;
};
Work work_of(const RunFacts& facts);
/// "For the 8 basins: 9.8 m3 of soil out (12 m3 on the truck), …"; "" where there is none.
std::string work_sentence(const RunFacts& facts, Units units);

/// Candidates by rank; no rows where the study asks for none.
base::Table candidates_table(const RunFacts& facts);
/// The same, on their basins' water lines.
base::MapLayer candidates_layer(const RunFacts& facts);
/// "" where the study asks for none.
std::string candidates_sentence(const RunFacts& facts, Units units);

/// Rim, water line and floor of each cut's basin and each candidate's.
base::MapLayer basin_outlines_layer(const RunFacts& facts);

}  // namespace curbshed::report
