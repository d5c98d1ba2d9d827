#include "street/snapping.hpp"

#include "curbshed/base/error.hpp"

#include "street/place_naming.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

namespace curbshed::street::detail {

namespace {

const char* word(SiteKind kind) {
  switch (kind) {
    case SiteKind::Cut:
      return "cut";
    case SiteKind::Inlet:
      return "inlet";
    case SiteKind::Basin:
      return "existing basin";
    case SiteKind::Outfall:
      break;
  }
  return "outfall";
}

/// Its id, or where it is: "at 431222.0, 3702120.3".
std::string called(const Site& site) {
  return site.id.empty() ? fmt::format("at {:.1f}, {:.1f}", site.at.x_m, site.at.y_m) : site.id;
}

[[noreturn]] void refuse(const Site& site, const std::string& what, const std::string& allowed,
                         const std::string& next) {
  throw base::InputError(where_of(site.source, called(site)),
                         fmt::format("{} {} {}", word(site.kind), called(site), what), allowed, next);
}

/// Parameters in [0, 1] at which a segment crosses lines of the grid along one axis, ascending.
std::vector<double> crossings(double from, double to) {
  std::vector<double> at;
  const double low = std::min(from, to);
  const double high = std::max(from, to);
  for (double line = std::ceil(low); line <= high; line += 1.0) {
    if (high > low) at.push_back((line - from) / (to - from));
  }
  if (to < from) std::reverse(at.begin(), at.end());
  return at;
}

/// True when a wall stands between two neighbouring cells, whichever way it looks.
bool wall_between(const Scene& scene, std::int64_t a, std::int64_t b) {
  const terrain::GridFrame& f = scene.frame();
  for (int bearing = 0; bearing < terrain::kBearings; ++bearing) {
    const std::int64_t r = a / f.cols + terrain::kRowStep[bearing];
    const std::int64_t c = a % f.cols + terrain::kColStep[bearing];
    if (f.inside(r, c) && f.index(r, c) == b) {
      return scene.field.walls.walled(a, bearing) || scene.field.walls.walled(b, terrain::opposite(bearing));
    }
  }
  return false;
}

/// The cell, with its known neighbours that no wall parts from it.
std::vector<std::int64_t> cell_and_neighbours(const Scene& scene, std::int64_t cell) {
  std::vector<std::int64_t> cells = {cell};
  const terrain::GridFrame& f = scene.frame();
  for (int bearing = 0; bearing < terrain::kBearings; ++bearing) {
    const std::int64_t r = cell / f.cols + terrain::kRowStep[bearing];
    const std::int64_t c = cell % f.cols + terrain::kColStep[bearing];
    if (f.inside(r, c) && scene.known(f.index(r, c)) && !wall_between(scene, cell, f.index(r, c))) {
      cells.push_back(f.index(r, c));
    }
  }
  return cells;
}

Place at_station(const Scene& scene, std::int32_t site, std::int32_t station) {
  Place place;
  place.site = site;
  place.station = station;
  place.cell = scene.station(station).gutter_cell;
  place.at = scene.station(station).at;
  place.moved_m = base::distance_m(scene.sites[static_cast<std::size_t>(site)].at, place.at);
  place.cells = transect(scene, station);
  return place;
}

Place at_cell(const Scene& scene, std::int32_t site, std::int64_t cell) {
  Place place;
  place.site = site;
  place.cell = cell;
  place.at = scene.frame().centre(cell);
  place.moved_m = base::distance_m(scene.sites[static_cast<std::size_t>(site)].at, place.at);
  place.cells = cell_and_neighbours(scene, cell);
  return place;
}

void require_ground(const Scene& scene, const Site& site) {
  const std::int64_t cell = scene.frame().cell_at(site.at);
  if (cell < 0) {
    refuse(site,
           fmt::format("stands at {:.1f}, {:.1f}, outside the elevation model", site.at.x_m, site.at.y_m),
           fmt::format("x {:.1f} to {:.1f}, y {:.1f} to {:.1f}", scene.frame().west_m,
                       scene.frame().west_m + static_cast<double>(scene.frame().cols) * scene.cell_m(),
                       scene.frame().north_m - static_cast<double>(scene.frame().rows) * scene.cell_m(),
                       scene.frame().north_m),
           "move it, take it out, or give an elevation model that covers it");
  }
  if (!scene.known(cell)) {
    refuse(site,
           fmt::format("stands at {:.1f}, {:.1f} where the elevation model has no height", site.at.x_m,
                       site.at.y_m),
           "cells with a height", "move it, take it out, or fill the hole in the elevation model");
  }
}

Place place_cut(const Scene& scene, std::int32_t index) {
  const Site& site = scene.sites[static_cast<std::size_t>(index)];
  require_ground(scene, site);
  const double allowed = scene.settings.snap_m;
  const std::int32_t station = cut_station(scene, site.at, allowed);
  if (station >= 0) return at_station(scene, index, station);
  constexpr double kLook = 30.0;
  const double away = scene.stations.distance_m(site.at, std::max(kLook, 4.0 * allowed));
  const std::string what = std::isfinite(away)
                               ? fmt::format("stands {:.2f} m from the nearest gutter", away)
                               : fmt::format("has no gutter within {:.0f} m", std::max(kLook, 4.0 * allowed));
  refuse(site, what, fmt::format("up to {:.2f} m", allowed),
         "move it to its curb, add that curb to the curb layer, or allow a longer move");
}

Place place_outfall(const Scene& scene, std::int32_t index, UnloweredWays& ways) {
  const Site& site = scene.sites[static_cast<std::size_t>(index)];
  require_ground(scene, site);
  const double reach = scene.settings.snap_m;
  const std::int32_t station = scene.stations.nearest(site.at, reach);
  if (station >= 0) return at_station(scene, index, station);
  const terrain::Grid<std::int64_t>& count = ways.arriving();
  const terrain::GridFrame& f = scene.frame();
  std::int64_t best = f.cell_at(site.at);
  const auto steps = static_cast<std::int64_t>(std::floor(reach / f.cell_m));
  const std::int64_t row = best / f.cols;
  const std::int64_t col = best % f.cols;
  for (std::int64_t r = row - steps; r <= row + steps; ++r) {
    for (std::int64_t c = col - steps; c <= col + steps; ++c) {
      if (!f.inside(r, c) || !scene.known(f.index(r, c)) || base::distance_m(f.centre(r, c), site.at) > reach)
        continue;
      if (count[f.index(r, c)] > count[best]) best = f.index(r, c);
    }
  }
  return at_cell(scene, index, best);
}

/// Empty reason: placed.
std::string place_inlet(const Scene& scene, std::int32_t index, const std::set<std::int64_t>& taken,
                        Place& place) {
  const Site& site = scene.sites[static_cast<std::size_t>(index)];
  const std::int64_t cell = scene.frame().cell_at(site.at);
  if (cell < 0) return "outside the elevation model";
  const double reach = scene.settings.inlet_snap_m;
  const bool near = scene.stations.nearest(site.at, reach) >= 0;
  const std::int32_t station = scene.stations.nearest(
      site.at, reach, [&](std::int32_t s) { return taken.count(scene.station(s).gutter_cell) == 0; });
  if (station >= 0) {
    place = at_station(scene, index, station);
    return {};
  }
  if (near)
    return fmt::format("every gutter cell within {:.2f} m is taken by another cut, inlet or outfall", reach);
  if (!scene.known(cell)) return "the elevation model has no height there";
  if (scene.pavement.empty() || scene.pavement[cell] == 0) {
    return fmt::format("farther than {:.2f} m from any gutter and not on pavement", reach);
  }
  if (taken.count(cell) != 0) return "its cell is taken by another cut, inlet or outfall";
  place = at_cell(scene, index, cell);
  return {};
}

/// Sites of one kind in an order that the order of the inputs does not change.
std::vector<std::int32_t> in_order(const std::vector<Site>& sites, bool inlets) {
  std::vector<std::int32_t> order;
  for (std::size_t i = 0; i < sites.size(); ++i) {
    if ((sites[i].kind == SiteKind::Inlet) == inlets) order.push_back(static_cast<std::int32_t>(i));
  }
  std::sort(order.begin(), order.end(), [&](std::int32_t a, std::int32_t b) {
    const Site& sa = sites[static_cast<std::size_t>(a)];
    const Site& sb = sites[static_cast<std::size_t>(b)];
    if (sa.id != sb.id) return sa.id < sb.id;
    if (sa.kind != sb.kind) return sa.kind < sb.kind;
    return sa.at.x_m != sb.at.x_m ? sa.at.x_m < sb.at.x_m : sa.at.y_m < sb.at.y_m;
  });
  return order;
}

}  // namespace

base::Where where_of(const std::string& source, const std::string& id) {
  // The last ':' that is not part of a drive or address parts file and layer.
  const std::size_t colon = source.rfind(':');
  const bool parted =
      colon != std::string::npos && colon > 1 && source.find_first_of("/\\", colon) == std::string::npos;
  return {parted ? source.substr(0, colon) : source, parted ? source.substr(colon + 1) : std::string{}, id};
}

std::vector<std::int64_t> cells_touched(const terrain::GridFrame& frame, base::Point a, base::Point b) {
  const double ax = (a.x_m - frame.west_m) / frame.cell_m;
  const double ay = (frame.north_m - a.y_m) / frame.cell_m;
  const double bx = (b.x_m - frame.west_m) / frame.cell_m;
  const double by = (frame.north_m - b.y_m) / frame.cell_m;
  std::vector<double> cuts = crossings(ax, bx);
  const std::vector<double> rows = crossings(ay, by);
  cuts.insert(cuts.end(), rows.begin(), rows.end());
  cuts.push_back(0.0);
  cuts.push_back(1.0);
  std::sort(cuts.begin(), cuts.end());
  std::vector<std::int64_t> cells;
  const auto take = [&](double row, double col) {
    const auto r = static_cast<std::int64_t>(std::floor(row));
    const auto c = static_cast<std::int64_t>(std::floor(col));
    if (!frame.inside(r, c)) return;
    const std::int64_t cell = frame.index(r, c);
    if (std::find(cells.begin(), cells.end(), cell) == cells.end()) cells.push_back(cell);
  };
  constexpr double kCorner = 1e-6;  // cells; nearer than this to a corner is on it
  const bool slanted = std::fabs(ax - bx) > kCorner && std::fabs(ay - by) > kCorner;
  for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
    const double middle = 0.5 * (cuts[i] + cuts[i + 1]);
    take(ay + middle * (by - ay), ax + middle * (bx - ax));
    const double x = ax + cuts[i + 1] * (bx - ax);
    const double y = ay + cuts[i + 1] * (by - ay);
    if (slanted && std::fabs(x - std::round(x)) < kCorner && std::fabs(y - std::round(y)) < kCorner) {
      for (const double dy : {-0.5, 0.5}) {
        for (const double dx : {-0.5, 0.5}) take(std::round(y) + dy, std::round(x) + dx);
      }
    }
  }
  return cells;
}

