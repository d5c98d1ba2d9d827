// Cross-sections of the ground, square to a line, and what they say of curbs and falls.
#pragma once

#include "curbshed/street/centrelines.hpp"

#include <vector>

namespace curbshed::street::detail {

/// Heights at offsets k · kAcross_m to each side of a place on the line; NaN where unknown.
struct Section {
  double along_m = 0.0;
  std::vector<double> left;  ///< left[0] and right[0] are on the line
  std::vector<double> right;
};
inline constexpr double kAcross_m = 0.25;

/// Every spacing_m from from_m to to_m along the line.
std::vector<Section> cross_sections(const terrain::Ground& ground, const base::Polyline& line, double from_m,
                                    double to_m, double spacing_m, double reach_m);

/// A step up and outward in one profile.
struct Step {
  double off_m = 0.0;     ///< middle of the step
  double height_m = 0.0;  ///< over the common slope of both sides
};
/// All steps of at least `least_m`, from the line outward.
std::vector<Step> steps_in(const std::vector<double>& profile, double cell_m, double least_m);

/// How the look at one side of a block is done.
struct SideLook {
  double cell_m = 1.0;
  double least_step_m = 0.05;
  double spacing_m = 5.0;
  double rows_crossed = 1.0;  ///< cell rows (or columns) that the curb runs through: sampling errors differ
  double error_m = 0.03;
  double range_m = 5.0;
};

/// Place of the curb on one side; `fall` is left for `fit_fall`.
SideFit fit_side(const std::vector<Section>& sections, bool left, const SideLook& look);

/// Fills fall and fall_error: slope of the outer part of the pavement, one cell off the curb, `off_m` from
/// the line. Error infinite when no cross-section has enough of it.
void fit_fall(const std::vector<Section>& sections, bool left, double off_m, const SideLook& look,
              SideFit& side);

}  // namespace curbshed::street::detail
