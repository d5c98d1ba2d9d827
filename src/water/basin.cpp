#include "curbshed/water/basin.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/water/check_dams.hpp"
#include "curbshed/water/opening.hpp"
#include "curbshed/water/root.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

namespace curbshed::water {
namespace {

constexpr double kLongestSubstep_s = 2.5;
constexpr int kNewtonLimit = 60;
constexpr double kAboveRoot_m = 1e-9;  // keeps rounding from putting the root above the bracket

void require_not_negative(double value, const char* what, const char* unit) {
  if (value >= 0.0 && std::isfinite(value)) return;
  throw base::InputError({}, fmt::format("a basin {} of {} {} is not usable", what, value, unit),
                         fmt::format("0 {} or more", unit), "mend that value");
}

/// Floor side, or the arithmetic of why there is none.
double floor_side_m(double line_m, const BasinShape& shape, const char* side) {
  const double ponding_m = shape.ponding.in_metres();
  const double floor_m = line_m - 2.0 * shape.side_slope * ponding_m;
  if (floor_m > 0.0) return floor_m;
  throw base::InputError(
      {},
      fmt::format("a basin with a water line {:.2f} m {}, side slope {} to 1 and {:.2f} m of ponding has no "
                  "floor: {:.2f} − 2 × {} × {:.2f} = {:.2f} m",
                  line_m, side, shape.side_slope, ponding_m, line_m, shape.side_slope, ponding_m, floor_m),
      fmt::format("a water line over {:.2f} m {}", 2.0 * shape.side_slope * ponding_m, side),
      "make it larger, shallower or steeper");
}

double frustum_m3(const RawBasin& b, double h) {
  const double z = b.side_slope;
  return h * (b.floor_area_m2 + h * (z * (b.floor_length_m + b.floor_width_m) + h * (4.0 / 3.0 * z * z)));
}

double power_8(double x) {
  const double square = x * x;
  return square * square * (square * square);
}

/// Volumes that one sub-step moved.
struct Moved {
  double entered_m3 = 0.0;
  double returned_m3 = 0.0;
  double over_rim_m3 = 0.0;
  double infiltrated_m3 = 0.0;
  double evaporated_m3 = 0.0;
  double through_m3 = 0.0;  ///< out by the second cut
  bool resolved = true;
};

/// One sub-step whose end level lies above the lower of invert and rim: the mouth may be drowned or return,
/// the rim may spill.
class HighStep {
 public:
  HighStep(const RawBasin& basin, const BasinForcing& forcing, double without_mouth_m3)
      : b_(basin), f_(forcing), without_mouth_m3_(without_mouth_m3) {}

  Moved solve() const {
    const double surface_m = std::max(0.0, f_.gutter_level_m);
    const double needed_at_surface_m3 = needed_m3(surface_m);
    double low_m = std::min(0.0, b_.rim_level_m);
    double high_m = surface_m;
    Moved moved;
    if (needed_at_surface_m3 < 0.0) {
      if (b_.mouth.length_m > 0.0 && f_.gutter == nullptr) {
        moved.returned_m3 = -needed_at_surface_m3;
        moved.over_rim_m3 = over_rim_m3(surface_m);
        return moved;
      }
      low_m = surface_m;
      high_m = surface_m - needed_at_surface_m3 / b_.top_area_m2 + kAboveRoot_m;
      if (const std::optional<Moved> back = given_back(surface_m, high_m)) return *back;
    } else if (const std::optional<Moved> drowned = drowned_mouth(surface_m, needed_at_surface_m3)) {
      return *drowned;
    }
    const Root root = lower_root({.low = low_m, .high = high_m}, [this](double level_m) {
      return needed_m3(level_m) + returned_m3(level_m) - inflow_m3(level_m);
    });
    moved.resolved = root.resolved;
    moved.over_rim_m3 = over_rim_m3(root.at);
    moved.returned_m3 = returned_m3(root.at);
    // The mouth is steep where the levels meet: its flow is read from the balance, within what it passes
    // there.
    moved.entered_m3 = std::clamp(needed_m3(root.at), 0.0, inflow_m3(root.at));
    return moved;
  }

