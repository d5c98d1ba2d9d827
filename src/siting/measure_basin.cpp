#include "curbshed/water/basin.hpp"

#include "siting/measure_parts.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

using base::Length;

constexpr double kForever_s = 1000.0 * 3600.0;  ///< more reads "or more"

/// Seconds in which a basin of this depth, full, soaks away at its design rate: pool and what the mulch
/// holds, through the floor, or the pool through the ground under it where the study says so.
double drain_time_s(const study::BasinParams& basin, double ponding_m) {
  const water::RawBasin raw =
      water::raw_basin({.length = Length::metres(basin.length_m),
                        .width = Length::metres(basin.width_m),
                        .side_slope = basin.side_slope,
                        .ponding = Length::metres(ponding_m),
                        .mulch = Length::metres(basin.mulch_m),
                        .mulch_voids = basin.mulch_voids,
                        .floor_grade = basin.floor_grade,
                        .check_dams = basin.check_dams,
                        .dam_thickness = Length::metres(basin.dam_thickness_m)},
                       {.infiltration = base::Rate::metres_per_second(basin.infiltration_m_s)});
  if (!(raw.infiltration_m3_s > 0.0)) return kForever_s;
  const double pool_s = basin.soaks_wetted ? raw.ponding_m / basin.infiltration_m_s
                                           : (raw.invert_volume_m3 - raw.mulch_m3) / raw.infiltration_m3_s;
  return std::min(pool_s + raw.mulch_m3 / raw.infiltration_m3_s, kForever_s);
}

/// The deepest ponding, up to the basin's own, that is gone in time; 0 when none is.
double depth_in_time_m(const study::BasinParams& basin, double limit_s) {
  double good_m = 0.0;
  double bad_m = basin.ponding_m;
  for (int i = 0; i < 40; ++i) {
    const double middle_m = 0.5 * (good_m + bad_m);
    (drain_time_s(basin, middle_m) <= limit_s ? good_m : bad_m) = middle_m;
  }
  return good_m;
}

struct RateOrigin {
  std::string words;
  bool weak = false;  ///< never within
};
RateOrigin rate_origin(const Survey& survey, std::size_t node) {
  const study::Preparation& made = *survey.in.preparation;
  if (const auto* found = made.field.find(static_cast<std::int32_t>(node), study::FieldValue::Infiltration)) {
    return {fmt::format("measured at the site ({})", found->by), false};
  }
  const std::int32_t number = survey.network().site[node];
  const auto& overrides = survey.in.inputs->overrides;
  if (number >= 0 && !overrides.empty() && overrides[static_cast<std::size_t>(number)].infiltration_m_s) {
    return {"the cut's own, from the study", false};
  }
  const std::string& origin = survey.in.settings->basin.infiltration_origin;
  if (origin == "soil map") return {"a soil map: dig a test hole", true};
  if (origin == "measured") return {"measured, one rate for the whole study", false};
  if (origin == "study") return {"the study", false};
  return {"assumed: dig a test hole", true};
}

void measure_rate(const Survey& survey, const SiteFrame& frame, SiteMeasures& site) {
  const study::BasinParams& basin = survey.in.preparation->model.params[frame.node].basin;
  const RateOrigin origin = rate_origin(survey, frame.node);
  Measured rate = plain_value(basin.infiltration_m_s, origin.words);
  rate.measure_at_best = origin.weak;
  of(site, RuleId::Infiltration) = rate;
  for (const RuleId id : {RuleId::DrainTime, RuleId::StandingWater}) {
    const double time_s = drain_time_s(basin, basin.ponding_m);
    Measured time =
        plain_value(time_s, fmt::format("volume over rate and {}; rate: {}",
                                        basin.soaks_wetted ? "ground under water" : "floor", origin.words));
    time.or_more = time_s >= kForever_s;
    time.measure_at_best = origin.weak;
    const Rule& rule = survey.in.rules->at(id);
    const double bound_s = rule.limit.value_or(rule.look_at.value_or(kForever_s));
    time.words = fmt::format("At half the rate {}, at double {}.",
                             with_unit(*survey.in.rules, id, std::min(2.0 * time_s, kForever_s)),
                             with_unit(*survey.in.rules, id, 0.5 * time_s));
    if (time_s > bound_s) {
      const double depth_m = depth_in_time_m(basin, bound_s);
      time.words += depth_m > 0.0 ? fmt::format(" {} of ponding would pass.",
                                                with_unit(*survey.in.rules, RuleId::Ponding, depth_m))
                                  : std::string(" No depth would pass.");
    }
    of(site, id) = std::move(time);
  }
}

