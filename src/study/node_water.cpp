#include "study/node_water.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>

namespace curbshed::study {

using base::Length;

water::GutterSection gutter_section(const NodeParams& params) {
  return {.grade = base::Slope::fraction(params.grade),
          .cross_slope = base::Slope::fraction(params.cross_slope),
          .roughness = base::Roughness::manning(params.roughness)};
}

double gutter_flow_m3_s(const NodeParams& params, double depth_m) {
  return water::flow_at_depth_m3_s(water::raw_gutter(gutter_section(params)), depth_m);
}

double inlet_takes_m3_s(const NodeWater& water, const NodeParams& params, double flow_m3_s) {
  const double taken_m3_s = water::inlet_on_grade_m3_s(water.inlet, water.opening, water.gutter, flow_m3_s);
  return params.pipe_limit_m3_s > 0.0 ? std::min(taken_m3_s, params.pipe_limit_m3_s) : taken_m3_s;
}

double inlet_drains_m3_s(const NodeWater& water, const NodeParams& params, double depth_m) {
  const double taken_m3_s = water::inlet_in_pond_m3_s(water.inlet, water.sag_opening, depth_m);
  return params.pipe_limit_m3_s > 0.0 ? std::min(taken_m3_s, params.pipe_limit_m3_s) : taken_m3_s;
}

water::RawBasin basin_of(const NodeParams& params, const std::string& id) {
  const BasinParams& basin = params.basin;
  try {
    return water::raw_basin(
        {.length = Length::metres(basin.length_m),
         .width = Length::metres(basin.width_m),
         .side_slope = basin.side_slope,
         .ponding = Length::metres(basin.ponding_m)},
        {.mouth_length = water::clear_length(Length::metres(params.opening_m), params.clogging),
         .rim_above_invert = Length::metres(basin.rim_m - basin.invert_m),
         .rim_width = Length::metres(basin.rim_width_m),
         .infiltration = base::Rate::metres_per_second(basin.infiltration_m_s)});
  } catch (const base::InputError& error) {
    throw error.located({"", "cuts", id});
  }
}

NodeWater node_water(const ChainModel& model, std::size_t node, bool open, water::OnGradeRelation relation) {
  const NodeParams& params = model.params[node];
  const street::Network& network = model.network;
  NodeWater out;
  out.gutter = water::raw_gutter(gutter_section(params));
  if (network.kind[node] == street::NodeKind::Sag) {
    out.sag = water::raw_sag({.depth_m = network.sag_depth_m[node],
                              .volume_m3 = network.sag_volume_m3[node],
                              .area_m2 = network.sag_area_m2[node],
                              .spill_width_m = kSagSpillWidth_m});
  }
  const bool cut = street::has_basin(network.kind[node]);
  const bool inlet = network.kind[node] == street::NodeKind::Inlet;
  if (!open || (!cut && !inlet)) {
    return out;
  }
  const Length clear = water::clear_length(Length::metres(params.opening_m), params.clogging);
  const water::OnGradeOpening on_grade{.gutter = gutter_section(params), .clear_length = clear};
  out.opening = relation == water::OnGradeRelation::Handbook ? water::raw_opening(on_grade, model.on_grade)
                                                             : water::raw_opening(on_grade, relation);
  out.sag_opening.clear_length_m = clear.in_metres();
  if (cut) {
    out.basin = basin_of(params, network.id[node]);
    return out;
  }
  if (network.curb_height_m[node] > 0.0) {
    // The throat of a curb-opening inlet is as high as its curb (common practice, no source).
    out.sag_opening.height_m = network.curb_height_m[node];
  }
  out.inlet = {
      .kind = params.inlet,
      .clear_length_m = clear.in_metres(),
      .width_m = params.inlet_width_m,
      .open_share = params.inlet_open_share,
      .rated_share = 1.0 - params.clogging,
      .rating = params.rating < 0 ? nullptr : &model.ratings[static_cast<std::size_t>(params.rating)]};
  return out;
}

}  // namespace curbshed::study