 private:
  /// A full pool that only lacks what its floor takes in: the mouth is so drowned that its flow falls with an
  /// infinite slope where the levels meet. Asked the other way round, level by inflow, the curve is smooth
  /// there, and two guesses enclose the answer. Nothing when the mouth is not what decides.
  std::optional<Moved> drowned_mouth(double surface_m, double needed_at_surface_m3) const {
    const double free_m3 = f_.step_s * mouth_flow_m3_s(b_.mouth, {.street_m = surface_m, .pool_m = 0.0});
    if (!(needed_at_surface_m3 < std::min(free_m3, f_.step_s * f_.offered_m3_s))) return std::nullopt;
    const bool open_topped = b_.mouth.open_topped();
    const auto level_m = [&](double entered_m3) {
      return open_topped ? drowned_level_m(surface_m, entered_m3 / free_m3)
                         : drowned_level_m(b_.mouth, surface_m, entered_m3 / f_.step_s);
    };
    const double most_m3 = needed_at_surface_m3;  // the pool ends no higher than the gutter stands
    const auto smooth =
        open_topped
            ? smooth_root({.low = 0.0, .high = most_m3},
                          [&](double entered_m3) { return drowned_balance(entered_m3, surface_m, free_m3); })
            : std::nullopt;
    if (smooth) {
      return Moved{.entered_m3 = std::min(*smooth, most_m3),
                   .over_rim_m3 = surface_m > b_.rim_level_m ? over_rim_m3(level_m(*smooth)) : 0.0};
    }
    const double least_m3 = std::max(0.0, needed_m3(level_m(most_m3)));
    const Root root = lower_root({.low = least_m3, .high = most_m3}, [&](double entered_m3) {
      return entered_m3 - needed_m3(level_m(entered_m3));
    });
    return Moved{.entered_m3 = root.at,
                 .over_rim_m3 = over_rim_m3(level_m(root.at)),
                 .resolved = root.resolved || root.at >= most_m3};
  }
  /// A pool above invert and gutter. With its level cross slope · t³ the gutter carries unit flow · t⁸: no
  /// power in the loop.
  std::optional<Moved> given_back(double surface_m, double high_m) const {
    if (f_.gutter == nullptr || !(b_.mouth.length_m > 0.0) || !b_.mouth.open_topped() ||
        f_.gutter->form != GutterForm::Straight || f_.invert_below_gutter_m != 0.0) {
      return std::nullopt;
    }
    const double cross_slope = f_.gutter->cross_slope;
    const double unit_m3 = f_.step_s * f_.gutter->unit_flow_m3_s;
    const double held_m3 = without_mouth_m3_ - b_.invert_volume_m3;
    const double low = cube_root(surface_m / cross_slope);
    const double passing_m3 = unit_m3 * power_8(low);
    const auto root =
        smooth_root({.low = low, .high = cube_root(high_m / cross_slope)}, [&](double t) -> CurvePoint {
          const double t3 = t * t * t;
          const double level_m = cross_slope * t3;
          const double level_slope = 3.0 * cross_slope * t * t;
          const CurvePoint pool =
              with_rim(level_m, b_.top_area_m2 * level_m + over_rim_m3(level_m) - held_m3);
          return {.value = pool.value + (unit_m3 * power_8(t) - passing_m3),
                  .slope = pool.slope * level_slope + 8.0 * unit_m3 * t3 * t3 * t,
                  .bend = pool.slope * 6.0 * cross_slope * t + pool.bend * level_slope * level_slope +
                          56.0 * unit_m3 * t3 * t3};
        });
    if (!root) return std::nullopt;
    const double level_m = cross_slope * *root * *root * *root;
    return Moved{.returned_m3 = std::max(0.0, unit_m3 * power_8(*root) - passing_m3),
                 .over_rim_m3 = over_rim_m3(level_m)};
  }
  /// Slopes of the pool's storage above the invert and of what runs over its rim.
  CurvePoint with_rim(double level_m, double value) const {
    CurvePoint out{.value = value, .slope = b_.top_area_m2};
    if (const double head_m = level_m - b_.rim_level_m; head_m > 0.0) {
      const double slope = 1.5 * over_rim_m3(level_m) / head_m;
      out.slope += slope;
      out.bend += 0.5 * slope / head_m;
    }
    return out;
  }
  /// What enters a drowned mouth less what the pool then needs.
  CurvePoint drowned_balance(double entered_m3, double surface_m, double free_m3) const {
    const CurvePoint level = drowned_level_curve(surface_m, entered_m3 / free_m3);
    const CurvePoint needed = with_rim(level.value, needed_m3(level.value));
    const double slope = level.slope / free_m3;
    return {.value = entered_m3 - needed.value,
            .slope = 1.0 - needed.slope * slope,
            .bend = -needed.slope * level.bend / (free_m3 * free_m3) - needed.bend * slope * slope};
  }
  double over_rim_m3(double level_m) const {
    if (level_m <= b_.rim_level_m) return 0.0;
    return f_.step_s * b_.rim_width_m * crest_m2_s(b_.rim_weir, level_m - b_.rim_level_m);
  }
  /// What the pool lacks from the mouth to end at a level.
  double needed_m3(double level_m) const {
    return basin_volume_m3(b_, level_m) + over_rim_m3(level_m) - without_mouth_m3_;
  }
  double inflow_m3(double level_m) const {
    if (level_m >= f_.gutter_level_m) return 0.0;
    const MouthHeads heads{.street_m = f_.gutter_level_m, .pool_m = level_m};
    return f_.step_s * std::min(f_.offered_m3_s, mouth_flow_m3_s(b_.mouth, heads));
  }
  double returned_m3(double level_m) const {
    const double street_m = std::max(0.0, f_.gutter_level_m);
    if (f_.gutter == nullptr || !(b_.mouth.length_m > 0.0) || level_m <= street_m) return 0.0;
    const double carried_m3_s = std::max(0.0, gutter_m3_s(level_m) - gutter_m3_s(f_.gutter_level_m));
    if (b_.mouth.open_topped()) return f_.step_s * carried_m3_s;
    const double passes_m3_s = -mouth_flow_m3_s(b_.mouth, {.street_m = street_m, .pool_m = level_m});
    return f_.step_s * std::min(carried_m3_s, passes_m3_s);
  }
  /// With its surface at a level above the invert.
  double gutter_m3_s(double level_m) const {
    return flow_at_depth_m3_s(*f_.gutter, level_m - f_.invert_below_gutter_m);
  }

