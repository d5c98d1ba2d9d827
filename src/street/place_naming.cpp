#include "street/place_naming.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/street/place_words.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include <fmt/format.h>

namespace curbshed::street::detail {

namespace {

constexpr double kNearCurb_m = 10.0;
constexpr int kFinest = 2;

/// The gutter cell that the words lead to, −1 when they lead nowhere.
std::int64_t read_back(const Scene& scene, const std::string& words, bool as_cut) {
  try {
    const FoundPlace found = find_place(scene.faces, parse_place(words));
    const std::int32_t station =
        as_cut ? cut_station(scene, found.at, kNearCurb_m) : scene.stations.nearest(found.at, kNearCurb_m);
    return station < 0 ? -1 : scene.station(station).gutter_cell;
  } catch (const base::InputError&) {
    return -1;  // several blocks fit
  }
}

/// The shortest words that lead to the cell.
std::string words_for(const Scene& scene, const SitePlace& place, TapeUnit unit, bool as_cut) {
  for (int finer = 0; finer <= kFinest; ++finer) {
    std::string words = place_text(scene.faces, place.place, unit, finer);
    if (read_back(scene, words, as_cut) == place.cell) return words;
  }
  return {};
}

SitePlace place_of(const Scene& scene, const Unnamed& one) {
  SitePlace out;
  const auto named = [&](std::int32_t s) {
    return !scene.curbs[static_cast<std::size_t>(scene.station(s).curb)].street.empty();
  };
  std::int32_t station = one.station;
  if (station < 0 || !named(station)) station = scene.stations.nearest(one.at, kNearCurb_m, named);
  if (station < 0) return out;
  const terrain::CurbStation& s = scene.station(station);
  out.place = scene.faces.place(static_cast<std::size_t>(s.curb), s.along_m);
  out.cell = s.gutter_cell;
  if (out.place.face < 0) return out;
  const bool as_cut = one.is_cut && station == one.station;
  out.words_metric = words_for(scene, out, TapeUnit::Metre, as_cut);
  out.words_us = words_for(scene, out, TapeUnit::Foot, as_cut);
  return out;
}

}  // namespace

std::int32_t cut_station(const Scene& scene, base::Point p, double reach_m) {
  constexpr double kBeside_m = 1.0;
  const std::int32_t station = scene.stations.nearest(p, reach_m);
  if (station < 0 || !scene.in_gap(station)) return station;
  const base::Point gap = scene.station(station).at;
  const std::int32_t curb = scene.stations.nearest(p, reach_m, [&](std::int32_t s) {
    return !scene.in_gap(s) && base::distance_m(scene.station(s).at, gap) <= kBeside_m;
  });
  return curb >= 0 ? curb : station;
}

std::vector<SitePlace> name_places(const Scene& scene, const std::vector<Unnamed>& list) {
  std::vector<SitePlace> places;
  std::set<std::string> taken;
  std::map<std::string, std::vector<std::size_t>> alike;
  for (std::size_t i = 0; i < list.size(); ++i) {
    places.push_back(place_of(scene, list[i]));
    if (!list[i].given_id.empty()) taken.insert(list[i].given_id);
    std::string id = place_id(scene.faces, places[i].place);
    if (id.empty()) id = fmt::format("x{:.0f}-y{:.0f}", list[i].at.x_m, list[i].at.y_m);
    alike[list[i].prefix + id].push_back(i);
  }
  for (auto& group : alike) {
    std::sort(group.second.begin(), group.second.end(), [&](std::size_t a, std::size_t b) {
      const auto order = [&](std::size_t i) {
        return std::tie(places[i].place.distance_m, list[i].at.x_m, list[i].at.y_m, list[i].given_id);
      };
      return order(a) < order(b);
    });
    int number = 1;
    for (const std::size_t i : group.second) {
      std::string id;
      do {
        id = number == 1 ? group.first : fmt::format("{}-{}", group.first, number);
        ++number;
      } while (!taken.insert(id).second);
      places[i].own_id = std::move(id);
    }
  }
  return places;
}

}  // namespace curbshed::street::detail