std::string shown_doubt(const RuleSet& rules, RuleId id, const Freeboard& freeboard) {
  return with_unit(rules, id, 2.0 * freeboard.doubt_m);
}

/// A freeboard with what to shoot where heights decide it.
Measured freeboard_of(const Survey& survey, const FullSite& site, RuleId id, const Freeboard& freeboard,
                      const FullHeight& height) {
  const RuleSet& rules = *survey.in.rules;
  const bool both = height.from == LevelFrom::Measured && site.pool.from == LevelFrom::Measured;
  Measured out = plain_value(
      freeboard.value_m,
      both ? fmt::format("measured on the street ({}, {}) and the largest storm", site.pool.by, height.by)
           : std::string("the heights and the largest storm"),
      freeboard.doubt_m);
  out.measure_at_best = survey.network().edge_cuts_above[static_cast<std::size_t>(site.node)] != 0;
  out.words = fmt::format("The pool can stand {} over the gutter; known within {}.",
                          with_unit(rules, id, site.water.depth_m), shown_doubt(rules, id, freeboard));
  if (const std::string points = points_to_shoot(site, id == RuleId::DoorwayFreeboard); !points.empty()) {
    out.words +=
        fmt::format(" Within from {} on; shoot {}.",
                    with_unit(rules, id, rules.at(id).limit.value_or(0.0) + 2.0 * freeboard.doubt_m), points);
  }
  return out;
}

void measure_freeboards(const Survey& survey, const SiteFrame& frame, SiteMeasures& site) {
  const FullLevels* levels = survey.in.full;
  const FullSite* full = levels == nullptr ? nullptr : levels->find(static_cast<std::int32_t>(frame.node));
  if (full == nullptr) return;
  of(site, RuleId::Freeboard) =
      freeboard_of(survey, *full, RuleId::Freeboard, full->rim_freeboard, full->rim);
  if (full->doorway_freeboard) {
    of(site, RuleId::DoorwayFreeboard) = freeboard_of(survey, *full, RuleId::DoorwayFreeboard,
                                                      *full->doorway_freeboard, full->doorway->height);
  } else if (levels->buildings_known) {
    of(site, RuleId::DoorwayFreeboard) =
        not_asked("the buildings layer",
                  fmt::format("No building within {}.",
                              with_unit(*survey.in.rules, RuleId::DoorwayFreeboard, kDoorwayWithin_m)));
  }
}

void measure_levels(const Survey& survey, const SiteFrame& frame, SiteMeasures& site) {
  const study::Preparation& made = *survey.in.preparation;
  const study::BasinParams& basin = made.model.params[frame.node].basin;
  const auto node = static_cast<std::int32_t>(frame.node);
  const auto* found = made.field.find(node, study::FieldValue::RimLevel);
  if (found == nullptr) found = made.field.find(node, study::FieldValue::RimBelowCurb);
  const double doubt_m = found == nullptr ? survey.in.settings->ground.elevation_error_m : 0.0;
  const std::string from =
      found == nullptr ? "the heights" : fmt::format("measured on the street ({})", found->by);
  const double rim_m = basin.rim_m - basin.invert_m;
  of(site, RuleId::Rim) = plain_value(rim_m, from, doubt_m);
}

}  // namespace

void measure_basin(const Survey& survey, const SiteFrame& frame, SiteMeasures& site) {
  const study::NodeParams& params = survey.in.preparation->model.params[frame.node];
  const study::BasinParams& basin = params.basin;
  const std::string study = "the study";
  of(site, RuleId::OpeningWidth) = plain_value(params.opening_m, study);
  of(site, RuleId::BackOfCurb) = plain_value(frame.setback_m, study);
  of(site, RuleId::RoadBase) = plain_value(frame.setback_m, study);
  of(site, RuleId::BasinLength) = plain_value(basin.length_m, study);
  of(site, RuleId::FloorWidth) = plain_value(basin.width_m - 2.0 * basin.side_slope * basin.ponding_m, study);
  of(site, RuleId::SideSlope) = plain_value(basin.side_slope, study);
  of(site, RuleId::Ponding) = plain_value(basin.ponding_m, study);
  of(site, RuleId::PondingLeast) = plain_value(basin.ponding_m, study);
  of(site, RuleId::DropBesideWalk) =
      plain_value(study::crest_above_invert_m(survey.in.preparation->model, frame.node) +
                      basin.outlet_drop_m + basin.ponding_m,
                  "curb height and the study");
  measure_levels(survey, frame, site);
  measure_freeboards(survey, frame, site);
  measure_rate(survey, frame, site);
}

}  // namespace curbshed::siting
