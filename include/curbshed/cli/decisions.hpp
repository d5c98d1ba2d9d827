// What a study's layers are good enough to decide.
#pragma once

#include "curbshed/cli/gather_inputs.hpp"

#include <string>
#include <vector>

namespace curbshed::cli {

struct Decisions {
  std::vector<std::string> can;     ///< one decision each
  std::vector<std::string> cannot;  ///< one decision each, with what is missing
};

/// From one table of decisions and what each needs: curbs, lots and buildings, drain inlets, the place's
/// rain, a measured infiltration, cells of 1 m or less. What no layer can decide is always among `cannot`.
Decisions decisions_of(const study::Settings& settings, const GatheredInputs& gathered);

}  // namespace curbshed::cli