std::vector<std::int64_t> transect(const Scene& scene, std::int32_t station) {
  const terrain::CurbStation& s = scene.station(station);
  const terrain::GridFrame& f = scene.frame();
  const double length = std::max(scene.settings.transect_m, 2.0 * f.cell_m);
  const base::Point end{s.at.x_m + length * s.to_street.x_m, s.at.y_m + length * s.to_street.y_m};
  std::vector<std::int64_t> cells = {s.gutter_cell};
  std::int64_t last = kNowhere;
  for (const std::int64_t cell : cells_touched(f, s.at, end)) {
    const base::Point c = f.centre(cell);
    const double into = (c.x_m - s.at.x_m) * s.to_street.x_m + (c.y_m - s.at.y_m) * s.to_street.y_m;
    if (cell != s.gutter_cell && !(into > 0.0)) continue;
    if (!scene.known(cell) || (last >= 0 && wall_between(scene, last, cell))) break;
    if (cell != s.gutter_cell && wall_between(scene, s.gutter_cell, cell)) continue;
    if (cell != s.gutter_cell) cells.push_back(cell);
    last = cell;
  }
  return cells;
}

Snapped snap_sites(const Scene& scene, UnloweredWays& ways) {
  Snapped out;
  std::set<std::int64_t> taken;
  for (const std::int32_t i : in_order(scene.sites, false)) {
    const Site& site = scene.sites[static_cast<std::size_t>(i)];
    Place place = site.kind == SiteKind::Outfall ? place_outfall(scene, i, ways) : place_cut(scene, i);
    if (!taken.insert(place.cell).second) {
      const auto other = std::find_if(out.places.begin(), out.places.end(),
                                      [&](const Place& p) { return p.cell == place.cell; });
      const Site& first = scene.sites[static_cast<std::size_t>(other->site)];
      refuse(site, fmt::format("stands in the same gutter cell as {} {}", word(first.kind), called(first)),
             fmt::format("one cut or outfall a gutter cell ({:.2f} m)", scene.cell_m()),
             "take one of the two out or move them apart");
    }
    out.places.push_back(std::move(place));
  }
  for (const std::int32_t i : in_order(scene.sites, true)) {
    Place place;
    const std::string reason = place_inlet(scene, i, taken, place);
    if (reason.empty()) {
      taken.insert(place.cell);
      out.places.push_back(std::move(place));
    } else {
      out.set_aside_inlets.push_back(called(scene.sites[static_cast<std::size_t>(i)]) + ": " + reason);
    }
  }
  return out;
}

}  // namespace curbshed::street::detail
