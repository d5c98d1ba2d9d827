#include "curbshed/shapes/distances.hpp"

#include "siting/measure_parts.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

using study::ThingKind;

constexpr double kRootsAtMost_m =
    15.0 * 0.3048;  ///< City of Madison: the drip line or 15 ft, whichever is less
constexpr double kGapReach_m = 30.0;

std::string name_of(const study::Thing& thing) {
  const std::string word(study::word_of(thing.kind));
  return thing.id.empty() ? word : fmt::format("{} {}", word, thing.id);
}

Measured farther() {
  Measured out = plain_value(kLookFor_m, "nothing nearer is drawn");
  out.or_more = true;
  return out;
}

/// Nearest of several kinds; no data when not all of them are known and none that is lies within reach.
Measured nearest_of(const Survey& survey, const SiteFrame& frame, const std::vector<ThingKind>& kinds) {
  std::optional<Nearest> best;
  bool all_known = true;
  for (const ThingKind kind : kinds) {
    all_known = all_known && survey.around.knows(kind);
    const auto found = survey.around.nearest(kind, *frame.footprint, kLookFor_m);
    if (found && (!best || found->distance_m < best->distance_m)) best = found;
  }
  if (!best) return all_known ? farther() : Measured{};
  Measured out = plain_value(best->distance_m, name_of(*best->thing));
  out.measure_at_best = !all_known;
  if (!all_known) out.words = "Not all kinds are known here.";
  return out;
}

/// The strip behind a gap of the curb, as deep as the basin reaches.
base::Polygon behind_gap(const SiteFrame& frame, const base::Polyline& gap) {
  const double deep_m = frame.far_m();
  base::Polyline ring = gap;
  for (auto p = gap.rbegin(); p != gap.rend(); ++p) {
    ring.push_back({p->x_m + deep_m * frame.behind.x_m, p->y_m + deep_m * frame.behind.y_m});
  }
  ring.push_back(ring.front());
  return {{ring}};
}

bool lies_along(const SiteFrame& frame, const base::Polyline& line) {
  constexpr double kAlong = 0.7;
  const double x = line.back().x_m - line.front().x_m;
  const double y = line.back().y_m - line.front().y_m;
  const double length_m = std::hypot(x, y);
  return length_m > 0.0 && std::abs(x * frame.along.x_m + y * frame.along.y_m) > kAlong * length_m;
}

Measured driveway(const Survey& survey, const SiteFrame& frame) {
  Measured out = nearest_of(survey, frame, {ThingKind::Driveway});
  if (survey.gaps.empty()) return out;
  if (!out.value) out = farther();
  for (const std::int32_t number : survey.gap_index.meeting(grown(box_of(*frame.footprint), kGapReach_m))) {
    const terrain::CurbLine& curb = *survey.gaps[static_cast<std::size_t>(number)];
    const base::Shape shape = lies_along(frame, curb.line) ? base::polygon_shape(behind_gap(frame, curb.line))
                                                           : base::line_shape(curb.line);
    const double off_m = shapes::distance_m(*frame.footprint, shape);
    if (off_m < *out.value) out = plain_value(off_m, fmt::format("gap of the curb {}", curb.id));
  }
  return out;
}

/// From the basin to the nearest tree's roots, negative within them.
Measured existing_tree(const Survey& survey, const SiteFrame& frame) {
  if (!survey.around.knows(ThingKind::Tree)) return {};
  Measured best = farther();
  // The nearest stem decides what can still be nearer by its roots.
  const auto nearest = survey.around.nearest(ThingKind::Tree, *frame.footprint, kLookFor_m);
  if (!nearest) return best;
  const double look_m = nearest->distance_m + kRootsAtMost_m;
  for (const study::Thing* tree :
       survey.around.near(ThingKind::Tree, grown(box_of(*frame.footprint), look_m))) {
    const double roots_m = tree->size_m ? std::min(0.5 * *tree->size_m, kRootsAtMost_m) : kRootsAtMost_m;
    const double off_m = shapes::distance_m(*frame.footprint, tree->shape) - roots_m;
    if (best.or_more || off_m < *best.value) best = plain_value(off_m, name_of(*tree));
  }
  return best;
}

