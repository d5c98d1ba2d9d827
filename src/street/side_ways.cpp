#include "street/side_ways.hpp"

#include "street/reaches.hpp"

#include <algorithm>
#include <map>
#include <tuple>

namespace curbshed::street::detail {

namespace {

/// Water that comes back to the next node this close below is only the transect's end, not a way of its own.
constexpr double kReturnsNearby = 5.0;

/// A pond's own spill is its ordinary way, not a side way.
constexpr double kSameLevel = 0.001;

using Key = std::tuple<std::int32_t, SideWayKind, std::int32_t>;

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

std::vector<SideWay> find_side_ways(const Scene& scene, const terrain::Grid<std::int32_t>& receiver_at,
                                    const terrain::Grid<std::int32_t>& first_receiver, const std::vector<Crown>& crowns,
                                    const Network& net) {
  std::map<Key, SideWay> lowest;
  for (std::size_t i = 0; i < scene.field.stations.size(); ++i) {
    if (scene.usable[i] == 0) continue;
    const terrain::CurbStation& s = scene.field.stations[i];
    const std::int32_t from = first_receiver[s.gutter_cell];
    const auto node = static_cast<std::size_t>(from);
    if (from < 0 || net.kind[node] == NodeKind::DataEdge || net.kind[node] == NodeKind::Outfall) continue;
    const bool sag = net.kind[node] == NodeKind::Sag;
    if (sag && receiver_at[s.gutter_cell] != from) continue;  // above the pond, not in it
    const double zero = sag ? net.sag_bottom_m[node] : static_cast<double>(s.gutter_level_m);
    const auto offer = [&](std::int64_t cell, SideWayKind kind, double level_m) {
      std::int32_t to = first_receiver[cell];
      if (to == from) return;
      const bool to_lots = kind != SideWayKind::OverCrown && net.kind[static_cast<std::size_t>(to)] == NodeKind::DataEdge;
      if (to == net.downstream[node]) {
        const bool spill = sag && level_m <= net.sag_spill_m[node] + kSameLevel;
        const bool same_way = sag ? spill || !to_lots : base::distance_m(s.at, net.at[node]) < kReturnsNearby && !to_lots;
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
      offer(s.behind_cell, gap ? SideWayKind::OverLip : SideWayKind::OverCurb, static_cast<double>(over));
    }
    if (crowns[i].beyond >= 0) {
      offer(crowns[i].beyond, SideWayKind::OverCrown, crowns[i].height_m + static_cast<double>(s.gutter_level_m));
    }
  }
  std::vector<SideWay> ways;
  for (const auto& entry : lowest) {
    const SideWay& way = entry.second;
    if (way.to < 0 || !leads_to(net, way.to, way.from)) ways.push_back(way);
  }
  std::sort(ways.begin(), ways.end(), [](const SideWay& a, const SideWay& b) {
    return std::tie(a.from, a.begins_depth_m, a.kind, a.to) < std::tie(b.from, b.begins_depth_m, b.kind, b.to);
  });
  return ways;
}

}  // namespace curbshed::street::detail