  const RawBasin& b_;
  const BasinForcing& f_;
  double without_mouth_m3_;
};

/// One sub-step of a basin that water runs through, when it can reach the second cut's invert or the rim.
class ThroughStep {
 public:
  ThroughStep(const RawBasin& basin, const BasinForcing& forcing, double without_mouth_m3)
      : b_(basin),
        f_(forcing),
        without_mouth_m3_(without_mouth_m3),
        gutter_m_(std::max(0.0, forcing.gutter_level_m)),
        surface_m_(basin.mouth_above_m + gutter_m_),
        outlet_{.length_m = basin.outlet_length_m, .weir = basin.mouth.weir, .orifice = basin.mouth.orifice} {
  }

  Moved solve() const {
    const double missing_m3 = needed_m3(surface_m_);
    const double high_m =
        missing_m3 < 0.0 ? surface_m_ - missing_m3 / b_.top_area_m2 + kAboveRoot_m : surface_m_;
    const Root root = lower_root({.low = std::min(0.0, b_.rim_level_m), .high = high_m},
                                 [this](double level_m) { return needed_m3(level_m) - inflow_m3(level_m); });
    return {.entered_m3 = std::clamp(needed_m3(root.at), 0.0, inflow_m3(root.at)),
            .over_rim_m3 = over_rim_m3(root.at),
            .through_m3 = through_m3(root.at),
            .resolved = root.resolved};
  }