struct OneKind {
  RuleId rule;
  ThingKind kind;
};
constexpr OneKind kDistances[] = {{RuleId::Building, ThingKind::Building},
                                  {RuleId::PropertyLine, ThingKind::Lot},
                                  {RuleId::Ramp, ThingKind::Ramp},
                                  {RuleId::HydrantBasin, ThingKind::Hydrant},
                                  {RuleId::HydrantTree, ThingKind::Hydrant},
                                  {RuleId::PoleBasin, ThingKind::Pole},
                                  {RuleId::PoleTree, ThingKind::Pole},
                                  {RuleId::MeterBasin, ThingKind::Meter},
                                  {RuleId::MeterTree, ThingKind::Meter},
                                  {RuleId::BuriedWater, ThingKind::BuriedWater},
                                  {RuleId::BuriedGas, ThingKind::BuriedGas},
                                  {RuleId::BuriedSewer, ThingKind::BuriedSewer},
                                  {RuleId::BuriedPower, ThingKind::BuriedPower},
                                  {RuleId::BuriedTelecom, ThingKind::BuriedTelecom},
                                  {RuleId::BuriedOther, ThingKind::BuriedOther},
                                  {RuleId::Cover, ThingKind::Cover},
                                  {RuleId::TreeSpacing, ThingKind::Tree},
                                  {RuleId::OverheadWire, ThingKind::OverheadWire},
                                  {RuleId::AccessibleParking, ThingKind::AccessibleParking},
                                  {RuleId::Stop, ThingKind::Stop},
                                  {RuleId::Loading, ThingKind::Loading},
                                  {RuleId::FireLane, ThingKind::FireLane},
                                  {RuleId::BicycleLane, ThingKind::BicycleLane},
                                  {RuleId::Well, ThingKind::Well},
                                  {RuleId::Septic, ThingKind::Septic},
                                  {RuleId::SwellingGround, ThingKind::Swelling},
                                  {RuleId::CollapsingGround, ThingKind::Collapsing},
                                  {RuleId::DirtyGround, ThingKind::Dirty}};

}  // namespace

void measure_around(const Survey& survey, const SiteFrame& frame, SiteMeasures& site) {
  for (const OneKind& one : kDistances) of(site, one.rule) = nearest_of(survey, frame, {one.kind});
  of(site, RuleId::BuriedTree) =
      nearest_of(survey, frame,
                 {ThingKind::BuriedWater, ThingKind::BuriedGas, ThingKind::BuriedSewer,
                  ThingKind::BuriedPower, ThingKind::BuriedTelecom, ThingKind::BuriedOther});
  of(site, RuleId::Driveway) = driveway(survey, frame);
  of(site, RuleId::ExistingTree) = existing_tree(survey, frame);
}

void measure_soil(const Survey& survey, const SiteFrame& frame, SiteMeasures& site) {
  const study::BasinParams& basin = survey.in.preparation->model.params[frame.node].basin;
  const double floor_m = study::crest_above_invert_m(survey.in.preparation->model, frame.node) +
                         basin.outlet_drop_m + basin.ponding_m;
  for (const OneKind& one :
       {OneKind{RuleId::Hardpan, ThingKind::Hardpan}, OneKind{RuleId::WaterTable, ThingKind::WaterTable}}) {
    if (!survey.around.knows(one.kind)) continue;
    Measured& out = of(site, one.rule);
    out = not_asked("soil.hazards", "None is drawn under this place.");
    for (const study::Thing* thing : survey.around.near(one.kind, box_of(*frame.footprint))) {
      if (shapes::distance_m(*frame.footprint, thing->shape) > 0.0) continue;
      const double below_m = thing->size_m.value_or(0.0) - floor_m;
      if (out.does_not_apply || below_m < *out.value) out = plain_value(below_m, name_of(*thing));
    }
  }
}

}  // namespace curbshed::siting
