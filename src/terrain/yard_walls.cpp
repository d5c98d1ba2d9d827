#include "curbshed/terrain/yard_walls.hpp"

#include "curbshed/base/error.hpp"

#include "terrain/curb_crossings.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace curbshed::terrain {
namespace {

using detail::Crossing;
using detail::RunningCurb;

/// The line in metres from the frame's corner, without repeated points; closed where its ends meet.
std::optional<RunningCurb> running(const GridFrame& frame, const base::Polyline& line) {
  RunningCurb out;
  double along_m = 0.0;
  for (const base::Point& p : line) {
    if (!std::isfinite(p.x_m) || !std::isfinite(p.y_m)) {
      return std::nullopt;
    }
    const base::Point local{p.x_m - frame.west_m, p.y_m - frame.north_m};
    if (!out.walk.empty()) {
      const double step_m = base::distance_m(out.walk.back(), local);
      if (!(step_m > 0.0)) {
        continue;
      }
      along_m += step_m;
    }
    out.walk.push_back(local);
    out.walk_along_m.push_back(along_m);
  }
  if (out.walk.size() < 2) {
    return std::nullopt;
  }
  using detail::operator-;
  if (base::distance_m(out.walk.front(), out.walk.back()) == 0.0) {
    out.joined_direction = {detail::unit(out.walk.back() - out.walk[out.walk.size() - 2]),
                            detail::unit(out.walk[1] - out.walk[0])};
  }
  return out;
}

}  // namespace

Walls with_yard_walls(const Ground& ground, const Grid<std::uint8_t>& street, const Walls& walls,
                      const std::vector<YardWall>& yard_walls, double default_height_m) {
  const GridFrame& frame = ground.frame;
  base::ensure(street.empty() || street.cells() == frame.cells(), "street is as large as the ground");
  std::vector<RunningCurb> lines;
  std::vector<double> heights_m;
  for (const YardWall& wall : yard_walls) {
    if (std::optional<RunningCurb> line = running(frame, wall.line)) {
      lines.push_back(std::move(*line));
      heights_m.push_back(wall.height_m.value_or(default_height_m));
    }
  }
  std::vector<Crest> crests = walls.crests();
  for (const Crossing& c : detail::find_crossings(frame, lines)) {
    if (ground.valid[c.street_cell] == 0 || ground.valid[c.lot_cell] == 0 ||
        (!street.empty() && street[c.street_cell] != 0 && street[c.lot_cell] != 0)) {
      continue;
    }
    const float top_m = std::max(ground.height_m[c.street_cell], ground.height_m[c.lot_cell]) +
                        static_cast<float>(heights_m[static_cast<std::size_t>(c.running)]);
    crests.push_back({c.street_cell, c.bearing, top_m});
    crests.push_back({c.lot_cell, static_cast<std::uint8_t>(opposite(c.bearing)), top_m});
  }
  // make_walls keeps the lowest of a step: of several walls the highest counts.
  std::sort(crests.begin(), crests.end(), [](const Crest& a, const Crest& b) {
    return std::tie(a.cell, a.bearing, b.height_m) < std::tie(b.cell, b.bearing, a.height_m);
  });
  crests.erase(
      std::unique(crests.begin(), crests.end(),
                  [](const Crest& a, const Crest& b) { return a.cell == b.cell && a.bearing == b.bearing; }),
      crests.end());
  return make_walls(frame.rows, frame.cols, std::move(crests));
}

}  // namespace curbshed::terrain
