// Where along the gutter below a place its water is widest.
#pragma once

#include "curbshed/study/storm.hpp"

#include <vector>

namespace curbshed::study {

/// One a node. Grades under the model's least_grade are lifted to it, as everywhere.
std::vector<ReachSpread> reach_spreads(const ChainModel& model, const StormResult& result);

}  // namespace curbshed::study
