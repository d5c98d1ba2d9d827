// The storms of a study.
#pragma once

#include "curbshed/study/settings.hpp"
#include "curbshed/study/storm.hpp"

#include <vector>

namespace curbshed::study {

/// The common storm, the 2-year and the 10-year hour, then the study's further storms, each in steps of
/// rain.step with rain.after of dry steps at the end. The default storms and those without a shape have their
/// peak in the middle (water::block_depths_m). Titles read "2-year hour: 22 mm in 1 h". InputError with file
/// and storm for a duration that is not a whole number of blocks.
std::vector<Storm> storms_of(const Settings& settings);

/// A rain of this depth in one hour, its peak in the middle, with the study's blocks and steps.
Storm hour_storm(const Settings& settings, double depth_m);

}  // namespace curbshed::study
