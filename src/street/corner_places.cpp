#include "street/corner_places.hpp"

#include "street/snapping.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>

namespace curbshed::street::detail {

namespace {

constexpr double kTurnLook = 8.0;     // m to each side over which the turn is measured
constexpr double kLeastWay = 4.0;     // m of curb that must be there for it
constexpr double kTurned = 0.5;       // cos 60°
constexpr double kTurnedBack = -0.5;  // cos 120°: more is the head of a median
constexpr double kLegLook = 14.0;     // m from the middle: past the return, on the straight gutter
constexpr double kStraight = 0.9848077530122081;  // cos 10°
constexpr double kUpGutter = 5.0;                 // m up the gutter from its end
constexpr double kPast = 3.0;       // m past the corner, and after the fork before heights count
constexpr double kRises = 15.0;     // m of gutter past the corner that may rise
constexpr double kWidest = 45.0;    // m across a side street
constexpr double kMeets = 1.6;      // m from the curb on the other side
constexpr double kMeetsWide = 4.0;  // m, where nothing is met nearer
constexpr double kReturn = 12.0;    // m along the other side's return
constexpr double kNearer = 0.05;    // m
constexpr double kOffFace = 0.75;   // m into the street: pavement, not curb
constexpr double kAround = 1.0;     // m: heights are means over this distance
constexpr double kOwnCurb = 40.0;   // m along the own curb that is no other side

double dot(base::Point a, base::Point b) { return a.x_m * b.x_m + a.y_m * b.y_m; }
base::Point minus(base::Point a, base::Point b) { return {a.x_m - b.x_m, a.y_m - b.y_m}; }

/// The curb turns away from the street here.
bool turns_here(const Scene& scene, std::int32_t i) {
  const std::vector<WalkStep> back = scene.walk.walk(i, false, kTurnLook);
  const std::vector<WalkStep> ahead = scene.walk.walk(i, true, kTurnLook);
  if (back.empty() || ahead.empty() || back.back().s_m < kLeastWay || ahead.back().s_m < kLeastWay)
    return false;
  const terrain::CurbStation& a = scene.station(back.back().station);
  const terrain::CurbStation& b = scene.station(ahead.back().station);
  const double cosine = dot(a.to_street, b.to_street);
  return cosine <= kTurned && cosine >= kTurnedBack &&
         dot(minus(b.to_street, a.to_street), minus(b.at, a.at)) > 0.0;
}

bool lower_cell(const Scene& scene, std::int32_t a, std::int32_t b) {
  return scene.station(a).gutter_cell < scene.station(b).gutter_cell;
}

/// The middles of runs of turning stations, by gutter cell.
std::vector<std::int32_t> corner_middles(const Scene& scene) {
  const auto count = static_cast<std::int32_t>(scene.field.stations.size());
  std::vector<std::uint8_t> turning(static_cast<std::size_t>(count), 0);
  for (std::int32_t i = 0; i < count; ++i) {
    turning[static_cast<std::size_t>(i)] =
        scene.usable[static_cast<std::size_t>(i)] != 0 && turns_here(scene, i) ? 1 : 0;
  }
  std::vector<std::int32_t> middles;
  for (std::int32_t i = 0; i < count; ++i) {
    if (turning[static_cast<std::size_t>(i)] != 1) continue;
    std::vector<std::int32_t> run = {i};
    for (const bool forward : {false, true}) {
      std::vector<std::int32_t> side;
      for (const WalkStep& step : scene.walk.walk(i, forward, 4.0 * kTurnLook)) {
        if (turning[static_cast<std::size_t>(step.station)] != 1) break;
        side.push_back(step.station);
      }
      if (!forward) std::reverse(side.begin(), side.end());
      run.insert(forward ? run.end() : run.begin(), side.begin(), side.end());
    }
    for (const std::int32_t s : run) turning[static_cast<std::size_t>(s)] = 2;
    const std::int32_t a = run[(run.size() - 1) / 2];
    const std::int32_t b = run[run.size() / 2];
    middles.push_back(lower_cell(scene, b, a) ? b : a);
  }
  std::sort(middles.begin(), middles.end(),
            [&](std::int32_t a, std::int32_t b) { return lower_cell(scene, a, b); });
  return middles;
}

/// The straight gutter on one side of a corner: stations from the middle out.
struct Leg {
  std::vector<WalkStep> way;  ///< the middle first
  std::size_t end = 0;        ///< place in `way` at which the straight gutter ends

