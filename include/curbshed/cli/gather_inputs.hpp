// Reads everything that a study names and brings it onto one grid in metres.
#pragma once

#include "curbshed/cli/study_layer.hpp"
#include "curbshed/geodata/ground.hpp"
#include "curbshed/siting/candidates_strip.hpp"
#include "curbshed/study/preparation.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace curbshed::cli {

struct GatherOptions {
  bool strict = false;                   ///< a bulk feature that cannot be used is an error
  std::int64_t memory_limit_bytes = 0;   ///< 0 = what the machine has
  std::optional<base::Box> place = {};   ///< cuts lie in here: the place with its margin
  std::optional<base::Box> window = {};  ///< what is read of ground and bulk layers; absent = all
  base::Workers workers = {};
};

/// The study's data, and what is worth telling about them.
struct GatheredInputs {
  study::StudyInputs inputs;
  geodata::GroundData ground;  ///< without its grid: that moved to `inputs`
  std::vector<report::InputFile> files;
  std::vector<report::SetAsideFeature> set_aside;
  std::map<std::string, std::int64_t> features;  ///< by layer, set aside ones included
  siting::BesideShapes beside;                   ///< filled where the study looks for candidates
  std::map<std::string, std::int64_t> outside;   ///< by layer: features left out as outside the place
};

/// Layers come in the order of the key table; features in the order of their files. Surfaces: see
/// classify_ground. InputErrors: those of geodata; a cut or outfall without a name, named twice, not one
/// point, with a value out of range; too many features set aside.
GatheredInputs gather_inputs(const study::Settings& settings, const GatherOptions& options);

/// Adds what the preparation set aside (curbs, inlets) and checks the shares again.
void note_set_aside(const study::Preparation& preparation, const study::Settings& settings,
                    const GatherOptions& options, GatheredInputs& gathered);

/// Memory a run needs, for the check against the machine's and for people: the most that was measured of made
/// cities of 1 to 100 million cells with lots and cuts in proportion (0.17, 0.34, 1.02 and 7.00 GB for 1, 4,
/// 16 and 100 million), drawn from above.
inline constexpr std::int64_t kBytesACell = 70;
inline constexpr std::int64_t kBytesBesides = 120'000'000;
inline std::int64_t bytes_of_run(const terrain::GridFrame& frame) {
  return kBytesBesides + kBytesACell * frame.cells();
}

}  // namespace curbshed::cli
