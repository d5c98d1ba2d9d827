#include "curbshed/cli/feature_rows.hpp"

#include <algorithm>

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
  overrides.words = layer.text(row, "words");
  check_floor(layer.where(row), basin, overrides);
  return overrides;
}

}  // namespace curbshed::cli
