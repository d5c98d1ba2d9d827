#include "curbshed/base/geometry.hpp"
#include "curbshed/shapes/distances.hpp"

#include "siting/measure_parts.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

using study::ThingKind;

constexpr double kBelow_m = 100.0;  ///< down the gutter: farther on it is no matter of this basin
constexpr double kBeside_m = 3.0;   ///< from the gutter, or from the curb into the street
constexpr double kParkedReach_m = 3.0;

/// The gutter's way down from a node, through the nodes below, `kBelow_m` long at least where there is so
/// much.
base::Polyline way_down(const Survey& survey, std::size_t node) {
  const street::Network& network = survey.network();
  base::Polyline way = {network.at[node]};
  double length_m = 0.0;
  for (std::size_t steps = 0; steps < network.size() && length_m < kBelow_m; ++steps) {
    const base::Polyline& gutter = survey.in.preparation->maps.gutters[node];
    length_m += base::length_m(gutter);
    way.insert(way.end(), gutter.begin(), gutter.end());
    if (network.downstream[node] < 0) break;
    node = static_cast<std::size_t>(network.downstream[node]);
  }
  return way;
}

Measured next_below(const Survey& survey, const SiteFrame& frame, ThingKind kind) {
  if (!survey.around.knows(kind)) return {};
  const base::Polyline way = way_down(survey, frame.node);
  Measured best = plain_value(kBelow_m, "none down the gutter");
  best.or_more = true;
  base::Box box;
  for (const base::Point p : way) box.add(p);
  for (const study::Thing* thing : survey.around.near(kind, grown(box, kBeside_m))) {
    base::Polyline points = thing->shape.points;
    for (const base::Polyline& line : thing->shape.lines)
      points.insert(points.end(), line.begin(), line.end());
    for (const base::Polygon& polygon : thing->shape.polygons) {
      points.insert(points.end(), polygon.rings.front().begin(), polygon.rings.front().end());
    }
    for (const base::Point p : points) {
      const base::LinePlace place = base::nearest_place(way, p);
      if (place.offset_m <= kBeside_m && place.along_m < *best.value) {
        best = plain_value(place.along_m, fmt::format("{} {}", study::word_of(kind), thing->id));
      }
    }
  }
  return best;
}

/// Firm ground beside parked cars: only where cars may stand along the basin.
Measured step_out(const Survey& survey, const SiteFrame& frame) {
  if (!survey.around.knows(ThingKind::Parking)) return {};
  for (const ThingKind kind : {ThingKind::Parking, ThingKind::AccessibleParking, ThingKind::Loading}) {
    const auto nearest = survey.around.nearest(kind, *frame.footprint, frame.setback_m + kParkedReach_m);
    if (nearest)
      return plain_value(frame.setback_m, fmt::format("{} {}", study::word_of(kind), nearest->thing->id));
  }
  return not_asked("street.curb_space", "No cars may park here.");
}

}  // namespace

void measure_traffic(const Survey& survey, const SiteFrame& frame, SiteMeasures& site) {
  of(site, RuleId::StepOut) = step_out(survey, frame);
  of(site, RuleId::RampBelow) = next_below(survey, frame, ThingKind::Ramp);
  of(site, RuleId::StopBelow) = next_below(survey, frame, ThingKind::Stop);
  const street::FacePlace& place = survey.in.preparation->maps.street.places[frame.node].place;
  if (place.face < 0) return;  // no street name: nobody knows where its corners are
  if (place.from.empty()) {
    for (const RuleId id : {RuleId::CornerBasin, RuleId::CornerTree, RuleId::SightTriangle}) {
      of(site, id) = not_asked("curbs", "No other street meets this side.");
    }
    return;
  }
  const double half_m = std::max(std::abs(frame.from_m), std::abs(frame.to_m));
  const double near_m = std::max(place.distance_m - half_m, 0.0);
  const std::string from = fmt::format("curbs, to {}", place.from);
  of(site, RuleId::CornerBasin) = plain_value(near_m, from);
  of(site, RuleId::CornerTree) = plain_value(near_m, from);
  // Legs along both curbs from where they meet: a point is outside when its two distances add up to a leg.
  of(site, RuleId::SightTriangle) = plain_value(near_m + frame.setback_m, from);
}

}  // namespace curbshed::siting