  std::int32_t at(std::size_t i) const { return way[i].station; }
  /// The last station not farther than that past the end.
  std::int32_t past_end(double m) const {
    std::size_t i = end;
    while (i + 1 < way.size() && way[i + 1].s_m <= way[end].s_m + m) ++i;
    return at(i);
  }
};

std::optional<Leg> leg_of(const Scene& scene, std::int32_t middle, bool forward) {
  Leg leg;
  leg.way = {{middle, 0.0}};
  for (const WalkStep& step : scene.walk.walk(middle, forward, kLegLook + kRises)) {
    if (scene.station(step.station).gutter_cell < 0) break;
    leg.way.push_back(step);
  }
  if (leg.way.back().s_m < kLeastWay) return std::nullopt;
  std::size_t far = leg.way.size() - 1;
  while (far > 0 && leg.way[far].s_m > kLegLook) --far;
  const base::Point straight = scene.station(leg.at(far)).to_street;
  while (leg.end < far && dot(scene.station(leg.at(leg.end)).to_street, straight) < kStraight) ++leg.end;
  return leg;
}

std::optional<double> mean_height(const Scene& scene, base::Point p) {
  const terrain::GridFrame& f = scene.frame();
  const auto reach = static_cast<std::int64_t>(std::ceil(kAround / f.cell_m));
  double sum = 0.0;
  int met = 0;
  for (std::int64_t r = f.row_of(p.y_m) - reach; r <= f.row_of(p.y_m) + reach; ++r) {
    for (std::int64_t c = f.col_of(p.x_m) - reach; c <= f.col_of(p.x_m) + reach; ++c) {
      if (!f.inside(r, c) || !scene.known(f.index(r, c)) || base::distance_m(f.centre(r, c), p) > kAround)
        continue;
      if (!scene.pavement.empty() && scene.pavement.at(r, c) == 0) continue;
      sum += static_cast<double>(scene.ground.height_m.at(r, c));
      ++met;
    }
  }
  return met > 0 ? std::optional<double>(sum / met) : std::nullopt;
}

struct Sill {
  bool found = false;
  double level_m = 0.0;
  base::Point at;
  void offer(std::optional<double> level, base::Point p) {
    if (!level || (found && *level <= level_m)) return;
    found = true;
    level_m = *level;
    at = p;
  }
};

base::Point off_face(const terrain::CurbStation& s) {
  return {s.at.x_m + kOffFace * s.to_street.x_m, s.at.y_m + kOffFace * s.to_street.y_m};
}

/// Joined cells of a row of points.
void join_cells(const Scene& scene, std::vector<std::int64_t>& cells, base::Point from, base::Point to) {
  for (const std::int64_t cell : cells_touched(scene.frame(), from, to)) {
    if (scene.known(cell) && (cells.empty() || cells.back() != cell)) cells.push_back(cell);
  }
}

/// The way round the corner: gutter cells, and the highest ground on it.
Sill way_round(const Scene& scene, const Leg& own, const Leg& other, CornerFork& fork) {
  std::vector<WalkStep> way;  // from the end of the own gutter to past the other's
  const double start = own.way[own.end].s_m;
  for (std::size_t i = own.end + 1; i-- > 0;) way.push_back({own.at(i), start - own.way[i].s_m});
  for (std::size_t i = 1; i < other.way.size(); ++i) {
    if (other.way[i].s_m > other.way[other.end].s_m + kRises) break;
    way.push_back({other.at(i), start + other.way[i].s_m});
  }
  Sill sill;
  for (std::size_t i = 0; i < way.size(); ++i) {
    const terrain::CurbStation& s = scene.station(way[i].station);
    if (!scene.known(s.gutter_cell)) continue;
    const base::Point here = scene.frame().centre(s.gutter_cell);
    if (way[i].s_m >= kPast) sill.offer(mean_height(scene, off_face(s)), s.at);
    if (way[i].s_m > start + other.way[other.end].s_m + kPast) continue;
    join_cells(scene, fork.turn, fork.turn.empty() ? here : scene.frame().centre(fork.turn.back()), here);
  }
  return sill;
}

/// The way straight on to the gutter on the other side of the side street.
Sill way_across(const Scene& scene, const std::set<std::int32_t>& own_curb, CornerFork& fork) {
  const terrain::CurbStation& end = scene.station(fork.end);
  const terrain::CurbStation& look = scene.station(fork.look);
  Sill sill;
  if (fork.look == fork.end) return sill;
  const base::Point from = off_face(end);
  const base::Point toward = minus(end.at, look.at);
  base::Point d{-look.to_street.y_m, look.to_street.x_m};  // along the straight gutter
  if (dot(d, toward) < 0.0) d = {-d.x_m, -d.y_m};
  const auto other_side = [&](std::int32_t s) { return own_curb.count(s) == 0; };
  const auto at = [&](double s) { return base::Point{from.x_m + s * d.x_m, from.y_m + s * d.y_m}; };
  double met_m = 0.0;
  for (const double reach : {kMeets, kMeetsWide}) {
    for (double s = kPast; s <= kWidest && fork.opposite < 0; s += 0.5 * scene.cell_m()) {
      if (!scene.known(scene.frame().cell_at(at(s)))) break;
      fork.opposite = scene.stations.nearest(at(s), reach, other_side);
      met_m = s;
    }
  }
  // The other curb comes nearer along its own return: on to where its straight gutter begins.
  const auto away_m = [&](double s, std::int32_t station) {
    return base::distance_m(at(s), scene.station(station).at);
  };
  const double last_m = met_m + kReturn;
  for (double s = met_m; fork.opposite >= 0 && s <= last_m; s += 0.5 * scene.cell_m()) {
    const std::int32_t next = scene.stations.nearest(at(s), kMeetsWide, other_side);
    if (next < 0 || away_m(s, next) > away_m(met_m, fork.opposite) - kNearer) continue;
    fork.opposite = next;
    met_m = s;
  }
  if (fork.opposite < 0) return sill;
  const base::Point last = at(met_m);
  const terrain::CurbStation& opposite = scene.station(fork.opposite);
  join_cells(scene, fork.cross, scene.frame().centre(end.gutter_cell), from);
  join_cells(scene, fork.cross, from, last);
  join_cells(scene, fork.cross, last, scene.frame().centre(opposite.gutter_cell));
  for (double s = kPast; s <= met_m; s += 0.5 * scene.cell_m()) {
    sill.offer(mean_height(scene, at(s)), at(s));
  }
  return sill;
}

}  // namespace

std::vector<std::int32_t> stations_around(const Scene& scene, std::int32_t station, double limit_m) {
  std::vector<std::int32_t> all = {station};
  for (const bool forward : {false, true}) {
    for (const WalkStep& step : scene.walk.walk(station, forward, limit_m)) all.push_back(step.station);
  }
  return all;
}

CornerPlaces find_corners(const Scene& scene) {
  CornerPlaces places;
  for (const std::int32_t middle : corner_middles(scene)) {
    const std::optional<Leg> legs[2] = {leg_of(scene, middle, false), leg_of(scene, middle, true)};
    if (!legs[0] || !legs[1]) continue;
    const std::vector<std::int32_t> around = stations_around(scene, middle, kOwnCurb);
    const std::set<std::int32_t> own_curb(around.begin(), around.end());
    const auto corner = static_cast<std::int32_t>(places.middles.size());
    places.middles.push_back(scene.station(middle).at);
    for (const int k : {0, 1}) {
      const Leg& own = *legs[k];
      const Leg& other = *legs[1 - k];
      CornerFork fork;
      fork.corner = corner;
      fork.end = own.at(own.end);
      fork.look = own.past_end(kUpGutter);
      fork.beyond = other.past_end(kPast);
      fork.other_look = other.past_end(kUpGutter);
      const Sill across = way_across(scene, own_curb, fork);
      const Sill round = way_round(scene, own, other, fork);
      if (!across.found || !round.found) continue;
      fork.difference_m = across.level_m - round.level_m;
      const double apart = base::distance_m(across.at, round.at);
      const double alike =
          scene.settings.error_range_m > 0.0 ? std::exp(-apart / scene.settings.error_range_m) : 0.0;
      fork.doubt_m = 2.0 * scene.settings.elevation_error_m * std::sqrt(2.0 * (1.0 - alike));
      places.forks.push_back(std::move(fork));
    }
  }
  return places;
}

}  // namespace curbshed::street::detail
