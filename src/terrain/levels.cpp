#include "curbshed/terrain/levels.hpp"

#include "terrain/basin_stripes.hpp"

#include <algorithm>
#include <limits>

namespace curbshed::terrain {

bool on_data_edge(const Ground& ground, std::int64_t row, std::int64_t col) {
  for (int k = 0; k < kBearings; ++k) {
    const std::int64_t r = row + kRowStep[k];
    const std::int64_t c = col + kColStep[k];
    if (!ground.frame.inside(r, c) || ground.valid.at(r, c) == 0) return true;
  }
  return false;
}

Grid<float> water_levels(const Ground& ground, const Walls& walls, const Grid<std::uint8_t>& drains,
                         const WorkPlan& plan) {
  check(ground, std::max(1, plan.threads));
  const GridFrame& frame = ground.frame;
  base::ensure(walls.bits.empty() || (walls.bits.rows() == frame.rows && walls.bits.cols() == frame.cols),
               "walls are as large as the ground");
  base::ensure(drains.empty() || (drains.rows() == frame.rows && drains.cols() == frame.cols),
               "drains are as large as the ground");
  // Each cell runs down to its pit over steps that no wall bars either way, so water in the pit reaches the
  // cell and back: level = the higher of the cell's height and the level at which its pit spills. A pit
  // spills over the steps between the labels, walled ones with their crest and one way. (Basins as a graph:
  // Cordonnier, Bovy & Braun 2019, Earth Surf. Dynam. 7:549-562.)
  return BasinStripes(ground, walls, drains, plan).levels();
}

Depressions find_depressions(const Ground& ground, const Grid<float>& levels) {
  const GridFrame& frame = ground.frame;
  const auto under_water = [&](std::int64_t cell) {
    return ground.valid[cell] != 0 && levels[cell] > ground.height_m[cell];
  };
  Depressions found;
  found.label = Grid<std::int32_t>(frame.rows, frame.cols, -1);
  std::vector<std::int64_t> reached;
  for (std::int64_t first = 0; first < frame.cells(); ++first) {
    if (found.label[first] >= 0 || !under_water(first)) continue;
    base::ensure(found.list.size() < static_cast<std::size_t>(std::numeric_limits<std::int32_t>::max()),
                 "32 bits number the depressions");
    Depression pond;
    pond.label = static_cast<std::int32_t>(found.list.size());
    pond.deepest_cell = first;
    pond.spill_level_m = levels[first];
    found.label[first] = pond.label;
    reached.assign(1, first);
    while (!reached.empty()) {
      const std::int64_t cell = reached.back();
      reached.pop_back();
      for (int k = 0; k < kBearings; ++k) {
        const std::int64_t r = cell / frame.cols + kRowStep[k];
        const std::int64_t c = cell % frame.cols + kColStep[k];
        if (!frame.inside(r, c)) continue;
        const std::int64_t next = frame.index(r, c);
        if (found.label[next] >= 0 || !under_water(next) || levels[next] != pond.spill_level_m) continue;
        found.label[next] = pond.label;
        reached.push_back(next);
      }
    }
    found.list.push_back(pond);
  }
  // In the order of cells, so that sums do not depend on how a pond was walked.
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    if (found.label[cell] < 0) continue;
    Depression& pond = found.list[static_cast<std::size_t>(found.label[cell])];
    const double depth_m = static_cast<double>(levels[cell]) - static_cast<double>(ground.height_m[cell]);
    ++pond.cells;
    pond.volume_m3 += depth_m * frame.cell_area_m2();
    if (depth_m > pond.depth_m) {
      pond.depth_m = depth_m;
      pond.deepest_cell = cell;
    }
  }
  return found;
}

}  // namespace curbshed::terrain
