#include "curbshed/shapes/distances.hpp"

#include "siting/measure_parts.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

using study::ThingKind;

constexpr double kLook_m = 15.0;  ///< behind the curb: wider strips are wide enough for any rule

struct Edge {
  double behind_m = 0.0;
  const study::Thing* thing = nullptr;
};

/// First area of a kind behind the curb, at three places along the basin.
std::optional<Edge> first_edge(const Survey& survey, const SiteFrame& frame, ThingKind kind) {
  base::Box box;
  for (const double on_m : {frame.from_m, frame.to_m}) {
    box.add(frame.point(on_m, 0.0));
    box.add(frame.point(on_m, kLook_m));
  }
  std::optional<Edge> best;
  const auto things = survey.around.near(kind, box);
  for (const double on_m : {frame.from_m, 0.5 * (frame.from_m + frame.to_m), frame.to_m}) {
    for (const study::Thing* thing : things) {
      for (const base::Polygon& polygon : thing->shape.polygons) {
        const auto way_m = shapes::way_to_m(frame.point(on_m, 0.0), frame.behind, kLook_m, polygon);
        if (way_m && (!best || *way_m < best->behind_m)) best = Edge{*way_m, thing};
      }
    }
  }
  return best;
}

/// The least over all walks that are met.
double walk_width_m(const Survey& survey, const SiteFrame& frame) {
  base::Box box;
  for (const double on_m : {frame.from_m, frame.to_m}) {
    box.add(frame.point(on_m, 0.0));
    box.add(frame.point(on_m, kLook_m));
  }
  const auto walks = survey.around.near(ThingKind::Walk, box);
  double width_m = kLook_m;
  for (const double on_m : {frame.from_m, 0.5 * (frame.from_m + frame.to_m), frame.to_m}) {
    for (const study::Thing* walk : walks) {
      for (const base::Polygon& polygon : walk->shape.polygons) {
        const double within_m = shapes::way_within_m(frame.point(on_m, 0.0), frame.behind, kLook_m, polygon);
        if (within_m > 0.0) width_m = std::min(width_m, within_m);
      }
    }
  }
  return width_m;
}

}  // namespace

void measure_room(const Survey& survey, const SiteFrame& frame, SiteMeasures& site) {
  const bool walks = survey.around.knows(ThingKind::Walk);
  const bool lots = survey.around.knows(ThingKind::Lot);
  const std::optional<Edge> walk = walks ? first_edge(survey, frame, ThingKind::Walk) : std::nullopt;
  const std::optional<Edge> lot = lots ? first_edge(survey, frame, ThingKind::Lot) : std::nullopt;
  if (walk && (!lot || walk->behind_m <= lot->behind_m)) {
    of(site, RuleId::StripWidth) = plain_value(walk->behind_m, "walks");
  } else if (lot) {
    of(site, RuleId::StripWidth) = plain_value(lot->behind_m, "lots");
    if (!walks) of(site, RuleId::StripWidth).words = "Walks were not given: the strip may be narrower.";
    of(site, RuleId::StripWidth).measure_at_best = !walks;
  } else if (walks) {
    Measured wide = plain_value(kLook_m, "walks");
    wide.or_more = true;
    of(site, RuleId::StripWidth) = wide;
  }
  if (!walks) return;  // shelf and walk stay without data
  if (!walk) {
    of(site, RuleId::Shelf) = not_asked("walks", "No walk lies behind this curb.");
    of(site, RuleId::WalkWidth) = not_asked("walks", "No walk lies behind this curb.");
    return;
  }
  const double shelf_m = walk->behind_m - frame.far_m();
  of(site, RuleId::Shelf) = plain_value(shelf_m, "walks and the study");
  if (shelf_m < 0.0) {
    const double room_m = walk->behind_m - frame.setback_m;
    of(site, RuleId::Shelf).words =
        room_m > 0.0 ? fmt::format("The basin reaches into the walk; {} of width would be left for it.",
                                   with_unit(*survey.in.rules, RuleId::StripWidth, room_m))
                     : std::string("The walk lies at the curb: there is no strip.");
  }
  const double width_m = walk_width_m(survey, frame);
  of(site, RuleId::WalkWidth) = plain_value(width_m - std::clamp(-shelf_m, 0.0, width_m), "walks");
}

}  // namespace curbshed::siting
