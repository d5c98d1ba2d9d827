#include "street/flow_lines.hpp"

#include "curbshed/base/error.hpp"

#include "street/snapping.hpp"

#include <algorithm>
#include <limits>

#include <fmt/format.h>

namespace curbshed::street::detail {

namespace {

constexpr double kCornerReach = 20.0;  // m from a corner point to the middle of its corner
constexpr double kCornerDepth = 0.10;  // m, as the usual lowering of a gutter
constexpr double kFallACell = 0.0005;  // m: no flats along a line that is cut in

/// Cells of the line in its order, on pavement where that is given.
std::vector<std::int64_t> cells_of(const Scene& scene, const base::Polyline& line) {
  std::vector<std::int64_t> cells;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    for (const std::int64_t cell : cells_touched(scene.frame(), line[i], line[i + 1])) {
      const bool paved = scene.pavement.empty() || scene.pavement[cell] != 0;
      const bool seen = std::find(cells.begin(), cells.end(), cell) != cells.end();
      if (scene.known(cell) && paved && !seen) cells.push_back(cell);
    }
  }
  return cells;
}

base::Polyline to_gutters(const Scene& scene, base::Polyline line) {
  const auto gutter_near = [&](base::Point p) {
    const std::int32_t station = scene.stations.nearest(p, scene.settings.snap_m);
    return station < 0 ? p : scene.frame().centre(scene.station(station).gutter_cell);
  };
  line.insert(line.begin(), gutter_near(line.front()));
  line.push_back(gutter_near(line.back()));
  return line;
}

void require_on_ground(const Scene& scene, const FlowLine& line) {
  if (line.line.size() < 2) {
    throw base::InputError(where_of(line.source, line.id), fmt::format("flow line {} has no length", line.id),
                           "lines of two points or more", "draw it, or take it out");
  }
  for (const base::Point& p : line.line) {
    if (scene.known(scene.frame().cell_at(p))) continue;
    throw base::InputError(
        where_of(line.source, line.id),
        fmt::format("flow line {} leaves the elevation model, or lies where it has no height", line.id),
        "lines on ground of known height", "shorten the line, or give an elevation model that covers it");
  }
}

}  // namespace

void carve(const std::vector<std::int64_t>& cells, double depth_m, terrain::Ground& low) {
  double last = std::numeric_limits<double>::infinity();
  for (const std::int64_t cell : cells) {
    last = std::min(last - kFallACell, static_cast<double>(low.height_m[cell]) - depth_m);
    low.height_m[cell] = static_cast<float>(last);
  }
}

void cut_flow_lines(const Scene& scene, const std::vector<FlowLine>& lines, terrain::Ground& low) {
  for (const FlowLine& line : lines) {
    require_on_ground(scene, line);
  }
  // Humps last, so that a valley does not cut through one; else the order of the lines does not matter where
  // they do not cross.
  for (const FlowLine& line : lines) {
    if (!line.hump) carve(cells_of(scene, to_gutters(scene, line.line)), line.height_m, low);
  }
  for (const FlowLine& line : lines) {
    if (!line.hump) continue;
    for (const std::int64_t cell : cells_of(scene, line.line)) {
      const auto top = static_cast<float>(static_cast<double>(scene.ground.height_m[cell]) + line.height_m);
      low.height_m[cell] = std::max(low.height_m[cell], top);
    }
  }
}

std::vector<std::int32_t> corners_of_points(const CornerPlaces& places,
                                            const std::vector<CornerPoint>& points) {
  std::vector<std::int32_t> corners;
  for (const CornerPoint& point : points) {
    std::int32_t best = -1;
    double away = std::numeric_limits<double>::infinity();
    for (std::size_t c = 0; c < places.middles.size(); ++c) {
      const double d = base::distance_m(places.middles[c], point.at);
      if (d < away) {
        away = d;
        best = static_cast<std::int32_t>(c);
      }
    }
    const base::Where where = where_of(point.source, point.id);
    if (best < 0 || away > kCornerReach) {
      throw base::InputError(
          where,
          best < 0 ? fmt::format("corner point {}: no curb turns round a corner here", point.id)
                   : fmt::format("corner point {} is {:.1f} m from the nearest corner", point.id, away),
          fmt::format("a corner of the curb within {:.0f} m", kCornerReach),
          "move the point to its corner, or check that the curb lines meet there");
    }
    const auto twin = std::find(corners.begin(), corners.end(), best);
    if (twin != corners.end()) {
      throw base::InputError(where,
                             fmt::format("corner point {} stands at the same corner as {}", point.id,
                                         points[static_cast<std::size_t>(twin - corners.begin())].id),
                             "one point a corner", "take one of the two out");
    }
    corners.push_back(best);
  }
  return corners;
}

bool falls_to_corner(const Scene& scene, const CornerFork& fork) {
  return scene.station(fork.look).gutter_level_m > scene.station(fork.end).gutter_level_m;
}

void cut_corner_points(const Scene& scene, const CornerPlaces& places, const std::vector<CornerPoint>& points,
                       const std::vector<std::int32_t>& corners, terrain::Ground& low) {
  for (std::size_t i = 0; i < points.size(); ++i) {
    for (const CornerFork& fork : places.forks) {
      if (fork.corner != corners[i] || !falls_to_corner(scene, fork)) continue;
      if (points[i].turns > 0.0) carve(fork.turn, kCornerDepth, low);
      if (points[i].turns < 1.0) carve(fork.cross, kCornerDepth, low);
    }
  }
}

}  // namespace curbshed::street::detail
