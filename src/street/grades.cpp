#include "street/grades.hpp"

#include "curbshed/terrain/ways.hpp"

#include "street/fits.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace curbshed::street::detail {

namespace {

constexpr double kCornerLook = 4.0;                   // m over which a turn of the curb counts as a corner
constexpr double kCornerCosine = 0.8660254037844386;  // cos 30°
constexpr double kFitWidth = 3.0;                     // m from the curb face
constexpr double kLeastCrossSlope = 0.003;            // below this a triangular gutter section has no meaning
constexpr std::size_t kMostPlanePoints = 400;
constexpr std::size_t kLeastPoints = 3;

double dot(base::Point a, base::Point b) { return a.x_m * b.x_m + a.y_m * b.y_m; }

struct ProfilePlace {
  std::int32_t station = -1;
  double s_m = 0.0;  ///< from the node, rising forward along its curb (or down the flow path)
  double z_m = 0.0;
};

struct Surroundings {
  const Scene& scene;
  UnloweredWays& ways;
  const terrain::Depressions& hollows;
  const std::vector<std::uint8_t>& kept;
  std::set<std::int64_t> inlet_cells;

  bool in_pond(std::int64_t cell) const {
    const std::int32_t label = hollows.label[cell];
    return label >= 0 && kept[static_cast<std::size_t>(label)] != 0;
  }
};

/// Stations on one side of the node up to the first corner, inlet or sag.
std::vector<WalkStep> clear_run(const Surroundings& around, std::int32_t station, bool forward,
                                double limit_m) {
  const Scene& scene = around.scene;
  std::vector<WalkStep> run = scene.walk.walk(station, forward, limit_m);
  std::vector<WalkStep> with_start = {{station, 0.0}};
  with_start.insert(with_start.end(), run.begin(), run.end());
  const bool starts_in_pond = around.in_pond(scene.station(station).gutter_cell);
  std::size_t end = with_start.size();
  std::size_t behind = 0;  // the station kCornerLook back
  for (std::size_t i = 1; i < with_start.size(); ++i) {
    const terrain::CurbStation& s = scene.station(with_start[i].station);
    while (with_start[i].s_m - with_start[behind].s_m > kCornerLook) ++behind;
    const bool corner = dot(s.to_street, scene.station(with_start[behind].station).to_street) < kCornerCosine;
    if (corner) {
      end = behind + 1;
      break;
    }
    const bool inlet =
        s.gutter_cell != scene.station(station).gutter_cell && around.inlet_cells.count(s.gutter_cell) != 0;
    const bool broken = with_start[i].s_m - with_start[i - 1].s_m > 3.0 * scene.cell_m();
    if (s.gutter_cell < 0 || !scene.known(s.gutter_cell) || inlet || broken ||
        (!starts_in_pond && around.in_pond(s.gutter_cell))) {
      end = i;
      break;
    }
  }
  return {with_start.begin() + 1,
          with_start.begin() + static_cast<std::ptrdiff_t>(std::max<std::size_t>(end, 1))};
}

/// Half the window to each side; what one side lacks the other may add.
std::pair<double, double> window_sides(double window_m, double have_back_m, double have_ahead_m) {
  const double half = 0.5 * window_m;
  const double back = std::min(have_back_m, window_m - std::min(half, have_ahead_m));
  return {back, std::min(have_ahead_m, window_m - std::min(half, have_back_m))};
}

std::vector<ProfilePlace> gutter_profile(const Surroundings& around, std::int32_t station, double window_m) {
  const Scene& scene = around.scene;
  const std::vector<WalkStep> back = clear_run(around, station, false, window_m);
  const std::vector<WalkStep> ahead = clear_run(around, station, true, window_m);
  const auto sides =
      window_sides(window_m, back.empty() ? 0.0 : back.back().s_m, ahead.empty() ? 0.0 : ahead.back().s_m);
  std::vector<ProfilePlace> profile;
  const auto add = [&](std::int32_t i, double s_m) {
    profile.push_back({i, s_m, static_cast<double>(scene.station(i).gutter_level_m)});
  };
  for (std::size_t i = back.size(); i-- > 0;) {
    if (back[i].s_m <= sides.first) add(back[i].station, -back[i].s_m);
  }
  add(station, 0.0);
  for (const WalkStep& step : ahead) {
    if (step.s_m <= sides.second) add(step.station, step.s_m);
  }
  return profile;
}

std::int64_t largest_above(const Surroundings& around, std::int64_t cell) {
  const terrain::GridFrame& f = around.scene.frame();
  std::int64_t best = kNowhere;
  for (int bearing = 0; bearing < terrain::kBearings; ++bearing) {
    const std::int64_t r = cell / f.cols + terrain::kRowStep[bearing];
    const std::int64_t c = cell % f.cols + terrain::kColStep[bearing];
    if (!f.inside(r, c) || around.ways.directions()[f.index(r, c)] != terrain::opposite(bearing)) continue;
    if (best < 0 || around.ways.arriving()[f.index(r, c)] > around.ways.arriving()[best])
      best = f.index(r, c);
  }
  return best;
}

/// Where there is no curb: ground along the flow path, up by the branch that most water comes from.
std::vector<ProfilePlace> path_profile(const Surroundings& around, std::int64_t cell, double window_m) {
  const Scene& scene = around.scene;
  std::vector<ProfilePlace> profile;
  double s = 0.0;
  for (std::int64_t at = cell; at >= 0 && s >= -0.5 * window_m;) {
    profile.push_back({-1, s, static_cast<double>(scene.ground.height_m[at])});
    const std::int64_t above = largest_above(around, at);
    if (above < 0 || around.in_pond(above) || around.inlet_cells.count(above) != 0) break;
    s -= terrain::step_m(around.ways.directions()[above], scene.cell_m());
    at = above;
  }
  std::reverse(profile.begin(), profile.end());
  s = 0.0;
  for (std::int64_t at = cell;;) {
    const std::int64_t below = terrain::next_cell(around.ways.directions(), at);
    if (below < 0 || around.in_pond(below) || around.inlet_cells.count(below) != 0) break;
    s += terrain::step_m(around.ways.directions()[at], scene.cell_m());
    if (s > 0.5 * window_m) break;
    profile.push_back({-1, s, static_cast<double>(scene.ground.height_m[below])});
    at = below;
  }
  return profile;
}

struct Fit {
  double value = 0.0;
  double error = 0.0;
  bool found = false;
};

Fit fit_grade(const Surroundings& around, std::int32_t station, std::int64_t cell) {
  const NetworkSettings& set = around.scene.settings;
  const std::vector<ProfilePlace> profile = station >= 0 ? gutter_profile(around, station, set.grade_window_m)
                                                         : path_profile(around, cell, set.grade_window_m);
  Fit fit;
  if (profile.size() < kLeastPoints) return fit;
  std::vector<double> s;
  std::vector<double> z;
  for (const ProfilePlace& p : profile) {
    s.push_back(p.s_m);
    z.push_back(p.z_m);
  }
  // Water runs down whichever way the gutter falls; where the fall is not clear the grade is "flat or
  // unknown" anyhow.
  fit.value = std::fabs(theil_sen_slope(s, z));
  fit.error = kMedianOverLeastSquares * slope_error(s, set.elevation_error_m, set.error_range_m);
  fit.found = std::isfinite(fit.error);
  return fit;
}

/// From the curb to the crown at most; `past_crown`: to kFitWidth whatever lies between.
Fit fit_cross_slope(const Surroundings& around, std::int32_t station, const std::vector<Crown>& crowns,
                    bool past_crown) {
  const Scene& scene = around.scene;
  const double cell_m = scene.cell_m();
  std::map<std::int64_t, PlanePoint> cells;
  for (const ProfilePlace& p : gutter_profile(around, station, scene.settings.cross_slope_window_m)) {
    const terrain::CurbStation& s = scene.station(p.station);
    const double far =
        past_crown ? kFitWidth : std::min(kFitWidth, crowns[static_cast<std::size_t>(p.station)].away_m);
    for (const AcrossPlace& place : profile_across(scene, p.station).places) {
      const base::Point c = scene.frame().centre(place.cell);
      const base::Point off{c.x_m - s.at.x_m, c.y_m - s.at.y_m};
      const double d = dot(off, s.to_street);
      if (d < cell_m || d > far) continue;
      // The walk's own sense of "forward" may turn at a joined line; the step along the curb is at most half
      // a cell.
      cells.emplace(place.cell, PlanePoint{p.s_m, d, static_cast<double>(scene.ground.height_m[place.cell])});
    }
  }
  std::vector<PlanePoint> points;
  const std::size_t stride = cells.size() / kMostPlanePoints + 1;
  std::size_t i = 0;
  for (const auto& entry : cells) {
    if (i++ % stride == 0) points.push_back(entry.second);
  }
  const PlaneFit plane = robust_plane(points, scene.settings.elevation_error_m, scene.settings.error_range_m);
  return {plane.slope_d, plane.slope_d_error, plane.found};
}

void fit_node(const Surroundings& around, const std::vector<Crown>& crowns, std::size_t n, Draft& draft) {
  const Scene& scene = around.scene;
  Network& net = draft.net;
  net.cross_slope[n] = scene.settings.default_cross_slope;
  if (net.kind[n] == NodeKind::DataEdge || net.kind[n] == NodeKind::Sag) return;
  const bool ponded = net.in_sag[n] >= 0;
  static const Site no_site;  // of a shared corner
  const Site& site = net.site[n] < 0 ? no_site : scene.sites[static_cast<std::size_t>(net.site[n])];
  if (site.grade) {
    net.grade[n] = *site.grade;
    net.grade_from[n] = ValueFrom::Measured;
  } else if (!ponded) {
    const Fit grade = fit_grade(around, draft.station[n], draft.cell[n]);
    net.grade[n] = grade.value;
    net.grade_error[n] = grade.found ? grade.error : scene.settings.elevation_error_m / scene.cell_m();
  }
  if (site.cross_slope) {
    net.cross_slope[n] = *site.cross_slope;
    net.cross_slope_from[n] = ValueFrom::Measured;
    return;
  }
  const bool at_curb = draft.station[n] >= 0;
  const Fit across = at_curb ? fit_cross_slope(around, draft.station[n], crowns, false) : Fit{};
  // Where the pavement falls away from the curb its crown is the curb itself.
  const Fit fall =
      across.found || !at_curb ? across : fit_cross_slope(around, draft.station[n], crowns, true);
  if (fall.found) net.cross_fall[n] = CrossFall{fall.value, fall.error};
  if (across.found && across.value >= kLeastCrossSlope) {
    net.cross_slope[n] = across.value;
    net.cross_slope_error[n] = across.error;
    net.cross_slope_from[n] = ValueFrom::Fitted;
  }
}

}  // namespace

void fit_grades(const Scene& scene, UnloweredWays& ways, const terrain::Depressions& hollows,
                const std::vector<std::uint8_t>& kept, const std::vector<Crown>& crowns,
                base::Workers workers, Draft& draft) {
  const Network& net = draft.net;
  Surroundings around{scene, ways, hollows, kept, {}};
  bool off_curb = false;
  for (std::size_t n = 0; n < net.size(); ++n) {
    if (net.kind[n] == NodeKind::Inlet) around.inlet_cells.insert(draft.cell[n]);
    const bool site = net.kind[n] != NodeKind::DataEdge && net.kind[n] != NodeKind::Sag;
    off_curb = off_curb || (site && draft.station[n] < 0);
  }
  if (off_curb) {  // worked out here, once, and not by the threads
    ways.directions();
    ways.arriving();
  }
  constexpr std::int64_t kStripes = 64;
  base::parallel_stripes(static_cast<std::int64_t>(net.size()), kStripes, workers,
                         [&](std::int64_t begin, std::int64_t end) {
                           for (std::int64_t n = begin; n < end; ++n) {
                             fit_node(around, crowns, static_cast<std::size_t>(n), draft);
                           }
                         });
}

}  // namespace curbshed::street::detail
