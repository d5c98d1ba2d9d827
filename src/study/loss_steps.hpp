// Excess of one loss class through a storm.
#pragma once

#include "curbshed/study/chain_model.hpp"
#include "curbshed/study/storm.hpp"

#include <vector>

namespace curbshed::study {

/// Excess of each step, metres, 0 to what falls: `falling_m` is rain and run-on, one a step. With a curve
/// number the abstraction is whole again after a dry spell of storm.dry_reset_s, with infiltration the soil
/// recovers evenly over it. `bursts_by_infiltration` takes storms that rain for less than an hour by the
/// soil.
void steps_of_excess(const LossClass& loss, const std::vector<double>& falling_m, const Storm& storm,
                     std::vector<double>& excess_m);

/// The rule by which this storm is taken.
LossRule rule_for(const LossClass& loss, const Storm& storm);

}  // namespace curbshed::study
