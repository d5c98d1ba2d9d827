// The pond in a kept sag: storage, spill, and one step with whatever drains it.
#pragma once

#include "curbshed/water/opening.hpp"
#include "curbshed/water/root.hpp"

namespace curbshed::water {

/// As found on the surface.
struct SagShape {
  double depth_m = 0.0;                        ///< spill level − bottom, > 0
  double volume_m3 = 0.0;                      ///< at the spill level, > 0
  double area_m2 = 0.0;                        ///< at the spill level, > 0
  double spill_width_m = 0.0;                  ///< crest over which it spills, ≥ 0
  double spill_weir = broad_crest_constant();  ///< m^0.5/s
};

/// Plain numbers. V = V_max (h/h_max)^b with b = area · depth / volume, so that depth, volume and area at the
/// spill level are all met; above it the sides are vertical. b is held within 1 (a box) and 8. Our assumption
/// on the shape, no source.
struct RawSag {
  double depth_m = 0.0;
  double volume_m3 = 0.0;
  double exponent = 1.0;
  double top_area_m2 = 0.0;  ///< b · volume / depth
  double spill_width_m = 0.0;
  double spill_weir = broad_crest_constant();
};
/// A shape outside its ranges: BugError.
RawSag raw_sag(const SagShape& shape);

/// Volume at a depth above the bottom; depth ≤ 0 → 0.
double sag_volume_m3(const RawSag& sag, double depth_m);
/// Its inverse; volume ≤ 0 → 0.
double sag_depth_m(const RawSag& sag, double volume_m3);
/// Flow over the spill crest, spill_weir × head^1.5 × width, m³/s; none up to the spill level.
double sag_spill_m3_s(const RawSag& sag, double depth_m);

struct SagStep {
  double volume_m3 = 0.0;  ///< at the end
  double depth_m =
      0.0;  ///< for which takers and spill were evaluated: call the takers with it to get their parts
  double taken_m3 = 0.0;  ///< by the takers in sum; negative = they gave back
  double spilled_m3 = 0.0;
  bool resolved = true;
};
struct SagForcing {
  double step_s = 0.0;     ///< > 0
  double inflow_m3 = 0.0;  ///< over the step, ≥ 0
};

/// One step, implicit in the depth at its end. taken_m3(depth): volume that inlets and cuts take in the step
/// when the pond stands at `depth`; must not fall as depth grows and must be ≤ 0 at depth 0 (no head, no
/// take); a basin's share is entered − returned of basin_step with the gutter level taken from the depth, so
/// that pond and basins are solved together. Guarantees: 1 volume_m3 = start + inflow − taken − spilled (that
/// sum, no other), ≥ 0; 2 spilled ≥ 0; 3 same input, same bits. Edges: empty and no inflow → all zero unless
/// a taker gives back; pond at its spill level → inflow passes over it.
template <class Taken>
SagStep sag_step(const RawSag& sag, double volume_m3, const SagForcing& forcing, const Taken& taken_m3) {
  const auto out_m3 = [&](double depth_m) {
    return taken_m3(depth_m) + forcing.step_s * sag_spill_m3_s(sag, depth_m);
  };
  const double have_m3 = volume_m3 + forcing.inflow_m3;
  SagStep step;
  const auto surplus_m3 = [&](double depth_m) {
    return sag_volume_m3(sag, depth_m) + out_m3(depth_m) - have_m3;
  };
  double high_m = sag_depth_m(sag, have_m3);
  if (out_m3(high_m) == 0.0) {  // nobody takes, nothing spills: it stands
    step.depth_m = high_m;
    step.volume_m3 = have_m3;
    return step;
  }
  // Takers that give back can lift the pond above what it holds itself.
  for (int doubling = 0; doubling < kMaxDoublings && surplus_m3(high_m) < 0.0; ++doubling) {
    high_m = 2.0 * high_m + 0.01;
  }
  const Root root = lower_root({.low = 0.0, .high = high_m}, surplus_m3);
  step.depth_m = root.at;
  step.resolved = root.resolved;
  step.taken_m3 = taken_m3(root.at);
  step.spilled_m3 = forcing.step_s * sag_spill_m3_s(sag, root.at);
  step.volume_m3 = volume_m3 + forcing.inflow_m3 - step.taken_m3 - step.spilled_m3;
  if (step.volume_m3 < 0.0) step.volume_m3 = 0.0;
  return step;
}

}  // namespace curbshed::water
