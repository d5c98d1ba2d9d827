#include "street/crowns.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace curbshed::street::detail {

namespace {

constexpr double kProfile = 15.0;  // m: half of the widest street that is looked at
constexpr double kAverage = 2.5;   // m of curb to each side

bool parted(const Scene& scene, std::int64_t a, std::int64_t b) {
  const std::int64_t cols = scene.frame().cols;
  for (int bearing = 0; bearing < terrain::kBearings; ++bearing) {
    if (a / cols + terrain::kRowStep[bearing] == b / cols && a % cols + terrain::kColStep[bearing] == b % cols) {
      return scene.field.walls.walled(a, bearing) || scene.field.walls.walled(b, terrain::opposite(bearing));
    }
  }
  return false;
}

}  // namespace

std::vector<AcrossPlace> profile_across(const Scene& scene, std::int32_t station) {
  const terrain::CurbStation& s = scene.station(station);
  const double cell_m = scene.cell_m();
  std::vector<AcrossPlace> places;
  std::int64_t last = s.gutter_cell;
  const auto count = static_cast<int>(std::floor(kProfile / cell_m));
  for (int k = 0; k < count; ++k) {
    const double d = (static_cast<double>(k) + 0.5) * cell_m;
    const std::int64_t cell = scene.frame().cell_at({s.at.x_m + d * s.to_street.x_m, s.at.y_m + d * s.to_street.y_m});
    if (!scene.known(cell)) break;
    if (cell != last && parted(scene, last, cell)) {
      if (k > 0) break;
      places.push_back({last, static_cast<double>(scene.ground.height_m[last] - s.gutter_level_m)});
      continue;  // the face's own cell lies behind the wall: the gutter cell stands for it
    }
    if (k > 0 && !scene.pavement.empty() && scene.pavement[cell] == 0) break;
    places.push_back({cell, static_cast<double>(scene.ground.height_m[cell]) - static_cast<double>(s.gutter_level_m)});
    last = cell;
  }
  return places;
}

std::vector<Crown> find_crowns(const Scene& scene) {
  const std::size_t count = scene.field.stations.size();
  std::vector<Crown> crowns(count);
  std::vector<std::vector<AcrossPlace>> profiles(count);
  for (std::size_t i = 0; i < count; ++i) {
    if (scene.usable[i] != 0) profiles[i] = profile_across(scene, static_cast<std::int32_t>(i));
  }
  const auto past = static_cast<std::size_t>(std::max(2.0, std::ceil(1.0 / scene.cell_m())));
  for (std::size_t i = 0; i < count; ++i) {
    if (scene.usable[i] == 0) continue;
    const terrain::CurbStation& s = scene.field.stations[i];
    std::size_t first = i;
    std::size_t last = i;
    const auto belongs = [&](std::size_t j) {
      const terrain::CurbStation& t = scene.field.stations[j];
      return t.curb == s.curb && std::fabs(t.along_m - s.along_m) <= kAverage;
    };
    while (first > 0 && belongs(first - 1)) --first;
    while (last + 1 < count && belongs(last + 1)) ++last;
    const std::vector<AcrossPlace>& own = profiles[i];
    std::size_t top = 0;
    double highest = 0.0;
    for (std::size_t k = 0; k < own.size(); ++k) {
      double sum = 0.0;
      int met = 0;
      for (std::size_t j = first; j <= last; ++j) {
        if (k >= profiles[j].size()) continue;
        sum += profiles[j][k].rise_m;
        ++met;
      }
      const double mean = sum / met;
      if (k == 0 || mean > highest) {
        highest = mean;
        top = k;
      }
    }
    Crown& crown = crowns[i];
    crown.away_m = (static_cast<double>(top) + 0.5) * scene.cell_m();
    crown.height_m = own.empty() ? 0.0 : std::max(0.0, highest);
    if (top + past < own.size()) crown.beyond = own[top + past].cell;
    if (crown.beyond < 0) crown.away_m = static_cast<double>(own.size()) * scene.cell_m();
  }
  return crowns;
}

}  // namespace curbshed::street::detail
