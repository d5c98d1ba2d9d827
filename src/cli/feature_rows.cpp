#include "curbshed/cli/feature_rows.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace curbshed::cli {

using base::InputError;

namespace {

void check_floor(const base::Where& where, const study::BasinSettings& basin,
                 const study::SiteOverrides& overrides) {
  const double narrower_m =
      2.0 * overrides.side_slope.value_or(basin.side_slope) * overrides.ponding_m.value_or(basin.ponding_m);
  const double side_m = std::min(overrides.basin_length_m.value_or(basin.length_m),
                                 overrides.basin_width_m.value_or(basin.width_m));
  if (narrower_m >= side_m) {
    throw InputError(
        where,
        fmt::format("the basin has no floor: 2 × side_slope × ponding = {:.3f} m, and its shorter side is "
                    "{:.3f} m",
                    narrower_m, side_m),
        "2 × side_slope × ponding below length and width", "make it wider, steeper or shallower");
  }
}

void add_basin_kind(const StudyLayer& layer, std::size_t row, study::SiteOverrides& overrides) {
  const std::string kind = layer.text(row, "basin_kind");
  if (kind != "" && kind != "beside" && kind != "through" && kind != "in line") {
    throw InputError(layer.where(row), fmt::format("the basin kind \"{}\" is not one of ours", kind),
                     "beside, through, in line", "write one of these words");
  }
  if (!kind.empty()) {
    overrides.basin_kind = kind == "through"   ? study::BasinKind::Through
                           : kind == "in line" ? study::BasinKind::InLine
                                               : study::BasinKind::Beside;
  }
  const std::string floor = layer.text(row, "floor");
  if (floor != "" && floor != "level" && floor != "falling") {
    throw InputError(layer.where(row), fmt::format("the floor \"{}\" is not one of ours", floor),
                     "level, falling", "write one of these words");
  }
  if (!floor.empty()) overrides.falling_floor = floor == "falling";
  overrides.outlet_m = layer.measure(row, "outlet");
  overrides.outlet_drop_m = layer.measure(row, "outlet_drop");
  overrides.check_dams = layer.measure(row, "check_dams");
}

study::SiteOverrides basin_of(const StudyLayer& layer, std::size_t row) {
  study::SiteOverrides overrides;
  overrides.opening_m = layer.measure(row, "opening");
  overrides.clogging = layer.measure(row, "clogging");
  overrides.basin_length_m = layer.measure(row, "basin_length");
  overrides.basin_width_m = layer.measure(row, "basin_width");
  overrides.side_slope = layer.measure(row, "side_slope");
  overrides.ponding_m = layer.measure(row, "ponding");
  overrides.setback_m = layer.measure(row, "setback");
  overrides.mouth_at = layer.measure(row, "mouth_at");
  overrides.infiltration_m_s = layer.measure(row, "infiltration");
  overrides.throat_m = layer.measure(row, "opening_height");
  overrides.core_diameter_m = layer.measure(row, "core_diameter");
  overrides.invert_rise_m = layer.measure(row, "invert_rise");
  overrides.dip_m = layer.measure(row, "dip");
  overrides.dip_width_m = layer.measure(row, "dip_width");
  const std::string kind = layer.text(row, "opening_kind");
  if (!kind.empty() && kind != "sawn" && kind != "core") {
    throw InputError(layer.where(row), fmt::format("the opening kind \"{}\" is not one of ours", kind),
                     "sawn, core", "write one of these words");
  }
  if (!kind.empty()) {
    overrides.opening_kind = kind == "core" ? study::OpeningKind::Core : study::OpeningKind::Sawn;
  }
  add_basin_kind(layer, row, overrides);
  overrides.words = layer.text(row, "words");
  return overrides;
}

void add_wishes(const StudyLayer& layer, std::size_t row, study::SiteOverrides& overrides) {
  overrides.weight = layer.measure(row, "weight");
  const std::string consent = layer.text(row, "consent");
  if (consent != "" && consent != "yes" && consent != "no" && consent != "not asked") {
    // The word itself stays out of the message: what an owner said is nobody else's business.
    throw InputError(layer.where(row), "its consent is none of the known words", "yes, no, not asked",
                     "write one of these words, or leave it empty");
  }
  overrides.consent = consent == "yes"  ? study::Consent::Yes
                      : consent == "no" ? study::Consent::No
                                        : study::Consent::NotAsked;
}

struct Sides {
  double long_m = 0.0;
  double short_m = 0.0;
};

/// Rectangle of the same area and outline; a square where the outline is too short for one.
Sides sides_of(const base::Polygon& polygon) {
  const double area_m2 = base::area_m2(polygon);
  const double quarter_m = 0.25 * base::length_m(polygon.rings.front());
  const double longer_m = std::sqrt(std::max(0.0, quarter_m * quarter_m - area_m2));
  const Sides sides = longer_m > 0.0 ? Sides{quarter_m + longer_m, area_m2 / (quarter_m + longer_m)}
                                     : Sides{std::sqrt(area_m2), std::sqrt(area_m2)};
  if (!(sides.short_m >= 0.3 && sides.short_m <= 30.0 && sides.long_m <= 100.0)) {
    throw InputError(
        {}, fmt::format("its polygon is like one of {:.1f} m × {:.1f} m", sides.long_m, sides.short_m),
        "0.3 m to 100 m by 0.3 m to 30 m", "check the shape");
  }
  return sides;
}

}  // namespace

