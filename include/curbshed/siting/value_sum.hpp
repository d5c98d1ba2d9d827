// A worth made of several: a mean year is so many times each of a few rains.
#pragma once

#include "curbshed/siting/choice.hpp"

#include <memory>
#include <vector>

namespace curbshed::siting {

struct WeightedValue {
  std::unique_ptr<PlanValue> value;
  double weight = 1.0;  ///< ≥ 0
};

/// Worths, leads and bounds of the parts, each times its weight, added: a sum of bounds bounds the sum.
/// Bounded where every part is. BugError for no part, or a weight below 0.
std::unique_ptr<PlanValue> value_sum(std::vector<WeightedValue> parts);

}  // namespace curbshed::siting