 private:
  /// What the first cut must bring for the pool to end at a level.
  double needed_m3(double level_m) const {
    return basin_volume_m3(b_, level_m) + over_rim_m3(level_m) + through_m3(level_m) - without_mouth_m3_;
  }
  double over_rim_m3(double level_m) const {
    return level_m > b_.rim_level_m
               ? f_.step_s * b_.rim_width_m * crest_m2_s(b_.rim_weir, level_m - b_.rim_level_m)
               : 0.0;
  }
  double through_m3(double level_m) const {
    if (level_m <= gutter_m_) return 0.0;
    return -f_.step_s * mouth_flow_m3_s(outlet_, {.street_m = gutter_m_, .pool_m = level_m});
  }
  double inflow_m3(double level_m) const {
    if (level_m >= surface_m_ || gutter_m_ == 0.0) return 0.0;
    const MouthHeads heads{.street_m = gutter_m_, .pool_m = level_m - b_.mouth_above_m};
    const double weir_m3_s = mouth_flow_m3_s(b_.mouth, heads);
    if (!b_.end_on) return f_.step_s * std::min(f_.offered_m3_s, weir_m3_s);
    const double free_m3_s = mouth_flow_m3_s(b_.mouth, {.street_m = gutter_m_, .pool_m = 0.0});
    return f_.step_s * f_.offered_m3_s * weir_m3_s / free_m3_s;
  }

