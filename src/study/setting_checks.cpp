#include "study/setting_checks.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/study/study_keys.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

namespace curbshed::study {
namespace {

using base::InputError;
using base::Where;

constexpr std::size_t kMonthsAYear = 12;

void check_place(const Settings& settings) {
  const PlaceSettings& place = settings.place;
  const int sides =
      (place.west ? 1 : 0) + (place.south ? 1 : 0) + (place.east ? 1 : 0) + (place.north ? 1 : 0);
  const char* allowed = "all of west, south, east and north, or [place.area]";
  const base::Where part{settings.file, "[place]", ""};
  if (sides != 0 && sides != 4) {
    throw InputError(part, fmt::format("{} of the four sides {} given", sides, sides == 1 ? "is" : "are"),
                     allowed, "add the missing sides");
  }
  if (sides == 4 && place.area.given()) {
    throw InputError(part, "there are four sides and a polygon layer", allowed, "take one of the two out");
  }
  if (sides == 4 && !(*place.west < *place.east && *place.south < *place.north)) {
    throw InputError(part,
                     fmt::format("west {} to east {}, south {} to north {} is no rectangle", *place.west,
                                 *place.east, *place.south, *place.north),
                     "west below east, south below north", "exchange them; longitudes west are negative");
  }
}

/// Values that are each in range but cannot stand together.
void check_streets_and_basin(const Settings& settings) {
  const std::string& file = settings.file;
  const StreetSettings& street = settings.street;
  if (!street.curbs.given() && !street.pavement.given() && !street.centrelines.given()) {
    throw InputError({file, "[street]", ""},
                     "neither curbs nor pavement nor centrelines are given: there is no gutter to follow",
                     "[street.curbs], [street.pavement] or [street.centrelines]",
                     "add at least one of the three layers");
  }
  const BasinSettings& basin = settings.basin;
  const double narrower_m = 2.0 * basin.side_slope * basin.ponding_m;
  const double least_side_m = std::min(basin.length_m, basin.width_m);
  if (narrower_m >= least_side_m) {
    throw InputError(
        {file, "[basin]", "side_slope"},
        fmt::format("the basin has no floor: 2 × side_slope {} × ponding {:.3f} m = {:.3f} m, and its "
                    "shorter side is {:.3f} m",
                    basin.side_slope, basin.ponding_m, narrower_m, least_side_m),
        "2 × side_slope × ponding below length and width", "make it wider, steeper or shallower");
  }
  const RainSettings& rain = settings.rain;
  if (rain.block_s < rain.step_s) {
    throw InputError(
        {file, "[rain]", "step"},
        fmt::format("the step of {} s is longer than a block of {} s", rain.step_s, rain.block_s),
        "a step no longer than a block", "make the step shorter");
  }
  if (*rain.ten_year_1h_m < *rain.two_year_1h_m) {
    throw InputError({file, "[rain]", "ten_year_1h"},
                     fmt::format("the 10-year hour ({:.1f} mm) is below the 2-year hour ({:.1f} mm)",
                                 *rain.ten_year_1h_m * 1000.0, *rain.two_year_1h_m * 1000.0),
                     "at least the 2-year hour",
                     "look at the table again: are the two exchanged, or the units?");
  }
}

void check_choose(const Settings& settings) {
  const ChooseSettings& choose = settings.choose;
  const auto whole = [&](const std::optional<double>& number, const char* key) {
    if (number && *number != std::floor(*number)) {
      throw InputError({settings.file, "[choose]", key}, fmt::format("{} is no number of cuts", *number),
                       "a whole number", "leave the part behind the point out");
    }
  };
  whole(choose.count, "count");
  whole(choose.per_block, "per_block");
  const std::pair<const char*, bool> wishes[] = {{"must", !choose.must.empty()},
                                                 {"never", !choose.never.empty()},
                                                 {"per_block", choose.per_block.has_value()},
                                                 {"outfall", !choose.outfall.empty()}};
  for (const auto& [key, given] : wishes) {
    if (given && !choose.asked()) {
      throw InputError({settings.file, "[choose]", key}, "there is no limit to choose under",
                       "choose.count, choose.money or choose.digging",
                       "add one of the three, or take this out: without a limit every cut is built");
    }
  }
}

/// A year needs all three lists, or none.
void check_months(const Settings& settings) {
  const RainSettings& rain = settings.rain;
  const std::vector<double>& et_m = settings.trees.reference_et_m;
  const Where place = {settings.file, "[rain]", "month_rain"};
  if (has_months(settings)) {
    for (std::size_t month = 0; month < kMonthsAYear; ++month) {
      if (rain.month_rain_m[month] > 0.0 && !(rain.wet_days[month] > 0.0)) {
        throw InputError({settings.file, "[rain]", "wet_days"},
                         fmt::format("month {} has {:.1f} mm of rain and no wet day", month + 1,
                                     rain.month_rain_m[month] * 1000.0),
                         "more than 0 wet days where it rains", "look at the climate table again");
      }
    }
    if (!(std::accumulate(et_m.begin(), et_m.end(), 0.0) > 0.0)) {
      throw InputError({settings.file, "[trees]", "reference_et"}, "all twelve months are 0",
                       "more than 0 mm in a year", "look at the climate table again");
    }
  } else if (!rain.month_rain_m.empty() || !rain.wet_days.empty() || !et_m.empty()) {
    throw InputError(place, "the months of a year are not complete",
                     "rain.month_rain, rain.wet_days and trees.reference_et, all three or none",
                     "add what is missing");
  }
}

/// What a rule for open ground needs.
void check_soil(const Settings& settings) {
  const SoilSettings& soil = settings.soil;
  struct Need {
    const char* losses;
    const char* key;
    const char* allowed;
    bool there;
  };
  const Need needs[] = {
      {"green_ampt", "default_texture", "a texture: sand … clay", !soil.default_texture.empty()},
      {"green_ampt", "saturation", "0 to 1", soil.saturation.has_value()},
      {"horton", "horton_initial", "more than 0 to 1000 mm/h", soil.horton_initial_m_s.has_value()},
      {"horton", "horton_final", "0 mm/h to 1000 mm/h", soil.horton_final_m_s.has_value()},
      {"horton", "horton_decay", "0.01 1/h to 100 1/h", soil.horton_decay_per_s.has_value()},
      {"coefficient", "coefficient", "0 to 1", soil.coefficient.has_value()}};
  for (const Need& need : needs) {
    if (soil.losses != need.losses || need.there) continue;
    throw InputError({settings.file, "[soil]", need.key},
                     fmt::format("losses = \"{}\" needs it", need.losses), need.allowed,
                     fmt::format("add {} to [soil]", need.key));
  }
  const bool texture = !soil.default_texture.empty() || soil.groups.fields.count("texture") > 0;
  if (texture && !soil.saturation) {
    throw InputError({settings.file, "[soil]", "saturation"},
                     "a soil texture alone does not say how wet the soil is", "0 to 1",
                     "add saturation to [soil]: the share of the fillable pores that hold water");
  }
  if (soil.horton_initial_m_s && soil.horton_final_m_s && *soil.horton_initial_m_s < *soil.horton_final_m_s) {
    throw InputError({settings.file, "[soil]", "horton_initial"}, "dry ground takes less than wet ground",
                     "no less than horton_final", "exchange the two");
  }
  if (soil.horton_initial_m_s && !(*soil.horton_initial_m_s > 0.0)) {
    throw InputError({settings.file, "[soil]", "horton_initial"}, "it is 0", "more than 0",
                     "look at the value");
  }
}

void check_gutter(const Settings& settings) {
  const GutterSettings& gutter = settings.gutter;
  if (gutter.section == "depressed" && !(gutter.width_m && gutter.depression_m)) {
    throw InputError({settings.file, "[gutter]", gutter.width_m ? "depression" : "width"},
                     "a depressed gutter needs the width of its dip and its depression", "both",
                     "add it, as 18 in and 2 in");
  }
  const BasinSettings& basin = settings.basin;
  if (basin.opening_kind == "core" && !basin.core_diameter_m) {
    throw InputError({settings.file, "[basin]", "core_diameter"}, "a cored opening needs its diameter",
                     "1 cm to 60 cm", "add core_diameter = \"4 in\"");
  }
}

/// A tank needs to know its roof and how full it is: neither has a default.
void check_tanks(const Settings& settings) {
  const LotSettings& lots = settings.lots;
  if (!lots.tank.size_m3) {
    return;
  }
  struct Need {
    const char* key;
    const char* met;
    bool there;
  };
  const Need needs[] = {
      {"roof_share", "a tank needs the share of the roof that is led to it",
       lots.tank.roof_share.has_value()},
      {"start", "a tank needs how full it is when a storm begins", lots.tank.start_share.has_value()}};
  for (const Need& need : needs) {
    if (need.there) continue;
    throw InputError({settings.file, "[lots.tank]", need.key}, need.met, "0 to 1",
                     fmt::format("add {} to [lots.tank]", need.key));
  }
  if (!lots.lots.given() || (!lots.buildings.given() && !lots.surfaces.given())) {
    throw InputError({settings.file, "[lots.tank]", "size"}, "there are tanks and no lots with roofs",
                     "[lots.lots] and [lots.buildings]", "add the layers, or take [lots.tank] out");
  }
  if (lots.tank.basin_infiltration_m_s > 0.0 &&
      !(lots.tank.basin_m3 > 0.0 && lots.tank.basin_floor_m2 > 0.0)) {
    throw InputError({settings.file, "[lots.tank]", "basin_infiltration"},
                     "the lot's basin soaks but has no volume or no floor",
                     "basin_volume, basin_floor and basin_infiltration together", "add what is missing");
  }
}

/// Changed coefficients carry a label of their own: nobody shall take them for the handbook's.
void check_opening(const Settings& settings) {
  const OpeningSettings& opening = settings.opening;
  const OpeningSettings built;
  const bool changed =
      opening.length_factor != built.length_factor || opening.flow_power != built.flow_power ||
      opening.grade_power != built.grade_power || opening.roughness_power != built.roughness_power ||
      opening.efficiency_power != built.efficiency_power || opening.weir != built.weir ||
      opening.dipped_weir != built.dipped_weir || opening.orifice != built.orifice ||
      opening.hole != built.hole || opening.rim_weir || opening.grate_weir != built.grate_weir ||
      opening.grate_orifice != built.grate_orifice || opening.slot_weir != built.slot_weir ||
      opening.slot_orifice != built.slot_orifice;
  if (changed && opening.edition == kOpeningEdition) {
    throw InputError({settings.file, "[opening]", "edition"},
                     fmt::format("the coefficients are not those of {}", kOpeningEdition),
                     "a label of your own", "add edition = \"…\" with their source to [opening]");
  }
}

void check_money(const Settings& settings) {
  const MoneySettings& money = settings.money;
  const bool price = money.soil || money.stone || money.mulch || money.plant || money.curb_cut ||
                     money.channel || money.pavement || money.site;
  if (price && money.currency.empty()) {
    throw InputError({settings.file, "[money]", "currency"}, "there are prices, and nobody says in what",
                     "a plain word: \"dollars\"", "add currency to [money]");
  }
}

}  // namespace

void check_together(const Settings& settings) {
  check_place(settings);
  check_streets_and_basin(settings);
  check_months(settings);
  check_choose(settings);
  check_soil(settings);
  check_gutter(settings);
  check_opening(settings);
  check_money(settings);
  check_tanks(settings);
}

}  // namespace curbshed::study
