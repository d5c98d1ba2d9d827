#include "study/node_water.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/water/gutter_forms.hpp"

#include <algorithm>

namespace curbshed::study {

using base::Length;

namespace {

water::GutterSection gutter_section(const NodeParams& params) {
  return {.grade = base::Slope::fraction(params.grade),
          .cross_slope = base::Slope::fraction(params.cross_slope),
          .roughness = base::Roughness::manning(params.roughness)};
}

}  // namespace

water::RawGutter gutter_of(const NodeParams& params) {
  const water::GutterSection section = gutter_section(params);
  const Length width = Length::metres(params.section.width_m);
  const Length drop = Length::metres(params.section.drop_m);
  switch (params.section.form) {
    case water::GutterForm::Depressed:
      return water::raw_gutter(
          water::CompositeGutter{.section = section, .width = width, .depression = drop});
    case water::GutterForm::Parabolic:
      return water::raw_gutter(water::ParabolicStreet{
          .grade = section.grade, .crown_height = drop, .half_width = width, .roughness = section.roughness});
    case water::GutterForm::Straight:
      break;
  }
  return water::raw_gutter(section);
}

double gutter_flow_m3_s(const NodeParams& params, double depth_m) {
  const water::RawGutter gutter = gutter_of(params);
  return water::flow_at_depth_m3_s(gutter, depth_m + water::dip_m(gutter));
}

double offered_m3_s(const NodeWater& water, double flow_m3_s) {
  if (!(water.end_width_m > 0.0)) return water::captured_m3_s(water.opening, water.gutter, flow_m3_s);
  const double depth_m = water::depth_at_flow_m(water.gutter, flow_m3_s) - water::dip_m(water.gutter) -
                         water.beyond.cross_slope * water.end_width_m;
  const double beyond_m3_s = depth_m > 0.0 ? water::flow_at_depth_m3_s(water.beyond, depth_m) : 0.0;
  return std::max(0.0, flow_m3_s - beyond_m3_s);
}

double inlet_takes_m3_s(const NodeWater& water, const NodeParams& params, double flow_m3_s) {
  const double taken_m3_s = water::inlet_on_grade_m3_s(water.inlet, water.opening, water.gutter, flow_m3_s);
  return params.pipe_limit_m3_s > 0.0 ? std::min(taken_m3_s, params.pipe_limit_m3_s) : taken_m3_s;
}

double inlet_drains_m3_s(const NodeWater& water, const NodeParams& params, double depth_m) {
  const double taken_m3_s = water::inlet_in_pond_m3_s(water.inlet, water.sag_opening, depth_m);
  return params.pipe_limit_m3_s > 0.0 ? std::min(taken_m3_s, params.pipe_limit_m3_s) : taken_m3_s;
}

water::RawBasin basin_of(const NodeParams& params, const PondedTable& table, const std::string& id) {
  const BasinParams& basin = params.basin;
  water::RawMouth mouth{.weir = table.weir, .orifice = table.orifice};
  if (params.kind == OpeningKind::Core) {
    mouth.diameter_m = params.opening_m;
    mouth.orifice = table.round_hole;
  } else if (params.throat_m) {
    mouth.height_m = *params.throat_m;
  }
  try {
    return water::raw_basin(
        {.length = Length::metres(basin.length_m),
         .width = Length::metres(basin.width_m),
         .side_slope = basin.side_slope,
         .ponding = Length::metres(basin.ponding_m),
         .mulch = Length::metres(basin.mulch_m),
         .mulch_voids = basin.mulch_voids,
         .floor_grade = basin.floor_grade,
         .check_dams = basin.check_dams,
         .dam_thickness = Length::metres(basin.dam_thickness_m)},
        {.mouth_length = water::clear_length(Length::metres(params.opening_m), params.clogging),
         .rim_above_invert = Length::metres(basin.rim_m - basin.invert_m),
         .rim_width = Length::metres(basin.rim_width_m),
         .infiltration = base::Rate::metres_per_second(basin.infiltration_m_s),
         .soaks_wetted = basin.soaks_wetted,
         .evaporation = base::Rate::metres_per_second(basin.evaporation_m_s),
         .mouth = mouth,
         .rim_weir = table.rim_weir,
         .outlet_length = Length::metres(basin.outlet_m * (1.0 - params.clogging)),
         .outlet_drop = Length::metres(basin.outlet_drop_m),
         .end_on = basin.kind == BasinKind::InLine});
  } catch (const base::InputError& error) {
    throw error.located({"", "cuts", id});
  }
}

namespace {

/// Opening on grade: at a dip of the section, of the opening alone, or of both.
water::RawOpening on_grade_opening(const ChainModel& model, const NodeParams& params,
                                   const water::RawGutter& gutter, water::OnGradeRelation relation) {
  water::GutterSection section = gutter_section(params);
  section.cross_slope = base::Slope::fraction(gutter.cross_slope);
  const water::OnGradeOpening opening{
      .gutter = section,
      .clear_length = water::clear_length(Length::metres(params.opening_m), params.clogging)};
  const bool handbook = relation == water::OnGradeRelation::Handbook;
  water::RawOpening out = water::raw_opening(opening, handbook ? model.on_grade : water::flume_tests_table());
  const bool dipped = gutter.form == water::GutterForm::Depressed;
  const double dip_m = water::dip_m(gutter) + params.local_dip_m;
  out.dip_width_m = dipped ? gutter.width_m : params.local_dip_width_m;
  out.dip_rise = dip_m > 0.0 && out.dip_width_m > 0.0 ? dip_m / out.dip_width_m : 0.0;
  out.slope_varies = out.dip_rise > 0.0 || gutter.form == water::GutterForm::Parabolic;
  return out;
}

water::InletShape inlet_shape(const ChainModel& model, const NodeParams& params) {
  water::InletShape out{
      .kind = params.inlet,
      .clear_length_m = water::clear_length(Length::metres(params.opening_m), params.clogging).in_metres(),
      .width_m = params.inlet_width_m,
      .open_share = params.inlet_open_share,
      .rated_share = 1.0 - params.clogging,
      .rating = params.rating < 0 ? nullptr : &model.ratings[static_cast<std::size_t>(params.rating)]};
  if (params.inlet == water::InletKind::Grate) {
    out.weir = model.ponded.grate_weir;
    out.orifice = model.ponded.grate_orifice;
    out.splash_over_m_s = params.splash_over_m_s;
  } else if (params.inlet == water::InletKind::Slotted) {
    out.weir = model.ponded.slot_weir;
    out.orifice = model.ponded.slot_orifice;
  }
  return out;
}

}  // namespace

bool takes_water(const ChainModel& model, std::size_t node, std::uint8_t asked_open) {
  const NodeParams& params = model.params[node];
  if (!(params.opening_m * (1.0 - params.clogging) > 0.0)) return false;
  switch (model.network.kind[node]) {
    case street::NodeKind::Cut:
      return asked_open != 0;
    case street::NodeKind::Basin:
      return true;
    case street::NodeKind::Inlet:
      return !params.blocked;
    default:
      return false;
  }
}

std::vector<std::uint8_t> open_basins(const ChainModel& model, const std::vector<std::uint8_t>& asked_open) {
  std::vector<std::uint8_t> open(model.network.size(), 0);
  for (std::size_t n = 0; n < open.size(); ++n) {
    open[n] = street::has_basin(model.network.kind[n]) && takes_water(model, n, asked_open[n]) ? 1 : 0;
  }
  return open;
}

NodeWater node_water(const ChainModel& model, std::size_t node, bool open, water::OnGradeRelation relation) {
  const NodeParams& params = model.params[node];
  const street::Network& network = model.network;
  NodeWater out;
  out.gutter = gutter_of(params);
  if (network.kind[node] == street::NodeKind::Sag) {
    out.sag = water::raw_sag({.depth_m = network.sag_depth_m[node],
                              .volume_m3 = network.sag_volume_m3[node],
                              .area_m2 = network.sag_area_m2[node],
                              .spill_width_m = kSagSpillWidth_m,
                              .spill_weir = model.ponded.rim_weir});
  }
  const bool cut = street::has_basin(network.kind[node]);
  const bool inlet = network.kind[node] == street::NodeKind::Inlet;
  if (!open || (!cut && !inlet)) {
    return out;
  }
  out.opening = on_grade_opening(model, params, out.gutter, relation);
  if (cut) {
    out.basin = basin_of(params, model.ponded, network.id[node]);
    if (params.basin.kind == BasinKind::InLine) {
      out.end_width_m = out.opening.clear_length_m;
      out.beyond = water::raw_gutter(gutter_section(params));
    }
    return out;
  }
  out.sag_opening = {.clear_length_m = out.opening.clear_length_m,
                     .weir = model.ponded.weir,
                     .dipped_weir = model.ponded.dipped_weir,
                     .orifice = model.ponded.orifice,
                     .dip_width_m = out.opening.dip_width_m,
                     .dip_m = out.opening.dip_rise * out.opening.dip_width_m};
  if (params.throat_m) {
    out.sag_opening.height_m = *params.throat_m;
  } else if (network.curb_height_m[node] > 0.0) {
    // The throat of a curb-opening inlet is as high as its curb (common practice, no source).
    out.sag_opening.height_m = network.curb_height_m[node];
  }
  out.inlet = inlet_shape(model, params);
  return out;
}

}  // namespace curbshed::study
