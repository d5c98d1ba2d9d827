#include "terrain/curb_crossings.hpp"

#include <tuple>

namespace curbshed::terrain::detail {

namespace {

constexpr double kOnLineCells = 1e-6;  ///< a centre this close lies on the curb …
constexpr double kNudgeCells = 1e-3;   ///< … and is taken to be this far inside the street

double orientation(base::Point a, base::Point b, base::Point p) { return cross(b - a, p - a); }

base::Point centre(const GridFrame& frame, std::int64_t row, std::int64_t col) {
  return {(static_cast<double>(col) + 0.5) * frame.cell_m, -(static_cast<double>(row) + 0.5) * frame.cell_m};
}

/// Where each cell is taken to be: its centre, or a little inside the street if a curb runs through the
/// centre. Every test uses the same place, so crossings of a cell's steps agree with one another.
class Places {
 public:
  Places(const GridFrame& frame, const std::vector<RunningCurb>& curbs) : frame_(frame) {
    for (const RunningCurb& curb : curbs) add(curb);
    std::stable_sort(moved_.begin(), moved_.end(),
                     [](const Moved& a, const Moved& b) { return a.cell < b.cell; });
    moved_.erase(std::unique(moved_.begin(), moved_.end(),
                             [](const Moved& a, const Moved& b) { return a.cell == b.cell; }),
                 moved_.end());
  }

  base::Point at(std::int64_t row, std::int64_t col) const {
    if (!moved_.empty()) {
      const std::int64_t cell = frame_.index(row, col);
      const auto found = std::lower_bound(moved_.begin(), moved_.end(), cell,
                                          [](const Moved& m, std::int64_t c) { return m.cell < c; });
      if (found != moved_.end() && found->cell == cell) return found->at;
    }
    return centre(frame_, row, col);
  }

 private:
  struct Moved {
    std::int64_t cell = 0;
    base::Point at;
  };

  void add(const RunningCurb& curb) {
    const base::Polyline& walk = curb.walk;
    const std::size_t segments = walk.size() - 1;
    const auto direction = [&](std::size_t i) { return unit(walk[i + 1] - walk[i]); };
    for (std::size_t i = 0; i < segments; ++i) {
      const base::Point here = direction(i);
      const base::Point before = i > 0 ? direction(i - 1) : curb.joined_direction[0];
      const base::Point after = i + 1 < segments ? direction(i + 1) : curb.joined_direction[1];
      add_segment(walk[i], walk[i + 1], before, here, after);
    }
  }

  void add_segment(base::Point a, base::Point b, base::Point before, base::Point here, base::Point after) {
    const double tolerance = kOnLineCells * frame_.cell_m;
    for_cells_near(frame_, a, b, tolerance, [&](std::int64_t row, std::int64_t col) {
      const base::Point p = centre(frame_, row, col);
      const double along = dot(p - a, here);
      const double length = norm(b - a);
      if (std::abs(cross(here, p - a)) > tolerance || along < -tolerance || along > length + tolerance)
        return;
      base::Point into = left_of(here);
      if (along <= tolerance) into = into + left_of(before);
      if (along >= length - tolerance) into = into + left_of(after);
      if (norm(into) < 1e-3) into = left_of(here);
      moved_.push_back({frame_.index(row, col), p + (kNudgeCells * frame_.cell_m) * unit(into)});
    });
  }

  const GridFrame& frame_;
  std::vector<Moved> moved_;
};

void cross_segment(const GridFrame& frame, const Places& places, std::int32_t running, base::Point a,
                   base::Point b, double along_a_m, std::vector<Crossing>& out) {
  // Each pair of neighbours once: from the cell that comes first toward E, SE, S, SW.
  const double length = norm(b - a);
  for_cells_near(frame, a, b, (1.0 + 2.0 * kNudgeCells) * frame.cell_m,
                 [&](std::int64_t row, std::int64_t col) {
                   const base::Point p = places.at(row, col);
                   const bool p_left = orientation(a, b, p) >= 0.0;
                   for (int bearing = 2; bearing <= 5; ++bearing) {
                     const std::int64_t other_row = row + kRowStep[bearing];
                     const std::int64_t other_col = col + kColStep[bearing];
                     if (!frame.inside(other_row, other_col)) continue;
                     const base::Point q = places.at(other_row, other_col);
                     if (p_left == (orientation(a, b, q) >= 0.0)) continue;
                     // Half open: a vertex on the step belongs to exactly one of its two segments.
                     const double side_a = orientation(p, q, a);
                     const double side_b = orientation(p, q, b);
                     if ((side_a >= 0.0) == (side_b >= 0.0)) continue;
                     const std::int64_t first = frame.index(row, col);
                     const std::int64_t second = frame.index(other_row, other_col);
                     out.push_back({running, along_a_m + length * side_a / (side_a - side_b),
                                    p_left ? first : second, p_left ? second : first,
                                    static_cast<std::uint8_t>(p_left ? bearing : opposite(bearing))});
                   }
                 });
}

}  // namespace

std::vector<Crossing> find_crossings(const GridFrame& frame, const std::vector<RunningCurb>& curbs) {
  const Places places(frame, curbs);
  std::vector<Crossing> crossings;
  for (std::size_t k = 0; k < curbs.size(); ++k) {
    const RunningCurb& curb = curbs[k];
    for (std::size_t i = 0; i + 1 < curb.walk.size(); ++i) {
      cross_segment(frame, places, static_cast<std::int32_t>(k), curb.walk[i], curb.walk[i + 1],
                    curb.walk_along_m[i], crossings);
    }
  }
  std::sort(crossings.begin(), crossings.end(), [](const Crossing& a, const Crossing& b) {
    return std::tie(a.running, a.along_m, a.street_cell, a.bearing) <
           std::tie(b.running, b.along_m, b.street_cell, b.bearing);
  });
  return crossings;
}

}  // namespace curbshed::terrain::detail
