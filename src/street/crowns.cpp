#include "street/crowns.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace curbshed::street::detail {

namespace {

constexpr double kProfile = 25.0;      // m: the widest street that is looked at
constexpr double kAverage = 2.5;       // m of curb to each side
constexpr double kCornerReach = 10.0;  // m of curb to each side of a corner that have no crown of their own
constexpr double kCornerCosine = 0.8660254037844386;  // cos 30°
constexpr double kWidthShare = 0.2;                   // how far the width may lie off the median of its curb

bool parted(const Scene& scene, std::int64_t a, std::int64_t b) {
  const std::int64_t cols = scene.frame().cols;
  for (int bearing = 0; bearing < terrain::kBearings; ++bearing) {
    if (a / cols + terrain::kRowStep[bearing] == b / cols &&
        a % cols + terrain::kColStep[bearing] == b % cols) {
      return scene.field.walls.walled(a, bearing) || scene.field.walls.walled(b, terrain::opposite(bearing));
    }
  }
  return false;
}

/// No corner and no opening of another street within kCornerReach along the curb.
bool straight_here(const Scene& scene, const std::vector<std::uint8_t>& regular, std::int32_t station) {
  const base::Point& n = scene.station(station).to_street;
  if (regular[static_cast<std::size_t>(station)] == 0) return false;
  for (const bool forward : {false, true}) {
    for (const WalkStep& step : scene.walk.walk(station, forward, kCornerReach)) {
      const base::Point& m = scene.station(step.station).to_street;
      const bool turned = n.x_m * m.x_m + n.y_m * m.y_m < kCornerCosine;
      if (turned || (scene.usable[static_cast<std::size_t>(step.station)] != 0 &&
                     regular[static_cast<std::size_t>(step.station)] == 0))
        return false;
    }
  }
  return true;
}

template <class Body>
void each_station(std::size_t count, base::Workers workers, const Body& body) {
  const auto n = static_cast<std::int64_t>(count);
  constexpr std::int64_t kAtOnce = 4096;
  base::parallel_stripes(n, n / kAtOnce + 1, workers, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t i = begin; i < end; ++i) body(static_cast<std::size_t>(i));
  });
}

/// 1 where the profile is whole and about as wide as the median of its curb.
std::vector<std::uint8_t> regular_widths(const Scene& scene, const std::vector<Across>& profiles) {
  std::vector<std::vector<std::size_t>> widths(scene.curbs.size());
  for (std::size_t i = 0; i < profiles.size(); ++i) {
    if (profiles[i].whole)
      widths[static_cast<std::size_t>(scene.field.stations[i].curb)].push_back(profiles[i].places.size());
  }
  std::vector<std::size_t> median(widths.size(), 0);
  for (std::size_t c = 0; c < widths.size(); ++c) {
    if (widths[c].empty()) continue;
    const auto middle = widths[c].begin() + static_cast<std::ptrdiff_t>(widths[c].size() / 2);
    std::nth_element(widths[c].begin(), middle, widths[c].end());
    median[c] = *middle;
  }
  std::vector<std::uint8_t> regular(profiles.size(), 0);
  for (std::size_t i = 0; i < profiles.size(); ++i) {
    const auto usual = static_cast<double>(median[static_cast<std::size_t>(scene.field.stations[i].curb)]);
    const double off = std::fabs(static_cast<double>(profiles[i].places.size()) - usual);
    regular[i] = profiles[i].whole && off <= std::max(2.0, kWidthShare * usual) ? 1 : 0;
  }
  return regular;
}

struct Top {
  std::size_t place = 0;
  double height_m = 0.0;
};

/// Highest place of the profile at station i, averaged over the stations of its curb nearby.
Top highest_place(const Scene& scene, const std::vector<Across>& profiles, std::size_t i) {
  const terrain::CurbStation& s = scene.field.stations[i];
  const auto belongs = [&](std::size_t j) {
    const terrain::CurbStation& t = scene.field.stations[j];
    return t.curb == s.curb && std::fabs(t.along_m - s.along_m) <= kAverage;
  };
  std::size_t first = i;
  std::size_t last = i;
  while (first > 0 && belongs(first - 1)) --first;
  while (last + 1 < profiles.size() && belongs(last + 1)) ++last;
  Top top;
  for (std::size_t k = 0; k < profiles[i].places.size(); ++k) {
    double sum = 0.0;
    int met = 0;
    for (std::size_t j = first; j <= last; ++j) {
      if (k >= profiles[j].places.size()) continue;
      sum += profiles[j].places[k].rise_m;
      ++met;
    }
    const double mean = sum / met;
    if (k == 0 || mean > top.height_m) top = {k, mean};
  }
  return top;
}

}  // namespace

Across profile_across(const Scene& scene, std::int32_t station) {
  const terrain::CurbStation& s = scene.station(station);
  const double cell_m = scene.cell_m();
  Across across;
  std::vector<AcrossPlace>& places = across.places;
  std::int64_t last = s.gutter_cell;
  const auto count = static_cast<int>(std::floor(kProfile / cell_m));
  for (int k = 0; k < count; ++k) {
    const double d = (static_cast<double>(k) + 0.5) * cell_m;
    const std::int64_t cell =
        scene.frame().cell_at({s.at.x_m + d * s.to_street.x_m, s.at.y_m + d * s.to_street.y_m});
    if (!scene.known(cell)) break;
    if (cell != last && parted(scene, last, cell)) {
      if (k > 0) {
        across.whole = true;
        break;
      }
      places.push_back(
          {last, static_cast<double>(scene.ground.height_m[last]) - static_cast<double>(s.gutter_level_m)});
      continue;  // the face's own cell lies behind the wall: the gutter cell stands for it
    }
    if (k > 0 && !scene.pavement.empty() && scene.pavement[cell] == 0) {
      across.whole = true;
      break;
    }
    places.push_back(
        {cell, static_cast<double>(scene.ground.height_m[cell]) - static_cast<double>(s.gutter_level_m)});
    last = cell;
  }
  return across;
}

std::vector<Crown> find_crowns(const Scene& scene, base::Workers workers) {
  const std::size_t count = scene.field.stations.size();
  std::vector<Crown> crowns(count);
  std::vector<Across> profiles(count);
  each_station(count, workers, [&](std::size_t i) {
    if (scene.usable[i] != 0) profiles[i] = profile_across(scene, static_cast<std::int32_t>(i));
  });
  const std::vector<std::uint8_t> regular = regular_widths(scene, profiles);
  const auto past = static_cast<std::size_t>(std::max(2.0, std::ceil(1.0 / scene.cell_m())));
  each_station(count, workers, [&](std::size_t i) {
    if (scene.usable[i] == 0) return;
    const std::vector<AcrossPlace>& own = profiles[i].places;
    const Top top = highest_place(scene, profiles, i);
    const bool falls_again = top.place + past < own.size();
    Crown& crown = crowns[i];
    crown.height_m = std::max(0.0, top.height_m);
    crown.away_m = (falls_again ? static_cast<double>(top.place) + 0.5 : static_cast<double>(own.size())) *
                   scene.cell_m();
    if (falls_again && straight_here(scene, regular, static_cast<std::int32_t>(i)))
      crown.beyond = own[top.place + past].cell;
  });
  return crowns;
}

}  // namespace curbshed::street::detail