terrain::CurbLine curb_of(const StudyLayer& layer, std::size_t row) {
  using terrain::CurbKind;
  using terrain::StreetSide;
  terrain::CurbLine curb;
  curb.id = layer.id(row);
  curb.street = layer.text(row, "street");
  curb.side = layer.text(row, "side");
  curb.height_m = layer.measure(row, "height");
  const std::pair<std::string_view, CurbKind> kinds[] = {
      {"", CurbKind::Vertical},   {"vertical", CurbKind::Vertical}, {"rolled", CurbKind::Rolled},
      {"flush", CurbKind::Flush}, {"none", CurbKind::None},         {"gap", CurbKind::Gap}};
  const std::string kind = layer.text(row, "kind");
  const auto known =
      std::find_if(std::begin(kinds), std::end(kinds), [&](const auto& one) { return one.first == kind; });
  if (known == std::end(kinds)) {
    throw InputError({}, fmt::format("the kind \"{}\" is not one of ours and not in `classes`", kind), "",
                     "");
  }
  curb.kind = known->second;
  const std::string side = layer.text(row, "street_side");
  if (!side.empty() && side != "left" && side != "right") {
    throw InputError({}, fmt::format("the street side \"{}\" is neither left nor right", side), "", "");
  }
  curb.street_side = side == "left"    ? StreetSide::Left
                     : side == "right" ? StreetSide::Right
                                       : StreetSide::Unknown;
  return curb;
}

study::SiteOverrides cut_overrides(const StudyLayer& layer, std::size_t row,
                                   const study::BasinSettings& basin) {
  study::SiteOverrides overrides = basin_of(layer, row);
  add_wishes(layer, row, overrides);
  check_floor(layer.where(row), basin, overrides);
  return overrides;
}

study::SiteOverrides existing_basin(const StudyLayer& layer, std::size_t row,
                                    const study::BasinSettings& basin) {
  study::SiteOverrides own = basin_of(layer, row);
  if (!layer.shape(row).polygons.empty()) {
    const Sides sides = sides_of(layer.shape(row).polygons.front());
    own.basin_length_m = own.basin_length_m ? own.basin_length_m : sides.long_m;
    own.basin_width_m = own.basin_width_m ? own.basin_width_m : sides.short_m;
  }
  if (const std::optional<double> volume_m3 = layer.measure(row, "volume")) {
    if (own.ponding_m || own.side_slope) {
      throw InputError(layer.where(row), "there is a volume, and ponding or side_slope, too",
                       "one of the two ways", "leave one out");
    }
    const double area_m2 =
        own.basin_length_m.value_or(basin.length_m) * own.basin_width_m.value_or(basin.width_m);
    own.side_slope = 0.0;
    own.volume_told = true;
    own.ponding_m = *volume_m3 / area_m2;
    if (!(*own.ponding_m >= 0.01 && *own.ponding_m <= 1.0)) {
      throw InputError(
          layer.where(row),
          fmt::format("{:.2f} m3 on {:.1f} m2 stand {:.3f} m deep", *volume_m3, area_m2, *own.ponding_m),
          "1 cm to 1 m", "check volume and size");
    }
  }
  check_floor(layer.where(row), basin, own);
  return own;
}

base::Point beside_curb(const base::Polygon& polygon, const std::vector<terrain::CurbLine>& curbs,
                        double reach_m) {
  base::Box box;
  for (const base::Point& p : polygon.rings.front()) {
    box.add(p);
  }
  const base::Box around{.min_x_m = box.min_x_m - reach_m,
                         .min_y_m = box.min_y_m - reach_m,
                         .max_x_m = box.max_x_m + reach_m,
                         .max_y_m = box.max_y_m + reach_m};
  const terrain::CurbLine* best = nullptr;
  double best_m = reach_m;
  for (const terrain::CurbLine& curb : curbs) {
    if (curb.line.size() < 2 || !base::meets(around, base::line_shape(curb.line))) {
      continue;
    }
    for (const base::Point& p : polygon.rings.front()) {
      const double off_m = base::distance_m(base::nearest_place(curb.line, p).at, p);
      if (off_m < best_m) {
        best_m = off_m;
        best = &curb;
      }
    }
  }
  if (best == nullptr) {
    throw InputError({}, fmt::format("no curb lies within {:g} m of the basin", reach_m), "", "");
  }
  return base::nearest_place(best->line,
                             {0.5 * (box.min_x_m + box.max_x_m), 0.5 * (box.min_y_m + box.max_y_m)})
      .at;
}

}  // namespace curbshed::cli
