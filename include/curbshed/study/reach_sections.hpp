// Where along the gutter below a place its water is widest.
#pragma once

#include "curbshed/base/geometry.hpp"
#include "curbshed/study/storm.hpp"

#include <algorithm>
#include <optional>
#include <vector>

namespace curbshed::study {

/// The flattest piece of the gutter from a place down to the next: the least of the fits (least squares over
/// 30 m, all of it where it is shorter) whose middles stand 5 m apart. The least of many fits errs low: heights
/// 3 cm wrong over 5 m move one by 0.14 %.
struct ReachSections {
  std::optional<double> flattest_grade;  ///< fraction, ≥ 0; absent where fewer than five levels are known
  double flattest_from_m = 0.0;          ///< its middle, down the gutter from the upper place
  base::Point flattest_at;
};

/// Widest water at two sections of a reach in one run: where the gutter is flattest, and at its lower end,
/// where it carries most. Flow between the ends: the upper place's leaving peak, growing evenly by what the
/// lower place's arriving peak has more than all that leaves above it (peaks need not meet: the least that it
/// can be). At the lower end the lower place's section counts, none where that is a sag or the data's edge.
struct ReachSpread {
  std::optional<double> flattest_m;
  std::optional<double> lower_end_m;
  double widest_m() const { return std::max(flattest_m.value_or(0.0), lower_end_m.value_or(0.0)); }
};
/// One a node. Grades under least_grade are lifted to it, as everywhere.
std::vector<ReachSpread> reach_spreads(const ChainModel& model, const std::vector<ReachSections>& reaches,
                                       const StormResult& result, double least_grade);

}  // namespace curbshed::study