  const RawBasin& b_;
  const BasinForcing& f_;
  double without_mouth_m3_;
  double gutter_m_;
  double surface_m_;
  RawMouth outlet_;
};

Moved move(const RawBasin& b, double start_m3, const BasinForcing& f) {
  const double dt = f.step_s;
  const MouthHeads free_mouth{.street_m = f.gutter_level_m, .pool_m = 0.0};
  const double free_m3 =
      f.offered_m3_s > 0.0 && b.mouth.length_m > 0.0 && f.gutter_level_m > 0.0
          ? dt * (b.end_on ? f.offered_m3_s : std::min(f.offered_m3_s, mouth_flow_m3_s(b.mouth, free_mouth)))
          : 0.0;
  const double have_m3 = start_m3 + f.other_inflow_m3_s * dt + free_m3;
  const bool by_surface = b.wetted_rate_m_s > 0.0 || b.evaporation_m_s > 0.0;
  const double surface_m2 = by_surface ? basin_area_m2(b, basin_level_m(b, start_m3)) : 0.0;
  const double soak_m3_s = b.wetted_rate_m_s > 0.0 ? b.wetted_rate_m_s * surface_m2 : b.infiltration_m3_s;
  const double floor_m3 = std::min(soak_m3_s * dt, have_m3);
  const double dry_m3 =
      start_m3 > b.mulch_m3 ? std::min(b.evaporation_m_s * surface_m2 * dt, have_m3 - floor_m3) : 0.0;
  if (have_m3 - floor_m3 - dry_m3 <= std::min(b.invert_volume_m3, b.rim_volume_m3)) {
    return {.entered_m3 = free_m3, .infiltrated_m3 = floor_m3, .evaporated_m3 = dry_m3};
  }
  const double rest_m3 = start_m3 + f.other_inflow_m3_s * dt - floor_m3 - dry_m3;
  Moved moved =
      b.outlet_length_m > 0.0 ? ThroughStep(b, f, rest_m3).solve() : HighStep(b, f, rest_m3).solve();
  moved.infiltrated_m3 = floor_m3;
  moved.evaporated_m3 = dry_m3;
  return moved;
}

/// The level basin under the same water line that holds as much as the one whose floor falls.
RawBasin with_falling_floor(const BasinShape& shape, const BasinPlace& place) {
  require_not_negative(shape.floor_grade, "grade of the floor", "");
  require_not_negative(shape.check_dams, "number of check dams", "");
  const double ponding_m = shape.ponding.in_metres();
  const FallingFloorHolds holds =
      falling_floor({.floor_length_m = floor_side_m(shape.length.in_metres(), shape, "along the curb"),
                     .floor_width_m = floor_side_m(shape.width.in_metres(), shape, "square to it"),
                     .side_slope = shape.side_slope,
                     .ponding_m = ponding_m,
                     .grade = shape.floor_grade,
                     .check_dams = shape.check_dams,
                     .dam_thickness_m = shape.dam_thickness.in_metres()});
  BasinShape level = shape;
  level.floor_grade = 0.0;
  level.check_dams = 0;
  const auto of_ponding = [&](double depth_m) {
    level.ponding = base::Length::metres(depth_m);
    return raw_basin(level, place);
  };
  const auto held_m3 = [&](double depth_m) {
    const RawBasin basin = of_ponding(depth_m);
    return basin.invert_volume_m3 - basin.mulch_m3;
  };
  const double equal_m = holds.volume_m3 >= held_m3(ponding_m)
                             ? ponding_m
                             : lower_root({.low = 0.0, .high = ponding_m}, [&](double h) {
                                 return held_m3(h) - holds.volume_m3;
                               }).at;
  RawBasin basin = of_ponding(equal_m);
  const double wet_share = std::min(1.0, holds.wet_floor_m2 / basin.floor_area_m2);
  basin.infiltration_m3_s *= wet_share;
  return basin;
}

}  // namespace

RawBasin raw_basin(const BasinShape& shape, const BasinPlace& place) {
  RawBasin b;
  b.side_slope = shape.side_slope;
  b.ponding_m = shape.ponding.in_metres();
  b.rim_width_m = place.rim_width.in_metres();
  b.rim_weir = place.rim_weir;
  b.mouth = place.mouth;
  b.mouth.length_m = place.mouth_length.in_metres();
  const double rate_m_s = place.infiltration.in_metres_per_second();
  require_not_negative(b.side_slope, "side slope", "to 1");
  require_not_negative(b.ponding_m, "ponding depth", "m");
  require_not_negative(b.rim_width_m, "rim width", "m");
  require_not_negative(b.mouth.length_m, "mouth", "m");
  require_not_negative(rate_m_s, "infiltration rate", "m/s");
  const double length_m = shape.length.in_metres();
  const double width_m = shape.width.in_metres();
  if (shape.floor_grade > 0.0 || shape.check_dams > 0) return with_falling_floor(shape, place);
  b.floor_length_m = floor_side_m(length_m, shape, "along the curb");
  b.floor_width_m = floor_side_m(width_m, shape, "square to it");
  b.floor_area_m2 = b.floor_length_m * b.floor_width_m;
  b.top_area_m2 = length_m * width_m;
  const double mulch_m = shape.mulch.in_metres();
  require_not_negative(mulch_m, "mulch depth", "m");
  require_not_negative(shape.mulch_voids, "share of voids", "of the mulch");
  b.evaporation_m_s = place.evaporation.in_metres_per_second();
  require_not_negative(b.evaporation_m_s, "evaporation", "m/s");
  b.wetted_rate_m_s = place.soaks_wetted ? rate_m_s : 0.0;
  b.mulch_m3 = b.floor_area_m2 * mulch_m * shape.mulch_voids;
  b.invert_volume_m3 = b.mulch_m3 + frustum_m3(b, b.ponding_m);
  b.outlet_length_m = place.outlet_length.in_metres();
  require_not_negative(b.outlet_length_m, "second cut", "m");
  b.end_on = place.end_on && b.outlet_length_m > 0.0;
  if (b.outlet_length_m > 0.0) b.mouth_above_m = place.outlet_drop.in_metres();
  require_not_negative(b.mouth_above_m, "drop to the second cut", "m");
  b.rim_level_m = std::max(-b.ponding_m, place.rim_above_invert.in_metres() + b.mouth_above_m);
  b.rim_volume_m3 = basin_volume_m3(b, b.rim_level_m);
  b.infiltration_m3_s = rate_m_s * b.floor_area_m2;
  return b;
}

double basin_volume_m3(const RawBasin& basin, double level_m) {
  if (level_m >= 0.0) return basin.invert_volume_m3 + basin.top_area_m2 * level_m;
  const double h = level_m + basin.ponding_m;
  return h >= 0.0 ? basin.mulch_m3 + frustum_m3(basin, h) : 0.0;
}

double basin_level_m(const RawBasin& basin, double volume_m3) {
  if (!(volume_m3 > basin.mulch_m3)) return -basin.ponding_m;
  if (volume_m3 >= basin.invert_volume_m3) return (volume_m3 - basin.invert_volume_m3) / basin.top_area_m2;
  // The volume is convex in h: from above, Newton's steps never pass the root.
  const double pool_m3 = volume_m3 - basin.mulch_m3;
  double h = std::min(basin.ponding_m, pool_m3 / basin.floor_area_m2);
  for (int i = 0; i < kNewtonLimit; ++i) {
    const double fall = (frustum_m3(basin, h) - pool_m3) / basin_area_m2(basin, h - basin.ponding_m);
    if (!(fall > 0.0)) break;
    h -= fall;
  }
  return h - basin.ponding_m;
}

double basin_area_m2(const RawBasin& basin, double level_m) {
  if (level_m >= 0.0) return basin.top_area_m2;
  const double spread_m = 2.0 * basin.side_slope * std::max(0.0, level_m + basin.ponding_m);
  return (basin.floor_length_m + spread_m) * (basin.floor_width_m + spread_m);
}

double full_level_m(const RawBasin& basin, double gutter_level_m) {
  if (basin.outlet_length_m > 0.0) return std::min(0.0, basin.rim_level_m);
  return std::min(std::max(0.0, gutter_level_m), basin.rim_level_m);
}

BasinStep basin_volume_step(const RawBasin& basin, double volume_m3, const BasinForcing& forcing) {
  BasinStep step;
  const double parts = std::max(1.0, std::ceil(forcing.step_s / kLongestSubstep_s));
  BasinForcing part = forcing;
  part.step_s = forcing.step_s / parts;
  double now_m3 = volume_m3;
  double through_m3 = 0.0;
  for (int i = 0; i < static_cast<int>(parts); ++i) {
    const Moved moved = move(basin, now_m3, part);
    const double other_m3 = part.other_inflow_m3_s * part.step_s;
    now_m3 += moved.entered_m3 + other_m3 - moved.returned_m3 - moved.over_rim_m3 - moved.infiltrated_m3 -
              moved.evaporated_m3 - moved.through_m3;
    now_m3 = std::max(0.0, now_m3);
    step.entered_m3 += moved.entered_m3;
    step.other_m3 += other_m3;
    step.returned_m3 += moved.returned_m3;
    through_m3 += moved.through_m3;
    step.over_rim_m3 += moved.over_rim_m3;
    step.infiltrated_m3 += moved.infiltrated_m3;
    step.evaporated_m3 += moved.evaporated_m3;
    step.resolved = step.resolved && moved.resolved;
  }
  // A mouth runs one way at a time: a pool that the first sub-step fills and rain then lifts gives back what
  // it need not have taken.
  const double back_m3 = std::min(step.entered_m3, step.returned_m3);
  step.entered_m3 -= back_m3;
  step.returned_m3 += through_m3 - back_m3;
  step.volume_m3 = std::max(0.0, volume_m3 + step.entered_m3 + step.other_m3 - step.returned_m3 -
                                     step.over_rim_m3 - step.infiltrated_m3 - step.evaporated_m3);
  return step;
}

BasinStep basin_step(const RawBasin& basin, double volume_m3, const BasinForcing& forcing) {
  BasinStep step = basin_volume_step(basin, volume_m3, forcing);
  step.level_m = basin_level_m(basin, step.volume_m3);
  step.at_full_level =
      step.volume_m3 > 0.0 && step.level_m >= full_level_m(basin, forcing.gutter_level_m) - kFullWithin_m;
  return step;
}

}  // namespace curbshed::water
