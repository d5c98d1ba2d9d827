#include "curbshed/water/losses.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>

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

}  // namespace curbshed::water
