// The most canopy that a year's water can carry.
#pragma once

#include <cstdint>

namespace curbshed::trees {

/// What caps the canopy.
enum class CanopyLimit : std::uint8_t { Water, Room };

struct CanopyInputs {
  double water_m3 = 0.0;          ///< through the cut in a mean year, ≥ 0
  double rain_m = 0.0;            ///< of the mean year, ≥ 0
  double reference_et_m = 0.0;    ///< reference evapotranspiration of that year, > 0
  double plant_factor = 0.5;      ///< share of it that the trees need, > 0
  double open_ground_m2 = 0.0;    ///< basin and other open ground under the crowns that rain reaches, ≥ 0
  double crown_diameter_m = 0.0;  ///< of one grown tree, > 0
  double room_m = 0.0;            ///< length along the curb, ≥ 0
  double spacing_m = 0.0;         ///< between trees, > 0
};

struct Canopy {
  int trees = 0;          ///< that fit: one, and one more for each full spacing of the room
  double room_m2 = 0.0;   ///< their grown crowns
  double water_m2 = 0.0;  ///< carried by the water; infinite where rain alone meets the demand
  double bound_m2 = 0.0;  ///< the lesser: no more than this is carried in a mean year
  CanopyLimit limit = CanopyLimit::Water;
};

/// Yearly balance: plant_factor · reference_et · A = water + rain · min(A, open ground). Rain on a crown over
/// paving or roofs does not count, and rain on open ground counts once. An upper bound: it lets every litre
/// wait in the soil until it is wanted; by days a canopy sized so gets only about half to two thirds of its
/// water in a median year where the soil stores 120 mm (docs/methods.md).
/// Plant factor: ANSI/ASABE S623.1 (2017): woody plants in low-humidity climates 0.5 of reference
/// evapotranspiration (from its published abstract); desert-adapted trees 0.3 (from memory).
/// Throws BugError outside the ranges above.
Canopy canopy_bound(const CanopyInputs& inputs);

}  // namespace curbshed::trees
