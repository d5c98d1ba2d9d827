// A rain tank on a lot: roof, screen, first flush, tank, use, a basin for the overflow, then the street.
#pragma once

#include <string_view>

namespace curbshed::water {

/// What is built. A size of 0 leaves that part out.
struct RoofTank {
  double roof_m2 = 0.0;           ///< led to the tank, in plan, ≥ 0
  double screen_loss = 0.0;       ///< share lost at the leaf screen, 0 to 1
  double flush_m = 0.0;           ///< first flush: depth over the roof, ≥ 0
  double flush_reset_s = 0.0;     ///< dry time after which the diverter has run empty, > 0
  double size_m3 = 0.0;           ///< tank
  double use_m3_s = 0.0;          ///< drawn from the tank while it holds water, ≥ 0
  double basin_m3 = 0.0;          ///< basin on the lot that takes the overflow
  double basin_soaks_m3_s = 0.0;  ///< rate × floor
};

/// What stands in it. Plain and copyable.
struct TankState {
  double tank_m3 = 0.0;
  double basin_m3 = 0.0;
  double flushed_m3 = 0.0;  ///< diverted since the diverter was empty
  double dry_s = 0.0;       ///< since the roof last ran
};

struct LedToTank {
  double screened_m3 = 0.0;  ///< over the screen, lost on the lot
  double flushed_m3 = 0.0;   ///< into the diverter, lost on the lot
  double on_m3 = 0.0;        ///< on to the tank
};
/// Runoff of the roof over a step. Screen first, then the diverter until it holds flush × roof; it is empty
/// again after flush_reset_s without runoff.
LedToTank lead_to_tank(const RoofTank& tank, TankState& state, double runoff_m3, double step_s);

struct TankFill {
  double used_m3 = 0.0;
  double over_m3 = 0.0;
};
/// Tank over a step, yield after spill (Jenkins, Pearson, Moore, Sun & Valentine 1978, Performance of
/// Rainwater Collection Systems in California; from memory): Y = min(D, V0), V = min(V0 + Q − Y, S − Y), over
/// = V0 + Q − Y − V. So what is used in a step makes room only for the next one.
TankFill fill_tank(const RoofTank& tank, TankState& state, double inflow_m3, double step_s);

struct LotBasinFill {
  double soaked_m3 = 0.0;
  double over_m3 = 0.0;  ///< on to the street
};
/// Basin on the lot over a step: soaks what it can of what stood and came, keeps up to its size.
LotBasinFill fill_lot_basin(const RoofTank& tank, TankState& state, double inflow_m3, double step_s);

/// All three, one after the other. Contract: runoff = screened + flushed + used + soaked + to_street + what
/// the tank and the basin gained. No term is negative. More roof, a smaller tank or less use never send less
/// to the street.
struct TankStep {
  double screened_m3 = 0.0;
  double flushed_m3 = 0.0;
  double used_m3 = 0.0;
  double soaked_m3 = 0.0;
  double to_street_m3 = 0.0;
};
TankStep tank_step(const RoofTank& tank, TankState& state, double runoff_m3, double step_s);

/// A dry spell: use goes on, the lot's basin soaks, the diverter runs empty.
TankStep stand_dry(const RoofTank& tank, TankState& state, double seconds);

inline constexpr std::string_view kTankSource =
    "Yield after spill: Jenkins and others 1978, Performance of Rainwater Collection Systems in California "
    "(from memory)";

}  // namespace curbshed::water
