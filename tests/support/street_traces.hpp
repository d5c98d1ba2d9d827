// Follows water down the streets of a real or drawn world and measures how it keeps to the edges.
#pragma once

#include "curbshed/terrain/curbs.hpp"
#include "curbshed/terrain/directions.hpp"
#include "curbshed/terrain/levels.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

namespace curbshed::testing {

/// Distance of each cell's centre to the nearest of the lines, infinite beyond `reach_m`.
inline terrain::Grid<double> distance_to_lines(const terrain::GridFrame& frame,
                                               const std::vector<base::Polyline>& lines, double reach_m) {
  terrain::Grid<double> distance(frame.rows, frame.cols, std::numeric_limits<double>::infinity());
  for (const base::Polyline& line : lines) {
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
      const base::Polyline segment{line[i], line[i + 1]};
      base::Box box;
      box.add(line[i]);
      box.add(line[i + 1]);
      const std::int64_t first_row = std::max<std::int64_t>(0, frame.row_of(box.max_y_m + reach_m));
      const std::int64_t last_row = std::min(frame.rows - 1, frame.row_of(box.min_y_m - reach_m));
      const std::int64_t first_col = std::max<std::int64_t>(0, frame.col_of(box.min_x_m - reach_m));
      const std::int64_t last_col = std::min(frame.cols - 1, frame.col_of(box.max_x_m + reach_m));
      for (std::int64_t r = first_row; r <= last_row; ++r) {
        for (std::int64_t c = first_col; c <= last_col; ++c) {
          const double off = base::nearest_place(segment, frame.centre(r, c)).offset_m;
          if (off <= reach_m) distance.at(r, c) = std::min(distance.at(r, c), off);
        }
      }
    }
  }
  return distance;
}

/// 1 where a cell's centre lies in one of the polygons.
inline terrain::Grid<std::uint8_t> cells_inside(const terrain::GridFrame& frame,
                                                const std::vector<base::Polygon>& polygons) {
  terrain::Grid<std::uint8_t> inside(frame.rows, frame.cols, 0);
  for (const base::Polygon& polygon : polygons) {
    base::Box box;
    for (const base::Polyline& ring : polygon.rings) {
      for (const base::Point& p : ring) box.add(p);
    }
    for (std::int64_t r = std::max<std::int64_t>(0, frame.row_of(box.max_y_m));
         r <= std::min(frame.rows - 1, frame.row_of(box.min_y_m)); ++r) {
      for (std::int64_t c = std::max<std::int64_t>(0, frame.col_of(box.min_x_m));
           c <= std::min(frame.cols - 1, frame.col_of(box.max_x_m)); ++c) {
        if (base::contains(polygon, frame.centre(r, c))) inside.at(r, c) = 1;
      }
    }
  }
  return inside;
}

/// Depressions deep and wide enough to be kept.
struct KeptSags {
  terrain::Grid<std::uint8_t> drains;  ///< 1 in the deepest cell of each
  terrain::Grid<std::uint8_t> ponds;   ///< 1 where their water stands
  std::int64_t count = 0;
};
inline KeptSags kept_sags(const terrain::Ground& ground, const terrain::Walls& walls, double least_depth_m,
                          double least_area_m2) {
  const terrain::WorkPlan plan;
  const terrain::GridFrame& frame = ground.frame;
  KeptSags kept{terrain::Grid<std::uint8_t>(frame.rows, frame.cols, 0),
                terrain::Grid<std::uint8_t>(frame.rows, frame.cols, 0), 0};
  const terrain::Grid<float> levels = terrain::water_levels(ground, walls, {}, plan);
  const terrain::Depressions hollows = terrain::find_depressions(ground, levels);
  std::vector<std::uint8_t> keep;
  for (const terrain::Depression& d : hollows.list) {
    const double area_m2 = static_cast<double>(d.cells) * frame.cell_area_m2();
    keep.push_back(d.depth_m >= least_depth_m && area_m2 >= least_area_m2 ? 1 : 0);
    kept.count += keep.back();
    if (keep.back() != 0) kept.drains[d.deepest_cell] = 1;
  }
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    const std::int32_t label = hollows.label[cell];
    if (label >= 0) kept.ponds[cell] = keep[static_cast<std::size_t>(label)];
  }
  return kept;
}

struct EdgeTraces {
  std::int64_t traces = 0;
  double mean_length_m = 0.0;
  double share_at_edge = 0.0;  ///< of the metres after a trace first comes within `near_m` of an edge
};

/// Traces from every cell of `start` within `start_m` of an edge until the water leaves `pavement`, meets a
/// cell of `stop` or stops.
inline EdgeTraces trace_edges(const terrain::GridFrame& frame, const terrain::Grid<std::uint8_t>& directions,
                              const terrain::Grid<std::uint8_t>& start,
                              const terrain::Grid<std::uint8_t>& pavement,
                              const terrain::Grid<std::uint8_t>& stop, const terrain::Grid<double>& edge_m,
                              double start_m, double near_m) {
  EdgeTraces out;
  double all_m = 0.0;
  double after_m = 0.0;
  double at_edge_m = 0.0;
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    if (start[cell] == 0 || directions[cell] == terrain::kNoGround || !(edge_m[cell] <= start_m)) continue;
    ++out.traces;
    bool reached = edge_m[cell] <= near_m;
    std::int64_t at = cell;
    while (stop[at] == 0) {
      const std::int64_t next = terrain::next_cell(directions, at);
      if (next < 0 || pavement[next] == 0) break;
      const double step = terrain::step_m(directions[at], frame.cell_m);
      all_m += step;
      const bool near = edge_m[next] <= near_m;
      if (reached) {
        after_m += step;
        if (near) at_edge_m += step;
      }
      reached = reached || near;
      at = next;
    }
  }
  if (out.traces > 0) out.mean_length_m = all_m / static_cast<double>(out.traces);
  if (after_m > 0.0) out.share_at_edge = at_edge_m / after_m;
  return out;
}

}  // namespace curbshed::testing
