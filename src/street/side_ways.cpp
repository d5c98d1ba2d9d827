#include "street/side_ways.hpp"

#include "street/reaches.hpp"

#include <algorithm>
#include <map>
#include <tuple>

namespace curbshed::street::detail {

namespace {

/// Water that comes back to the next node this close below is only the transect's end, not a way of its own.
constexpr double kReturnsNearby = 10.0;
/// So far water that has gone over a curb is not let back over it.
constexpr double kHeldBehind = 5.0;

/// A station counts when this share of the node's water passes it.
constexpr double kLeastShare = 0.5;
/// Water at a station runs within this way of its curb face.
constexpr double kGutterWidth = 1.0;
/// A pond's own spill is its ordinary way, not a side way.
constexpr double kSameLevel = 0.001;

using Key = std::tuple<std::int32_t, SideWayKind, std::int32_t>;

/// True when a step leads from behind a curb down into its gutter.
bool back_over_curb(const Scene& scene, int bearing, std::int64_t next) {
  return scene.field.walls.walled(next, terrain::opposite(bearing));
}

struct Landing {
  std::int32_t node = -1;
  bool in_street = false;  ///< it meets a gutter again before it leaves the data
};

/// Where water that stands over the crest onto `behind` first arrives. The row of cells behind a curb falls
/// freely into the gutter; water that has just come over flows on by the lowest way that does not, while
/// there is one.
Landing lands_with(const Scene& scene, const WaterSurface& water, std::int64_t behind) {
  const terrain::GridFrame& f = scene.frame();
  std::int64_t cell = behind;
  for (double gone = 0.0; gone < kHeldBehind;) {
    std::uint8_t way = water.directions[cell];
    if (way >= terrain::kBearings || water.receiver_at[cell] >= 0) break;
    if (back_over_curb(scene, way, terrain::next_cell(water.directions, cell))) {
      float lowest = water.levels_m[cell];
      bool found = false;
      for (std::uint8_t k = 0; k < terrain::kBearings; ++k) {
        const std::int64_t r = cell / f.cols + terrain::kRowStep[k];
        const std::int64_t c = cell % f.cols + terrain::kColStep[k];
        if (!f.inside(r, c) || !scene.known(f.index(r, c)) || scene.field.walls.walled(cell, k)) continue;
        if (!(water.levels_m[f.index(r, c)] < lowest) || back_over_curb(scene, k, f.index(r, c))) continue;
        lowest = water.levels_m[f.index(r, c)];
        way = k;
        found = true;
      }
      if (!found) break;
    }
    gone += terrain::step_m(way, f.cell_m);
    cell = f.index(cell / f.cols + terrain::kRowStep[way], cell % f.cols + terrain::kColStep[way]);
  }
  return {water.first_receiver[cell], water.meets_gutter(cell)};
}

/// Most cells that arrive in a node's own cells, one entry a node.
std::vector<std::int64_t> arriving_at_nodes(const WaterSurface& water, std::size_t nodes) {
  std::vector<std::int64_t> most(nodes, 0);
  for (std::int64_t cell = 0; cell < water.receiver_at.cells(); ++cell) {
    if (water.receiver_at[cell] < 0) continue;
    std::int64_t& here = most[static_cast<std::size_t>(water.receiver_at[cell])];
    here = std::max(here, water.arriving[cell]);
  }
  return most;
}

std::int64_t arriving_at_station(const Scene& scene, const WaterSurface& water,
                                 const terrain::CurbStation& s) {
  std::int64_t most = water.arriving[s.gutter_cell];
  for (double d = 0.5 * scene.cell_m(); d < kGutterWidth; d += scene.cell_m()) {
    const std::int64_t cell =
        scene.frame().cell_at({s.at.x_m + d * s.to_street.x_m, s.at.y_m + d * s.to_street.y_m});
    if (scene.known(cell) && water.first_receiver[cell] == water.first_receiver[s.gutter_cell])
      most = std::max(most, water.arriving[cell]);
  }
  return most;
}

void keep_lowest(std::map<Key, SideWay>& ways, const SideWay& way) {
  const Key key{way.from, way.kind, way.to};
  const auto found = ways.find(key);
  if (found == ways.end()) {
    ways.emplace(key, way);
    return;
  }
  const auto rank = [](const SideWay& w) { return std::tie(w.begins_depth_m, w.at.y_m, w.at.x_m); };
  if (rank(way) < rank(found->second)) found->second = way;
}

}  // namespace

std::vector<SideWay> find_side_ways(const Scene& scene, const WaterSurface& water,
                                    const std::vector<Crown>& crowns, const Network& net,
                                    base::Notes& notes) {
  std::map<Key, SideWay> lowest;
  const std::vector<std::int64_t> at_node = arriving_at_nodes(water, net.size());
  for (std::size_t i = 0; i < scene.field.stations.size(); ++i) {
    if (scene.usable[i] == 0) continue;
    const terrain::CurbStation& s = scene.field.stations[i];
    const std::int32_t from = water.first_receiver[s.gutter_cell];
    const auto node = static_cast<std::size_t>(from);
    if (from < 0 || net.kind[node] == NodeKind::DataEdge || net.kind[node] == NodeKind::Outfall) continue;
    const bool sag = net.kind[node] == NodeKind::Sag;
    if (sag && water.receiver_at[s.gutter_cell] != from) continue;  // above the pond, not in it
    if (!sag && static_cast<double>(arriving_at_station(scene, water, s)) <
                    kLeastShare * static_cast<double>(at_node[node]))
      continue;
    const double zero = sag ? net.sag_bottom_m[node] : static_cast<double>(s.gutter_level_m);
    const auto offer = [&](Landing landing, SideWayKind kind, double level_m) {
      std::int32_t to = landing.node;
      if (to == from) return;
      const bool to_lots = !landing.in_street && net.kind[static_cast<std::size_t>(to)] == NodeKind::DataEdge;
      const SecondWay* second = second_way(net, node);
      if (to == net.downstream[node] || (second != nullptr && to == second->to)) {
        const bool spill = sag && level_m <= net.sag_spill_m[node] + kSameLevel;
        const bool same_way =
            sag ? spill || !to_lots : base::distance_m(s.at, net.at[node]) < kReturnsNearby && !to_lots;
        if (same_way) return;
      }
      if (to_lots) to = -1;
      SideWay way;
      way.from = from;
      way.to = to;
      way.kind = kind;
      way.begins_depth_m = std::max(0.0, level_m - zero);
      way.at = s.at;
      keep_lowest(lowest, way);
    };
    const bool gap = scene.curbs[static_cast<std::size_t>(s.curb)].kind == terrain::CurbKind::Gap;
    if (scene.known(s.behind_cell)) {
      const float over = std::max(s.crest_m, scene.ground.height_m[s.behind_cell]);
      offer(lands_with(scene, water, s.behind_cell), gap ? SideWayKind::OverLip : SideWayKind::OverCurb,
            static_cast<double>(over));
    }
    if (crowns[i].beyond >= 0) {
      const Landing beyond{water.first_receiver[crowns[i].beyond], true};
      offer(beyond, SideWayKind::OverCrown, crowns[i].height_m + static_cast<double>(s.gutter_level_m));
    }
  }
  std::vector<SideWay> ways;
  for (const auto& entry : lowest) {
    const SideWay& way = entry.second;
    if (way.to < 0 || !leads_to(net, way.to, way.from)) {
      ways.push_back(way);
    } else {
      notes.add(base::NoteId::SideWayDropped, way.begins_depth_m, net.id[static_cast<std::size_t>(way.from)]);
    }
  }
  std::sort(ways.begin(), ways.end(), [](const SideWay& a, const SideWay& b) {
    return std::tie(a.from, a.begins_depth_m, a.kind, a.to) <
           std::tie(b.from, b.begins_depth_m, b.kind, b.to);
  });
  return ways;
}

}  // namespace curbshed::street::detail
