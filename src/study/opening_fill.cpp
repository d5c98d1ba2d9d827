#include "study/opening_fill.hpp"

#include <cmath>

#include <fmt/format.h>

namespace curbshed::study {

PondedTable ponded_table(const OpeningSettings& opening) {
  PondedTable table;
  table.weir = opening.weir;
  table.dipped_weir = opening.dipped_weir;
  table.orifice = opening.orifice;
  table.round_hole = opening.hole;
  table.rim_weir = opening.rim_weir.value_or(table.rim_weir);
  table.grate_weir = opening.grate_weir;
  table.grate_orifice = opening.grate_orifice;
  table.slot_weir = opening.slot_weir;
  table.slot_orifice = opening.slot_orifice;
  return table;
}

void fill_opening_kind(const SiteOverrides& own, const BasinSettings& usual, double curb_height_m,
                       const base::Where& where, NodeParams& params) {
  const OpeningKind usual_kind = usual.opening_kind == "core" ? OpeningKind::Core : OpeningKind::Sawn;
  params.kind = own.opening_kind.value_or(usual_kind);
  params.invert_rise_m = own.invert_rise_m.value_or(usual.invert_rise_m);
  params.local_dip_m = own.dip_m.value_or(usual.dip_m);
  params.local_dip_width_m = own.dip_width_m.value_or(usual.dip_width_m);
  double height_m = 0.0;
  if (params.kind == OpeningKind::Core) {
    const auto diameter = own.core_diameter_m ? own.core_diameter_m : usual.core_diameter_m;
    if (!diameter) {
      throw base::InputError(where, "a cored opening has no diameter", "1 cm to 60 cm",
                             "give core_diameter with the cut or in [basin]");
    }
    params.opening_m = params.opening_m > 0.0 ? *diameter : 0.0;
    height_m = params.opening_m;
  } else {
    params.throat_m = own.throat_m ? own.throat_m : usual.opening_height_m;
    height_m = params.throat_m.value_or(0.0);
  }
  const double dips_m = dip_m(params.section) + params.local_dip_m;
  const double room_m = curb_height_m + dips_m - params.invert_rise_m;
  if (curb_height_m > 0.0 && height_m > room_m) {
    throw base::InputError(
        where, fmt::format("an opening {:.3f} m high does not fit under the top of the curb", height_m),
        fmt::format("at most {:.3f} m: curb {:.3f} m, dip {:.3f} m, invert {:.3f} m over the flow line",
                    room_m, curb_height_m, dips_m, params.invert_rise_m),
        "make it lower, or set its invert lower");
  }
}

void fill_basin_kind(const SiteOverrides& own, const BasinSettings& usual, bool in_sag,
                     const base::Where& where, NodeParams& params) {
  BasinParams& basin = params.basin;
  const BasinKind usual_kind = usual.kind == "through"   ? BasinKind::Through
                               : usual.kind == "in line" ? BasinKind::InLine
                                                         : BasinKind::Beside;
  basin.kind = in_sag ? BasinKind::Beside : own.basin_kind.value_or(usual_kind);
  if (basin.kind != BasinKind::Beside) {
    const std::optional<double>& outlet_m = own.outlet_m ? own.outlet_m : usual.outlet_m;
    const std::optional<double>& drop_m = own.outlet_drop_m ? own.outlet_drop_m : usual.outlet_drop_m;
    basin.outlet_m = outlet_m.value_or(params.opening_m);
    basin.outlet_drop_m = drop_m.value_or(params.grade * basin.length_m);
  }
  const double dams = own.check_dams.value_or(usual.check_dams);
  if (dams != std::floor(dams)) {
    throw base::InputError(where, fmt::format("check_dams is {:g}", dams), "a whole number from 0 to 50",
                           "count the dams");
  }
  basin.check_dams = static_cast<int>(dams);
  const bool falls = own.falling_floor.value_or(usual.floor == "falling");
  basin.floor_grade = falls ? params.grade : 0.0;
  basin.dam_thickness_m = usual.dam_thickness_m;
  const double floor_m = basin.length_m - 2.0 * basin.side_slope * basin.ponding_m;
  if (basin.check_dams > 0 && !(dams * basin.dam_thickness_m < floor_m)) {
    throw base::InputError(where,
                           fmt::format("{:g} check dams of {:.2f} m take the whole floor of {:.2f} m", dams,
                                       basin.dam_thickness_m, floor_m),
                           "dams that leave room between them",
                           "take fewer or thinner dams, or a longer basin");
  }
}

}  // namespace curbshed::study
