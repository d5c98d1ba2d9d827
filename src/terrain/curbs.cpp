#include "curbshed/terrain/curbs.hpp"

#include "curbshed/base/error.hpp"

#include "terrain/curb_crossings.hpp"
#include "terrain/curb_levels.hpp"
#include "terrain/curb_lines.hpp"
#include "terrain/curb_lowering.hpp"

#include <atomic>
#include <tuple>

#include <fmt/format.h>

namespace curbshed::terrain {

namespace {

using detail::operator-;
using detail::Crossing;
using detail::RunningCurb;
using detail::Station;

void check_setting(const char* key, double value, double least, double most, const char* unit) {
  if (value >= least && value <= most) return;
  throw base::InputError({"", "curbs", key}, fmt::format("{} {}", value, unit),
                         fmt::format("{} to {} {}", least, most, unit),
                         "correct the value in the study file");
}

void check_settings(const CurbSettings& s) {
  check_setting("vertical_height", s.vertical_height_m, 0.0, 1.0, "m");
  check_setting("rolled_height", s.rolled_height_m, 0.0, 1.0, "m");
  check_setting("lip", s.lip_m, 0.0, 1.0, "m");
  check_setting("gap_look", s.gap_look_m, 0.0, 50.0, "m");
  check_setting("gutter_lowering", s.lowering_m, 0.0, 0.5, "m");
  check_setting("lowering_fade", s.fade_m, 0.0, 100.0, "m");
  check_setting("default_cross_slope", s.default_cross_slope, -0.2, 0.2, "");
  check_setting("cross_slope_width", s.fit_width_m, 0.1, 30.0, "m");
}

/// Crossings of each running curb.
std::vector<std::span<const Crossing>> by_curb(const std::vector<Crossing>& crossings, std::size_t curbs) {
  std::vector<std::span<const Crossing>> spans(curbs);
  std::size_t i = 0;
  for (std::size_t k = 0; k < curbs; ++k) {
    const std::size_t first = i;
    while (i < crossings.size() && crossings[i].running == static_cast<std::int32_t>(k)) ++i;
    spans[k] = std::span<const Crossing>(crossings).subspan(first, i - first);
  }
  return spans;
}

bool any_known(const std::vector<Station>& stations) {
  return std::any_of(stations.begin(), stations.end(), [](const Station& s) { return s.known; });
}

/// A step over several curbs takes the highest of their crests.
Walls build_walls(const GridFrame& frame, const std::vector<Crossing>& crossings,
                  const std::vector<RunningCurb>& curbs, const std::vector<std::vector<Station>>& stations) {
  std::vector<Crest> crests;
  for (const Crossing& c : crossings) {
    const auto k = static_cast<std::size_t>(c.running);
    if (curbs[k].kind == CurbKind::None) continue;
    crests.push_back({c.street_cell, c.bearing,
                      static_cast<float>(between_stations(stations[k], &Station::crest_m, c.along_m))});
  }
  std::sort(crests.begin(), crests.end(), [](const Crest& a, const Crest& b) {
    return std::tie(a.cell, a.bearing, b.height_m) < std::tie(b.cell, b.bearing, a.height_m);
  });
  crests.erase(
      std::unique(crests.begin(), crests.end(),
                  [](const Crest& a, const Crest& b) { return a.cell == b.cell && a.bearing == b.bearing; }),
      crests.end());
  return make_walls(frame.rows, frame.cols, std::move(crests));
}

/// Where on its curb the street cell of a crossing lies: straight across, not where the step crosses.
double abreast_m(const GridFrame& frame, const RunningCurb& curb, const Crossing& c) {
  const detail::CurbPlace place = place_at(curb, c.along_m, frame.cell_m);
  const base::Point centre = frame.centre(c.street_cell);
  const base::Point local{centre.x_m - frame.west_m, centre.y_m - frame.north_m};
  return c.along_m + detail::dot(local - place.at, place.direction);
}

void mark_gutter(const Ground& ground, const std::vector<Crossing>& crossings,
                 const std::vector<RunningCurb>& curbs, const std::vector<std::vector<Station>>& stations,
                 const CurbSettings& settings, CurbField& field) {
  const std::vector<std::vector<double>> lowering = detail::lowering_along(curbs, stations, settings);
  for (const Crossing& c : crossings) {
    const auto k = static_cast<std::size_t>(c.running);
    // Straight steps alone give the thinnest band that is still 8-connected.
    if (curbs[k].kind == CurbKind::None || c.bearing % 2 != 0 || ground.valid[c.street_cell] == 0) continue;
    field.gutter[c.street_cell] = 1;
    float& here = field.lowering_m[c.street_cell];
    here = std::max(here, static_cast<float>(detail::lowering_at(stations[k], lowering[k],
                                                                 abreast_m(ground.frame, curbs[k], c))));
  }
}

void add_stations(const GridFrame& frame, const RunningCurb& curb, std::vector<Station> stations,
                  std::vector<CurbStation>& out) {
  if (curb.reversed) std::reverse(stations.begin(), stations.end());
  for (const Station& s : stations) {
    if (!s.known) continue;
    CurbStation station;
    station.curb = curb.curb;
    station.along_m = curb.user_along_m(s.along_m);
    station.at = {s.place.at.x_m + frame.west_m, s.place.at.y_m + frame.north_m};
    station.to_street = detail::left_of(s.place.direction);
    station.gutter_cell = s.gutter_cell;
    station.behind_cell = s.behind_cell;
    station.gutter_level_m = static_cast<float>(s.level_m);
    station.crest_m = static_cast<float>(s.crest_m);
    out.push_back(station);
  }
}

struct MeasuredCurbs {
  std::vector<RunningCurb> curbs;
  std::vector<Crossing> crossings;
  std::vector<std::vector<Station>> stations;
};

/// Fills the stations of all curbs; notes are merged in the order of the curbs.
void measure_stations(const Ground& ground, const Grid<std::uint8_t>& pavement,
                      const std::vector<CurbLine>& lines, const CurbSettings& settings, base::Workers workers,
                      const base::Progress& progress, MeasuredCurbs& out, base::Notes& notes) {
  constexpr std::size_t kCurbsAtOnce = 64;
  constexpr double kBeforeLevels = 0.15;  // share of the time that lines and crossings take, as measured
  const std::vector<std::span<const Crossing>> spans = by_curb(out.crossings, out.curbs.size());
  const std::size_t lots = (out.curbs.size() + kCurbsAtOnce - 1) / kCurbsAtOnce;
  out.stations.assign(out.curbs.size(), {});
  std::vector<base::Notes> noted(lots);
  std::atomic<std::size_t> measured{0};
  const auto count = static_cast<std::int64_t>(lots);
  base::parallel_stripes(
      count, std::max<std::int64_t>(1, count), workers, [&](std::int64_t lot, std::int64_t) {
        detail::FitRoom room;
        const auto n = static_cast<std::size_t>(lot);
        for (std::size_t k = n * kCurbsAtOnce; k < std::min((n + 1) * kCurbsAtOnce, out.curbs.size()); ++k) {
          const RunningCurb& curb = out.curbs[k];
          const std::string& id = lines[static_cast<std::size_t>(curb.curb)].id;
          out.stations[k] =
              measure_curb(ground, pavement, out.curbs, k, spans[k], settings, id, noted[n], room);
        }
        progress.share(kBeforeLevels +
                       (1.0 - kBeforeLevels) * static_cast<double>(++measured) / static_cast<double>(lots));
      });
  for (const base::Notes& one : noted) notes.merge(one);
}

/// Joins, crosses and measures. A curb that has no street-side cell with a height is set aside and the rest
/// done again, since its neighbours' ends are free without it.
MeasuredCurbs measure(const Ground& ground, const Grid<std::uint8_t>& pavement,
                      const std::vector<CurbLine>& lines, const CurbSettings& settings, base::Workers workers,
                      const base::Progress& progress, std::vector<detail::SetAside>& set_aside,
                      base::Notes& notes) {
  MeasuredCurbs out;
  out.curbs = detail::running_curbs(ground, pavement, lines, settings, set_aside, notes);
  while (true) {
    detail::join_ends(out.curbs, ground.frame.cell_m);
    out.crossings = detail::find_crossings(ground.frame, out.curbs);
    base::Notes slopes;
    measure_stations(ground, pavement, lines, settings, workers, progress, out, slopes);
    std::vector<RunningCurb> kept;
    for (std::size_t k = 0; k < out.curbs.size(); ++k) {
      if (any_known(out.stations[k])) {
        kept.push_back(out.curbs[k]);
      } else {
        set_aside.push_back({out.curbs[k].curb, "no cell with a height on its street side"});
      }
    }
    if (kept.size() == out.curbs.size()) {
      notes.merge(slopes);
      return out;
    }
    for (RunningCurb& curb : kept) {
      curb.meets = {};
      curb.joined_direction = {};
      curb.closed = false;
    }
    out.curbs = std::move(kept);
  }
}

}  // namespace

CurbField place_curbs(const Ground& ground, const Grid<std::uint8_t>& pavement,
                      const std::vector<CurbLine>& curbs, const CurbSettings& settings, base::Workers workers,
                      const base::Progress& progress) {
  check_settings(settings);
  const GridFrame& frame = ground.frame;
  base::ensure(ground.height_m.cells() == frame.cells() && ground.valid.cells() == frame.cells(),
               "heights and validity have the frame's size");
  base::ensure(pavement.empty() || (pavement.rows() == frame.rows && pavement.cols() == frame.cols),
               "pavement has the size of the ground");
  CurbField field;
  field.gutter = Grid<std::uint8_t>(frame.rows, frame.cols, 0);
  field.lowering_m = Grid<float>(frame.rows, frame.cols, 0.0F);
  std::vector<detail::SetAside> set_aside;
  const MeasuredCurbs measured =
      measure(ground, pavement, curbs, settings, workers, progress, set_aside, field.notes);
  field.walls = build_walls(frame, measured.crossings, measured.curbs, measured.stations);
  mark_gutter(ground, measured.crossings, measured.curbs, measured.stations, settings, field);
  for (std::size_t k = 0; k < measured.curbs.size(); ++k) {
    add_stations(frame, measured.curbs[k], measured.stations[k], field.stations);
  }
  std::sort(set_aside.begin(), set_aside.end(),
            [](const detail::SetAside& a, const detail::SetAside& b) { return a.curb < b.curb; });
  for (const detail::SetAside& s : set_aside) {
    field.set_aside.push_back(s.curb);
    field.set_aside_reason.push_back(s.reason);
    field.notes.add(base::NoteId::FeatureSetAside, 0.0, curbs[static_cast<std::size_t>(s.curb)].id);
  }
  return field;
}

Ground lowered(const Ground& ground, const Grid<float>& lowering_m) {
  base::ensure(ground.height_m.cells() == lowering_m.cells(), "the lowering has the size of the ground");
  Ground low = ground;
  for (std::int64_t cell = 0; cell < lowering_m.cells(); ++cell) {
    if (ground.valid[cell] != 0) low.height_m[cell] -= lowering_m[cell];
  }
  return low;
}

}  // namespace curbshed::terrain
