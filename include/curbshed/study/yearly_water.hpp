// A typical year on the chain: what each basin gets, and the most canopy that this can carry.
#pragma once

#include "curbshed/base/parallel.hpp"
#include "curbshed/study/chain_model.hpp"
#include "curbshed/study/settings.hpp"
#include "curbshed/trees/canopy.hpp"
#include "curbshed/trees/supply.hpp"

#include <array>
#include <optional>
#include <vector>

namespace curbshed::study {

struct YearlyWater {
  double rain_m = 0.0;  ///< of the mean year
  double reference_et_m = 0.0;
  std::vector<double> event_depth_m;          ///< rains that were run, the first is 0
  std::vector<std::vector<double>> event_m3;  ///< per node, by event_depth_m: kept of that rain
  std::vector<std::array<double, trees::kMonths>> month_m3;  ///< per node; 0 where there is no basin
  std::vector<double> year_m3;                               ///< per node
  std::vector<trees::Canopy> canopy;  ///< per node; meaningless where there is no basin
};

/// The chain is run with rains of rising depth, each in one hour on empty basins with every cut of the plan
/// open; what a basin keeps of them (entered − returned − over its rim) is its EventCurve, and the months'
/// wet days do the rest. So one rain brings no more than the opening takes of what comes by and the basin
/// stores and soaks. Open ground = the basin's water line. Nothing where the study gives no months.
std::optional<YearlyWater> yearly_water(const ChainModel& model, const Settings& settings,
                                        base::Workers workers);

/// A mean year as so many times each of the rains that are run: what a basin keeps of the year is linear in
/// what it keeps of each.
struct RainOfYear {
  double depth_m = 0.0;
  double times = 0.0;
};
/// Empty where the study gives no months.
std::vector<RainOfYear> rains_of_year(const Settings& settings);

}  // namespace curbshed::study
