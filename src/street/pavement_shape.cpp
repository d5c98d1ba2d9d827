#include "street/pavement_shape.hpp"

#include "curbshed/shapes/polygons.hpp"

#include "street/plane.hpp"

#include <functional>

namespace curbshed::street::detail {

namespace {

using base::Polygon;

constexpr double kAlleyReturn_m = 1.5;     ///< common practice, no source
constexpr double kLeastReturn_m2 = 0.01;   ///< less is rounding along straight curbs
constexpr double kFarFromCorner_m = 40.0;  ///< of a return from its junction

std::size_t at(std::int32_t i) { return static_cast<std::size_t>(i); }

void add(std::vector<Polygon>& all, const std::vector<Polygon>& more) {
  all.insert(all.end(), more.begin(), more.end());
}

std::vector<Polygon> disk(base::Point middle, double radius_m) {
  constexpr double kShort = 1e-3;
  return shapes::strip({{middle.x_m - kShort, middle.y_m}, {middle.x_m + kShort, middle.y_m}}, radius_m,
                       shapes::StripEnd::Round);
}

/// Strips of the blocks that `wanted` takes, and at each node a disk as wide as its second-widest end.
std::vector<Polygon> strips(const BlockNet& net, const std::function<bool(const StreetBlock&)>& wanted) {
  std::vector<Polygon> all;
  for (const BlockDraft& draft : net.blocks) {
    if (!wanted(draft.block)) continue;
    add(all, shapes::strip(draft.block.middle, 0.5 * draft.block.width_m, shapes::StripEnd::Flat));
  }
  for (const Junction& node : net.nodes) {
    std::vector<double> halves;
    for (const BlockEnd& e : node.ends) {
      const StreetBlock& block = net.blocks[at(e.block)].block;
      if (wanted(block)) halves.push_back(0.5 * block.width_m);
    }
    if (halves.size() < 2) continue;
    std::sort(halves.begin(), halves.end(), std::greater<>());
    add(all, disk(node.at, halves[1]));
  }
  return shapes::union_of(all);
}

/// Round returns at the re-entrant corners of junctions. What is grown and shrunk again fills them; gaps that
/// it closes elsewhere (medians) stay open.
std::vector<Polygon> with_returns(const std::vector<Polygon>& pavement, double radius_m,
                                  const BlockNet& net) {
  if (radius_m <= 0.0 || pavement.empty()) return pavement;
  const std::vector<Polygon> closed = shapes::buffer(shapes::buffer(pavement, radius_m), -radius_m);
  std::vector<Polygon> all = pavement;
  for (const Polygon& piece : shapes::without(closed, pavement)) {
    const double area = base::area_m2(piece);
    if (area < kLeastReturn_m2 || area > 3.0 * radius_m * radius_m) continue;
    const base::Point p = piece.rings.front().front();
    const bool at_corner = std::any_of(net.nodes.begin(), net.nodes.end(), [&](const Junction& node) {
      return node.ends.size() >= 2 && std::abs(node.at.x_m - p.x_m) < kFarFromCorner_m &&
             base::distance_m(node.at, p) < kFarFromCorner_m;
    });
    if (at_corner) all.push_back(piece);
  }
  return shapes::union_of(all);
}

}  // namespace

std::vector<Polygon> pavement_of(const terrain::Ground& ground, const CentrelineSettings& settings,
                                 const BlockNet& net) {
  const auto alley = [](const StreetBlock& block) { return block.street_class == StreetClass::Alley; };
  const bool alleys = std::any_of(net.blocks.begin(), net.blocks.end(),
                                  [&](const BlockDraft& draft) { return alley(draft.block); });
  std::vector<Polygon> streets = strips(net, [&](const StreetBlock& block) { return !alley(block); });
  for (const Junction& node : net.nodes) {
    if (!node.dead_end()) continue;
    const StreetBlock& block = net.blocks[at(node.ends.front().block)].block;
    if (alley(block)) continue;
    if (const std::optional<Bulb> bulb = bulb_at(ground, settings, block, node.ends.front().end)) {
      add(streets, disk(bulb->middle, bulb->radius_m));
    }
  }
  streets = with_returns(shapes::union_of(streets), settings.return_radius_m, net);
  if (!alleys) return streets;
  std::vector<Polygon> all = strips(net, alley);
  add(all, streets);
  // An alley ends at a junction inside the street's pavement.
  return with_returns(shapes::union_of(all), std::min(settings.return_radius_m, kAlleyReturn_m), net);
}

}  // namespace curbshed::street::detail
