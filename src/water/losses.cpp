#include "curbshed/water/losses.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace curbshed::water {

base::Length runoff_depth(CurveNumber cn, base::Length rain) {
  if (rain.in_metres() < 0.0) {
    throw base::InputError({}, fmt::format("a rain depth of {} mm is not usable", rain.in_millimetres()),
                           "0 mm or more", "give the depth of the rain");
  }
  return base::Length::metres(cumulative_excess_m(rain.in_metres(), cn.retention().in_metres()));
}

double excess_of_step_m(LossState& state, const LossLaw& law, double rain_m, double step_s) {
  if (!(rain_m > 0.0)) {
    state.dry_s += step_s;
    return 0.0;
  }
  if (state.dry_s >= law.dry_reset_s) state = LossState{};
  state.dry_s = 0.0;
  state.fallen_m += rain_m;
  const double before_m = state.excess_m;
  state.excess_m = std::max(before_m, cumulative_excess_m(state.fallen_m, law.retention_m));
  return state.excess_m - before_m;
}

base::Length revised_retention(CurveNumber cn) {
  return base::Length::inches(1.33 * std::pow(cn.retention().in_inches(), 1.15));
}

double excess_m(double rain_m, double retention_m, double abstraction_ratio) {
  const double over_m = rain_m - abstraction_ratio * retention_m;
  return over_m > 0.0 ? over_m * (over_m / (over_m + retention_m)) : 0.0;
}

CurveNumber under_condition(CurveNumber average, RunoffCondition condition) {
  const double cn = average.value();
  switch (condition) {
    case RunoffCondition::Dry:
      return CurveNumber::of(std::max(30.0, 4.2 * cn / (10.0 - 0.058 * cn)));
    case RunoffCondition::Average:
      break;
    case RunoffCondition::Wet:
      return CurveNumber::of(std::min(100.0, 23.0 * cn / (10.0 + 0.13 * cn)));
  }
  return average;
}

}  // namespace curbshed::water
