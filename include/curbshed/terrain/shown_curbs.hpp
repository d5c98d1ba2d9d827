// How much of the curbs the heights show by themselves.
#pragma once

#include "curbshed/terrain/curbs.hpp"

#include <optional>
#include <vector>

namespace curbshed::terrain {

/// Highest step up, away from the street, within `within_m` of a place on a curb. to_street: unit vector. A
/// step is the rise over 1.4 cells, less the slope that the ground on both sides of it shares. Absent where
/// heights are missing.
std::optional<double> step_near(const Ground& ground, base::Point at, base::Point to_street, double within_m);

struct ShownCurb {
  double length_m = 0.0;  ///< of the curb on the grid
  double known_m = 0.0;   ///< of it with heights on both sides
  double shown_m = 0.0;   ///< of that, with a step of at least half the curb's height within 1.5 m
};

/// One entry a curb line; zeros for flush curbs, gaps, none and curbs that were set aside. Heights of curbs
/// that bring none: those of `settings`.
std::vector<ShownCurb> shown_curbs(const Ground& ground, const std::vector<CurbLine>& curbs,
                                   const CurbField& field, const CurbSettings& settings);

}  // namespace curbshed::terrain
