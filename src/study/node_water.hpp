// A node's formulas, with their constants worked out once.
#pragma once

#include "curbshed/study/chain_model.hpp"
#include "curbshed/water/basin.hpp"
#include "curbshed/water/gutter.hpp"
#include "curbshed/water/inlet.hpp"
#include "curbshed/water/opening.hpp"
#include "curbshed/water/sag.hpp"

namespace curbshed::study {

/// Crest over which a kept sag spills, and each of its side ways. Common practice, no source: the street's
/// low side is a few metres wide, and 3 m passes 100 L/s at 7 cm.
inline constexpr double kSagSpillWidth_m = 3.0;

struct NodeWater {
  water::RawGutter gutter;
  water::RawOpening opening;  ///< on grade
  water::RawSagOpening sag_opening;
  water::InletShape inlet;  ///< of an open inlet only; its rating is the model's
  water::RawBasin basin;    ///< of an open cut only
  double end_width_m =
      0.0;                  ///< of a basin in line: clear width that the gutter runs into; 0 = it lies beside
  water::RawGutter beyond;  ///< pavement beyond that width
  water::RawSag sag;        ///< of a sag only
};

/// Whether a cut or inlet takes water in a run that asks for it so; a basin that is there already always
/// does.
bool takes_water(const ChainModel& model, std::size_t node, std::uint8_t asked_open);
/// takes_water of the basins of a run, one a node; 0 for what has no basin.
std::vector<std::uint8_t> open_basins(const ChainModel& model, const std::vector<std::uint8_t>& asked_open);

/// `open`: 0 leaves opening and basin out. Errors of the basin's shape name the node's id.
NodeWater node_water(const ChainModel& model, std::size_t node, bool open,
                     water::OnGradeRelation relation = water::OnGradeRelation::Handbook);

/// What a cut would take of a flow on grade if nothing stood behind it. A basin in line: all but what flows
/// beyond its width, the flow of the straight section that begins there (on a straight gutter
/// 1 − (1 − W/T)^(8/3) of it goes in, HEC-22's frontal flow; of a parabolic crown as if it were straight).
double offered_m3_s(const NodeWater& water, double flow_m3_s);

/// What an inlet takes of the flow that comes, and from a pond of this depth at its curb face; its pipe's
/// limit counts.
double inlet_takes_m3_s(const NodeWater& water, const NodeParams& params, double flow_m3_s);
double inlet_drains_m3_s(const NodeWater& water, const NodeParams& params, double depth_m);

water::RawGutter gutter_of(const NodeParams& params);
/// Depth is that of levels: above the pavement's own line, carried to the curb face.
double gutter_flow_m3_s(const NodeParams& params, double depth_m);
/// How far the cut's invert lies under the gutter's flow line.
inline double invert_below_gutter_m(const NodeParams& params) {
  return params.local_dip_m - params.invert_rise_m;
}

/// RawBasin of a cut; errors name `id`.
water::RawBasin basin_of(const NodeParams& params, const PondedTable& table, const std::string& id);

}  // namespace curbshed::study
