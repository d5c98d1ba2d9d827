#include "terrain/curb_lowering.hpp"

#include <optional>

namespace curbshed::terrain::detail {

namespace {

constexpr double kShareOfFall =
    0.7;  ///< of the street's fall that the lowered bed may give away toward a free end

/// A station seen from a free end, along the curbs that follow one another.
struct Seen {
  std::size_t curb = 0;
  std::size_t station = 0;
  double way_m = 0.0;
};

std::vector<Seen> stations_from(const std::vector<RunningCurb>& curbs,
                                const std::vector<std::vector<Station>>& stations, EndRef from,
                                double reach_m) {
  std::vector<Seen> seen;
  double way = 0.0;
  EndRef at = from;
  for (std::size_t guard = 0; guard <= curbs.size() && way <= reach_m; ++guard) {
    const auto k = static_cast<std::size_t>(at.curb);
    const std::size_t n = stations[k].size();
    for (std::size_t i = 0; i < n; ++i) {
      const std::size_t s = at.end == 0 ? i : n - 1 - i;
      const double along = stations[k][s].along_m;
      const double here = way + (at.end == 0 ? along : curbs[k].length_m() - along);
      if (here > reach_m) break;
      seen.push_back({k, s, here});
    }
    way += curbs[k].length_m();
    const EndRef next = curbs[k].meets[static_cast<std::size_t>(1 - at.end)];
    if (next.curb < 0 || next.curb == from.curb) break;
    at = next;
  }
  return seen;
}

void fade(std::vector<std::vector<double>>& lowering, const std::vector<std::vector<Station>>& stations,
          const std::vector<Seen>& seen, const CurbSettings& settings) {
  const double full = settings.lowering_m;
  const double slope = full / settings.fade_m;
  std::optional<double> end_level;
  bool falls_to_end = false;
  double highest = 0.0;
  // Whether the street falls toward the end: by the levels at the end and about one fade away.
  for (const Seen& s : seen) {
    const Station& station = stations[s.curb][s.station];
    if (!station.known) continue;
    if (!end_level) end_level = highest = station.level_m;
    if (s.way_m <= settings.fade_m || !falls_to_end) falls_to_end = station.level_m > *end_level;
    if (s.way_m > settings.fade_m) break;
  }
  std::optional<double> let_go_m;  // way at which the fall no longer binds
  double last_cap = 0.0;
  for (const Seen& s : seen) {
    const Station& station = stations[s.curb][s.station];
    double allowed = s.way_m * slope;
    if (falls_to_end && station.known && !let_go_m) {
      highest = std::max(highest, station.level_m);
      last_cap = std::max(0.0, kShareOfFall * (station.level_m - *end_level));
      const bool past_the_top = station.level_m < highest - full;
      if (last_cap >= full || past_the_top || s.way_m > (kLongestFade - 1.0) * settings.fade_m)
        let_go_m = s.way_m;
    }
    if (falls_to_end)
      allowed = std::min(allowed, last_cap + (let_go_m ? (s.way_m - *let_go_m) * slope : 0.0));
    double& here = lowering[s.curb][s.station];
    here = std::min(here, allowed);
  }
}

}  // namespace

std::vector<std::vector<double>> lowering_along(const std::vector<RunningCurb>& curbs,
                                                const std::vector<std::vector<Station>>& stations,
                                                const CurbSettings& settings) {
  std::vector<std::vector<double>> lowering;
  for (std::size_t k = 0; k < curbs.size(); ++k) {
    lowering.emplace_back(stations[k].size(), curbs[k].kind == CurbKind::None ? 0.0 : settings.lowering_m);
  }
  if (!(settings.fade_m > 0.0) || !(settings.lowering_m > 0.0)) return lowering;
  for (std::size_t k = 0; k < curbs.size(); ++k) {
    if (curbs[k].kind == CurbKind::None) continue;
    for (int end = 0; end < 2; ++end) {
      if (!curbs[k].free_end(end)) continue;
      const EndRef from{static_cast<std::int32_t>(k), end};
      fade(lowering, stations, stations_from(curbs, stations, from, kLongestFade * settings.fade_m),
           settings);
    }
  }
  return lowering;
}

double lowering_at(const std::vector<Station>& stations, const std::vector<double>& lowering_m,
                   double along_m) {
  const auto after =
      static_cast<std::size_t>(std::lower_bound(stations.begin(), stations.end(), along_m,
                                                [](const Station& s, double v) { return s.along_m < v; }) -
                               stations.begin());
  if (after == 0) return lowering_m.front();
  if (after == stations.size()) return lowering_m.back();
  const double low = stations[after - 1].along_m;
  const double t = (along_m - low) / (stations[after].along_m - low);
  return lowering_m[after - 1] + t * (lowering_m[after] - lowering_m[after - 1]);
}

}  // namespace curbshed::terrain::detail
