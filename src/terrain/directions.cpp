#include "curbshed/terrain/directions.hpp"

#include "terrain/flats.hpp"
#include "terrain/tiles.hpp"

#include <algorithm>
#include <limits>

namespace curbshed::terrain {

namespace {

enum class Choice : std::uint8_t { Facets, SteepestNeighbour };

constexpr double kShut = -std::numeric_limits<double>::infinity();  ///< drop of a step that is not permitted

/// frac(k · golden ratio) < share, for 0 < share < 1. The multiples of the golden ratio are spread more
/// evenly over [0, 1) than those of any other number, so every run of steps takes its share of diagonals.
bool takes_diagonal(std::int64_t k, double share) {
  constexpr std::uint64_t kGolden = 0x9E3779B97F4A7C15U;  // (golden ratio − 1) · 2^64
  constexpr double kTwo64 = 18446744073709551616.0;
  return static_cast<std::uint64_t>(k) * kGolden < static_cast<std::uint64_t>(share * kTwo64);
}

/// The steepest offer; ties go to the lowest bearing. Slopes are squared and times the cell size.
struct Steepest {
  double slope2 = 0.0;
  int bearing = kStops;
  void offer(double slope2_here, int toward) {
    if (slope2_here > slope2 || (slope2_here == slope2 && toward < bearing)) {
      slope2 = slope2_here;
      bearing = toward;
    }
  }
};

/// Direction by fall alone; kStops where no permitted neighbour is lower.
template <Choice kChoice>
std::uint8_t falling(const double (&drop)[kBearings], std::int64_t row, std::int64_t col) {
  double slope2[kBearings];
  double steepest = 0.0;
  for (int k = 0; k < kBearings; ++k) {
    const double fall = std::max(drop[k], 0.0);
    slope2[k] = k % 2 == 0 ? fall * fall : 0.5 * (fall * fall);
    steepest = std::max(steepest, slope2[k]);
  }
  if (steepest == 0.0) return kStops;
  Steepest best{steepest, 0};
  while (slope2[best.bearing] != steepest) ++best.bearing;
  if (kChoice == Choice::SteepestNeighbour) return static_cast<std::uint8_t>(best.bearing);
  for (int diagonal = 1; diagonal < kBearings; diagonal += 2) {
    // With s1 + s2 the drop to the diagonal, s1² + s2² is at most its square: most facets are out before they
    // are looked at.
    if (2.0 * slope2[diagonal] < steepest) continue;
    for (const int straight : {diagonal - 1, (diagonal + 1) % kBearings}) {
      const double s1 = drop[straight];
      const double s2 = drop[diagonal] - s1;
      if (!(s2 > 0.0 && s2 < s1)) continue;
      const double facet2 = s1 * s1 + s2 * s2;
      if (facet2 < best.slope2) continue;
      const std::int64_t k = kColStep[straight] != 0 ? col : row;
      best.offer(facet2, takes_diagonal(k, s2 / s1) ? diagonal : straight);
    }
  }
  return static_cast<std::uint8_t>(best.bearing);
}

/// Whether each cell of a row has all neighbours valid and no walls of its own, so that nothing needs a
/// second look.
void find_plain_cells(const Surface& s, const Tile& tile, std::int64_t row,
                      std::vector<std::uint8_t>& plain) {
  const std::int64_t cols = s.frame().cols;
  std::fill(plain.begin(), plain.end(), std::uint8_t{0});
  if (row == 0 || row == s.frame().rows - 1) return;
  const std::uint8_t* valid = s.ground.valid.data() + row * cols;
  const std::uint8_t* bits = s.walls.bits.empty() ? nullptr : s.walls.bits.data() + row * cols;
  const auto column_valid = [&](std::int64_t c) { return valid[c - cols] & valid[c] & valid[c + cols]; };
  for (std::int64_t c = std::max<std::int64_t>(1, tile.col0); c < std::min(cols - 1, tile.col0 + tile.cols);
       ++c) {
    const bool clear = bits == nullptr || bits[c] == 0;
    const int all = column_valid(c - 1) & column_valid(c) & column_valid(c + 1);
    plain[static_cast<std::size_t>(c - tile.col0)] = clear && all != 0 ? 1 : 0;
  }
}

/// First pass over a tile: everything but the flats, whose cells it lists.
template <Choice kChoice>
void decide_by_fall(const Surface& s, const Tile& tile, Grid<std::uint8_t>& directions,
                    std::vector<std::int64_t>& undecided) {
  const std::int64_t cols = s.frame().cols;
  std::int64_t step[kBearings];
  for (int k = 0; k < kBearings; ++k) step[k] = kRowStep[k] * cols + kColStep[k];
  std::vector<std::uint8_t> plain(static_cast<std::size_t>(tile.cols));
  for (std::int64_t row = tile.row0; row < tile.row0 + tile.rows; ++row) {
    find_plain_cells(s, tile, row, plain);
    for (std::int64_t col = tile.col0; col < tile.col0 + tile.cols; ++col) {
      const std::int64_t cell = row * cols + col;
      if (s.ground.valid[cell] == 0) {
        directions[cell] = kNoGround;
        continue;
      }
      if (!s.drains.empty() && s.drains[cell] != 0) {
        directions[cell] = kStops;
        continue;
      }
      const double here = static_cast<double>(s.levels[cell]);
      double drop[kBearings];
      const bool is_plain = plain[static_cast<std::size_t>(col - tile.col0)] != 0;
      if (is_plain) {
        for (int k = 0; k < kBearings; ++k) drop[k] = here - static_cast<double>(s.levels[cell + step[k]]);
      } else {
        for (int k = 0; k < kBearings; ++k) {
          drop[k] = s.permitted(row, col, k) ? here - static_cast<double>(s.levels[cell + step[k]]) : kShut;
        }
      }
      std::uint8_t direction = falling<kChoice>(drop, row, col);
      if (direction == kStops && (is_plain || !on_data_edge(s.ground, row, col))) {
        direction = kUndecided;
        undecided.push_back(cell);
      }
      directions[cell] = direction;
    }
  }
}

template <Choice kChoice>
Grid<std::uint8_t> directions_of(const Ground& ground, const Grid<float>& levels, const Walls& walls,
                                 const Grid<std::uint8_t>& drains, const WorkPlan& plan) {
  const GridFrame& frame = ground.frame;
  base::ensure(levels.rows() == frame.rows && levels.cols() == frame.cols,
               "levels are as large as the ground");
  base::ensure(walls.bits.empty() || (walls.bits.rows() == frame.rows && walls.bits.cols() == frame.cols),
               "walls are as large as the ground");
  base::ensure(drains.empty() || (drains.rows() == frame.rows && drains.cols() == frame.cols),
               "drains are as large as the ground");
  const Surface s{ground, levels, walls, drains};
  const Tiling tiling(frame.rows, frame.cols, plan);
  Grid<std::uint8_t> directions(frame.rows, frame.cols, kNoGround);
  std::vector<std::vector<std::int64_t>> undecided(static_cast<std::size_t>(tiling.size()));
  tiling.each([&](std::int64_t i) {
    decide_by_fall<kChoice>(s, tiling.tile(i), directions, undecided[static_cast<std::size_t>(i)]);
  });
  const bool flats =
      std::any_of(undecided.begin(), undecided.end(), [](const auto& cells) { return !cells.empty(); });
  if (flats) decide_flats(s, tiling, undecided, directions);
  return directions;
}

}  // namespace

Grid<std::uint8_t> flow_directions(const Ground& ground, const Grid<float>& levels, const Walls& walls,
                                   const Grid<std::uint8_t>& drains, const WorkPlan& plan) {
  return directions_of<Choice::Facets>(ground, levels, walls, drains, plan);
}

Grid<std::uint8_t> flow_directions_steepest_neighbour(const Ground& ground, const Grid<float>& levels,
                                                      const Walls& walls, const Grid<std::uint8_t>& drains,
                                                      const WorkPlan& plan) {
  return directions_of<Choice::SteepestNeighbour>(ground, levels, walls, drains, plan);
}

}  // namespace curbshed::terrain
