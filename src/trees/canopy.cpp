#include "curbshed/trees/canopy.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace curbshed::trees {
namespace {

/// Canopy at which what the crowns need equals the water and the rain on open ground under them.
double carried_m2(const CanopyInputs& in) {
  const double need_m = in.plant_factor * in.reference_et_m;
  const double on_open_m2 = (in.water_m3 + in.rain_m * in.open_ground_m2) / need_m;
  if (on_open_m2 >= in.open_ground_m2) {
    return on_open_m2;
  }
  return need_m > in.rain_m ? in.water_m3 / (need_m - in.rain_m) : std::numeric_limits<double>::infinity();
}

}  // namespace

Canopy canopy_bound(const CanopyInputs& in) {
  base::ensure(in.water_m3 >= 0.0 && in.rain_m >= 0.0 && in.open_ground_m2 >= 0.0 && in.room_m >= 0.0,
               "water, rain, open ground and room are not negative");
  base::ensure(
      in.reference_et_m > 0.0 && in.plant_factor > 0.0 && in.crown_diameter_m > 0.0 && in.spacing_m > 0.0,
      "evapotranspiration, plant factor, crown and spacing are above 0");
  Canopy canopy;
  canopy.trees = 1 + static_cast<int>(std::floor(in.room_m / in.spacing_m));
  const double radius_m = 0.5 * in.crown_diameter_m;
  canopy.room_m2 = canopy.trees * std::numbers::pi * radius_m * radius_m;
  canopy.water_m2 = carried_m2(in);
  canopy.limit = canopy.water_m2 < canopy.room_m2 ? CanopyLimit::Water : CanopyLimit::Room;
  canopy.bound_m2 = std::min(canopy.water_m2, canopy.room_m2);
  return canopy;
}

}  // namespace curbshed::trees
