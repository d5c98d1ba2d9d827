// How long water takes from where it falls to the gutter.
#pragma once

#include "curbshed/base/quantity.hpp"

#include <cmath>
#include <string_view>
#include <vector>

namespace curbshed::water {

inline constexpr std::string_view kSheetFlowSource =
    "kinematic wave on a plane with Manning's law; FHWA HEC-22, 3rd ed., 2009, eq. 3-3 (it prints 6.92 for "
    "the exact unit "
    "constant 6.988)";
inline constexpr std::string_view kSheetFlowDayRainSource = "NRCS TR-55, 2nd ed., June 1986, eq. 3-3";
inline constexpr std::string_view kShallowFlowSource =
    "NRCS TR-55, 2nd ed., June 1986, app. F: 16.1345 and 20.3282 ft/s (from memory)";

/// Sheet flow on a plane.
struct SheetFlow {
  base::Length length;        ///< > 0
  base::Slope slope;          ///< > 0
  base::Roughness roughness;  ///< n of sheet flow
};

/// Time until the far end of the plane adds its full share: t = (n L)^0.6 / (i^0.4 S^0.3), SI, i = excess
/// intensity. Exact for the kinematic wave under steady excess. Valid for L up to about 30-100 m; farther
/// down water gathers in rills. No slope, no length or no excess: InputError (the time has no end); give a
/// least slope. Source: kSheetFlowSource.
base::Duration sheet_flow_time(const SheetFlow& plane, base::Rate excess);

/// The same from the 2-year 24-hour rain: t = 0.007 (n L)^0.8 / (P^0.5 s^0.4), h, ft, in. For comparison with
/// hand calculations; bursts use sheet_flow_time. Same errors. Source: kSheetFlowDayRainSource.
base::Duration sheet_flow_time_from_day_rain(const SheetFlow& plane, base::Length two_year_day);

/// Plain numbers of one cell's sheet flow.
struct RawSheet {
  double slope = 0.002;      ///< > 0
  double roughness = 0.011;  ///< > 0
  double excess_m_s = 0.0;   ///< > 0
};

/// Seconds that a cell adds to the way of its water: t(y + dy) − t(y), t as in sheet_flow_time, y = distance
/// from the cell's lower side down to where sheet flow ends (gutter, or shallow flow), dy = its own step. Why
/// y counts from the lower end: under steady excess i the outflow of a plane is q = α (i t)^m until t_e, so
/// the share q/q_eq = (t/t_e)^(5/3) must come from the lower y = L (t/t_e)^(5/3), that is t(y) = t_e
/// (y/L)^(3/5): the formula itself with y for L. Time-area then gives the kinematic rising limb exactly;
/// counted from the divide it is 20 % early at 90 %. to_end_m ≥ 0, step_m ≥ 0; not checked. Slopes must have
/// a floor (no slope has no time).
inline double sheet_time_added_s(const RawSheet& cell, double to_end_m, double step_m) {
  const double unit_s =
      std::pow(cell.roughness, 0.6) / (std::pow(cell.excess_m_s, 0.4) * std::pow(cell.slope, 0.3));
  return unit_s * (std::pow(to_end_m + step_m, 0.6) - std::pow(to_end_m, 0.6));
}

/// The same for many cells of one roughness and excess each, within 1e-13 of the largest term: `unit_s` =
/// sheet_unit_s of the cell. All lists the same length (BugError).
struct SheetCells {
  std::vector<double> unit_s, slope, to_end_m, step_m;
};
void sheet_times_added_s(const SheetCells& cells, std::vector<double>& seconds);
/// n^0.6 / i^0.4, both > 0.
inline double sheet_unit_s(double roughness, double excess_m_s) {
  return std::pow(roughness, 0.6) / std::pow(excess_m_s, 0.4);
}

inline constexpr double kShallowPaved_ft_s = 20.3282;  ///< kShallowFlowSource
inline constexpr double kShallowUnpaved_ft_s = 16.1345;

/// Speed of shallow concentrated flow, m/s: V = k √S, k = 20.3282 ft/s paved, 16.1345 ft/s unpaved. No slope
/// → 0: give a least slope before dividing by it. Valid for slopes of 0.5 to 50 % (the figure's range, from
/// memory).
double shallow_speed_m_s(base::Slope slope, bool paved);
/// The same for inner loops; slope ≥ 0.
inline double raw_shallow_speed_m_s(double slope, bool paved) {
  return (paved ? kShallowPaved_ft_s : kShallowUnpaved_ft_s) * base::kMetresPerFoot * std::sqrt(slope);
}

}  // namespace curbshed::water
