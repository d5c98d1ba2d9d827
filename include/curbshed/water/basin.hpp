// A sunken basin behind a cut: its shape, and one step of its water.
#pragma once

#include "curbshed/base/quantity.hpp"
#include "curbshed/water/gutter.hpp"
#include "curbshed/water/opening.hpp"

namespace curbshed::water {

/// As dug. Up to the cut's invert a frustum whose water line there is length × width; above the invert the
/// sides are taken as vertical (the little that stands there flows back anyway), so storage above it is on
/// the low side.
struct BasinShape {
  base::Length length = base::Length::metres(0.0);   ///< of the water line at the invert, along the curb
  base::Length width = base::Length::metres(0.0);    ///< of that line, square to the curb
  double side_slope = 0.0;                           ///< horizontal to one vertical, ≥ 0
  base::Length ponding = base::Length::metres(0.0);  ///< invert − top of the mulch, ≥ 0
  base::Length mulch = base::Length::metres(0.0);    ///< depth of the mulch on the floor, ≥ 0
  double mulch_voids = 0.0;                          ///< share of it that holds water, 0 to 1
  /// Fall of the floor along the curb, cut into cells by dams (check_dams.hpp). The basin then counts as a
  /// level one that holds the same when full: its ponding is less, and it soaks through the wet floor only.
  double floor_grade = 0.0;
  int check_dams = 0;
  base::Length dam_thickness = base::Length::metres(0.0);
};

/// What surrounds it.
struct BasinPlace {
  base::Length mouth_length = base::Length::metres(0.0);         ///< clear length of the cut
  base::Length rim_above_invert = base::Length::metres(0.0);     ///< lowest rim − invert; may be negative
  base::Length rim_width = base::Length::metres(1.0);            ///< length of rim over which it spills
  base::Rate infiltration = base::Rate::metres_per_second(0.0);  ///< design rate, ≥ 0
  bool soaks_wetted = false;  ///< through all ground under the water, in plan, instead of the floor alone
  base::Rate evaporation = base::Rate::metres_per_second(0.0);  ///< from a pool's surface, ≥ 0
  /// Kind and coefficients of the mouth; mouth_length counts instead of its length.
  RawMouth mouth = {};
  double rim_weir = broad_crest_constant();  ///< m^0.5/s, > 0
  /// A second cut, lower down, through which the basin gives back to the gutter; 0 = there is none. The water
  /// line, and with it all levels, are then those of the second cut's invert, `outlet_drop` under the
  /// first's.
  base::Length outlet_length = base::Length::metres(0.0);
  base::Length outlet_drop = base::Length::metres(0.0);
  bool end_on = false;  ///< with a second cut: the gutter runs into the basin by its end
};

/// Plain numbers of a basin. Levels are metres above the cut's invert, of one that water runs through above
/// the second cut's; the floor lies at −ponding_m.
struct RawBasin {
  double floor_length_m = 0.0;
  double floor_width_m = 0.0;
  double side_slope = 0.0;
  double ponding_m = 0.0;
  double floor_area_m2 = 0.0;
  double top_area_m2 = 0.0;       ///< at the invert and above
  double invert_volume_m3 = 0.0;  ///< held up to the invert
  double rim_level_m = 0.0;       ///< not under the floor
  double rim_volume_m3 = 0.0;     ///< held up to the rim
  double rim_width_m = 0.0;
  double rim_weir = broad_crest_constant();
  RawMouth mouth;
  double infiltration_m3_s = 0.0;  ///< rate × floor
  double wetted_rate_m_s = 0.0;    ///< over the water's surface instead; 0 = the floor alone
  double evaporation_m_s = 0.0;
  double outlet_length_m = 0.0;  ///< of the second cut; 0 = there is none
  bool end_on = false;
  double mouth_above_m = 0.0;  ///< invert of the first cut above that of the second
  double mulch_m3 = 0.0;       ///< held in the mulch, under the floor's level; part of the volumes
};
/// Floor = water line − 2 · side slope · ponding, both ways. Errors (InputError): a floor that is not
/// positive (the message holds the arithmetic), negative slope, ponding, rate or lengths. A rim under the
/// floor counts as a rim at the floor: the basin then holds nothing and passes all that enters.
RawBasin raw_basin(const BasinShape& shape, const BasinPlace& place);

/// Volume held up to a level (0 under the floor, what the mulch holds at it): mulch + frustum l0 w0 h + z (l0
/// + w0) h² + 4/3 z² h³, h = level + ponding, then top_area per metre above the invert.
double basin_volume_m3(const RawBasin& basin, double level_m);
/// Its inverse (the floor while only the mulch holds water), within 1e-12 m (or 1e-12 of the volume). Volume
/// ≤ 0 → the floor.
double basin_level_m(const RawBasin& basin, double volume_m3);
/// Water surface at a level; the floor's area at or under the floor.
double basin_area_m2(const RawBasin& basin, double level_m);

/// What one step brings, constant through the step.
struct BasinForcing {
  double step_s = 0.0;        ///< > 0
  double offered_m3_s = 0.0;  ///< what the opening would take if nothing stood behind it (on_grade_capture),
                              ///< ≥ 0; infinite for a cut in a sag: the mouth alone decides
  double gutter_level_m = 0.0;         ///< gutter water surface at the cut above its invert, ≥ 0
  double other_inflow_m3_s = 0.0;      ///< rain on the basin and the like, ≥ 0
  const RawGutter* gutter = nullptr;   ///< carries away what returns; none = the cut stands in a pond
  double invert_below_gutter_m = 0.0;  ///< of the cut, under the gutter's flow line; negative = above it
};

/// What it did with it.
struct BasinStep {
  double volume_m3 = 0.0;   ///< at the end
  double entered_m3 = 0.0;  ///< through the mouth, net over the step
  double returned_m3 =
      0.0;  ///< back through the mouth, net over the step: one of both is 0 without a second cut
  double over_rim_m3 = 0.0;
  double infiltrated_m3 = 0.0;
  double evaporated_m3 = 0.0;
  double other_m3 = 0.0;       ///< other_inflow over the step
  double level_m = 0.0;        ///< pool at the end above the invert; the floor when empty
  bool at_full_level = false;  ///< pool within kFullWithin_m of its full level, or above
  bool resolved = true;        ///< the inner iteration met its tolerance
};
inline constexpr double kFullWithin_m = 0.001;

/// Full level: the second cut's invert or the rim where water runs through, else the lower of the gutter's
/// water surface (the invert when the gutter is dry) and the rim.
double full_level_m(const RawBasin& basin, double gutter_level_m);

/// One step, implicit in the level at its end (sub-steps inside).
/// - In: the least of offered and the drowned weir of the mouth (mouth_flow_m3_s) at the end level,
///   so the pool never rises above the gutter's surface by it.
/// - Back: water above both the invert and the gutter's surface returns as fast as the gutter carries
///   it: gutter flow at the pool's level less gutter flow at gutter_level_m. So the flow that passes
///   is never more than the highest that came. Into a pond it returns within the step. (Not by the
///   drowned weir: a narrow mouth would then hold water back and capture more than a wide one. An
///   open-topped mouth under a few decimetres returns slower than this.) Under a slab or through a
///   round hole no faster than that passes.
/// - Through a second cut: what stands above its invert leaves by the drowned weir of an open-topped cut; the
///   gutter there is taken to stand as deep as at the first. End on, water comes with its speed: what is
///   offered enters whole, less the share by which the pool drowns the mouth's weir. It is counted in
///   returned_m3 beside what came in.
/// - Rim: rim_weir × head^1.5 × rim width. Floor: infiltration while there is water; over the wetted plan
///   and evaporation by the water's surface at the beginning of the sub-step, evaporation from a pool above
///   the mulch only.
///
/// Guarantees:
/// 1. volume_m3 = start + entered + other − returned − over_rim − infiltrated − evaporated, that very
///    sum
///    (0 where rounding takes it under 0).
/// 2. No term is negative; entered ≤ offered × step; the pool ends no higher than it began or the
///    gutter stands, unless other inflow lifts it.
/// 3. entered − returned does not fall when offered, mouth, floor rate or gutter_level_m grow. Over an
///    event a faster floor never captures less, and neither does a wider mouth or a bigger basin
///    while none spills over its rim.
/// 4. Same input, same bits; no allocation.
/// 5. Halving a step of 5 s or less moves captured volume < 0.5 % (met: 0.05 %) and the passing peak
///    < 1 % (met: 0.7 %).
///
/// Edges: no mouth → nothing enters or returns; empty and dry → all zero; full → takes what leaves by
/// floor and rim; rim under the invert → never refuses, what does not fit leaves over the rim.
BasinStep basin_step(const RawBasin& basin, double volume_m3, const BasinForcing& forcing);
/// The same without level_m and at_full_level, for loops that ask for the level seldom.
BasinStep basin_volume_step(const RawBasin& basin, double volume_m3, const BasinForcing& forcing);

}  // namespace curbshed::water
