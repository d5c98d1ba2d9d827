// Depths of rain by duration, from the table that a weather service publishes.
#pragma once

#include "curbshed/water/design_storms.hpp"

#include <string>
#include <string_view>

namespace curbshed::study {

/// A CSV with a column "duration_min" (or another unit) and columns of depths ("2yr_mm", "2yr_in") or mean
/// rates
/// ("2yr_mm_h", "2yr_in_h"). column: which of them ("2yr"); "" where there is one only. InputError with the
/// file for a table that cannot be read, a column that is not there or not one, depths that cannot follow on
/// one another.
water::DepthCurve read_depth_curve(const std::string& file, std::string_view column);

}  // namespace curbshed::study
