#include "curbshed/water/tank.hpp"

#include <algorithm>

namespace curbshed::water {

LedToTank lead_to_tank(const RoofTank& tank, TankState& state, double runoff_m3, double step_s) {
  LedToTank led;
  if (!(runoff_m3 > 0.0)) {
    state.dry_s += step_s;
    return led;
  }
  if (state.dry_s >= tank.flush_reset_s) state.flushed_m3 = 0.0;
  state.dry_s = 0.0;
  led.screened_m3 = tank.screen_loss * runoff_m3;
  const double past_screen_m3 = runoff_m3 - led.screened_m3;
  const double room_m3 = std::max(0.0, tank.flush_m * tank.roof_m2 - state.flushed_m3);
  led.flushed_m3 = std::min(past_screen_m3, room_m3);
  state.flushed_m3 += led.flushed_m3;
  led.on_m3 = past_screen_m3 - led.flushed_m3;
  return led;
}

TankFill fill_tank(const RoofTank& tank, TankState& state, double inflow_m3, double step_s) {
  TankFill fill;
  fill.used_m3 = std::min(tank.use_m3_s * step_s, state.tank_m3);
  const double holds_m3 = state.tank_m3 + inflow_m3;
  const double keeps_m3 = std::min(holds_m3, tank.size_m3);
  fill.over_m3 = holds_m3 - keeps_m3;
  state.tank_m3 = std::max(0.0, keeps_m3 - fill.used_m3);
  return fill;
}

LotBasinFill fill_lot_basin(const RoofTank& tank, TankState& state, double inflow_m3, double step_s) {
  LotBasinFill fill;
  const double holds_m3 = state.basin_m3 + inflow_m3;
  if (!(tank.basin_m3 > 0.0)) {  // no basin: nothing can soak
    fill.over_m3 = holds_m3;
    state.basin_m3 = 0.0;
    return fill;
  }
  fill.soaked_m3 = std::min(tank.basin_soaks_m3_s * step_s, holds_m3);
  const double left_m3 = holds_m3 - fill.soaked_m3;
  state.basin_m3 = std::min(left_m3, tank.basin_m3);
  fill.over_m3 = left_m3 - state.basin_m3;
  return fill;
}

TankStep tank_step(const RoofTank& tank, TankState& state, double runoff_m3, double step_s) {
  const LedToTank led = lead_to_tank(tank, state, runoff_m3, step_s);
  const TankFill fill = fill_tank(tank, state, led.on_m3, step_s);
  const LotBasinFill basin = fill_lot_basin(tank, state, fill.over_m3, step_s);
  return {.screened_m3 = led.screened_m3,
          .flushed_m3 = led.flushed_m3,
          .used_m3 = fill.used_m3,
          .soaked_m3 = basin.soaked_m3,
          .to_street_m3 = basin.over_m3};
}

TankStep stand_dry(const RoofTank& tank, TankState& state, double seconds) {
  return tank_step(tank, state, 0.0, seconds);
}

}  // namespace curbshed::water
