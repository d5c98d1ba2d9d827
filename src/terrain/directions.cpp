#include "curbshed/terrain/directions.hpp"

#include "terrain/falls.hpp"
#include "terrain/flats.hpp"
#include "terrain/tiles.hpp"

#include <algorithm>
#include <limits>

namespace curbshed::terrain {

namespace {

enum class Choice : std::uint8_t { Facets, SteepestNeighbour };

constexpr double kShut = -std::numeric_limits<double>::infinity();  ///< drop of a step that is not permitted

/// frac(k · golden ratio) < share, for 0 < share < 1.
bool takes_diagonal(std::int64_t k, double share) {
  return golden_turn(k) < static_cast<std::uint64_t>(share * kTwo64);
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

/// Whether each cell of a row has all neighbours valid, no walls of its own and is no marked drain, so that
/// nothing needs a second look.
void find_plain_cells(const Surface& s, const Tile& tile, std::int64_t row,
                      std::vector<std::uint8_t>& plain) {
  const std::int64_t cols = s.frame().cols;
  std::fill(plain.begin(), plain.end(), std::uint8_t{0});
  if (row == 0 || row == s.frame().rows - 1) return;
  const std::uint8_t* valid = s.ground.valid.data() + row * cols;
  const auto column_valid = [&](std::int64_t c) { return valid[c - cols] & valid[c] & valid[c + cols]; };
  for (std::int64_t c = std::max<std::int64_t>(1, tile.col0); c < std::min(cols - 1, tile.col0 + tile.cols);
       ++c) {
    const int all = column_valid(c - 1) & column_valid(c) & column_valid(c + 1);
    plain[static_cast<std::size_t>(c - tile.col0)] = all != 0 ? 1 : 0;
  }
  for (const Grid<std::uint8_t>* odd : {&s.walls.bits, &s.drains}) {
    if (odd->empty()) continue;
    const std::uint8_t* marks = odd->data() + row * cols + tile.col0;
    for (std::int64_t c = 0; c < tile.cols; ++c) {
      std::uint8_t& keeps = plain[static_cast<std::size_t>(c)];
      keeps = marks[c] != 0 ? std::uint8_t{0} : keeps;
    }
  }
}

/// First pass over a tile: everything but the flats.
template <Choice kChoice>
class TileFalls {
 public:
  TileFalls(const Surface& s, const Tile& tile, Grid<std::uint8_t>& directions)
      : s_(s),
        tile_(tile),
        directions_(directions),
        plain_(static_cast<std::size_t>(tile.cols)),
        found_(static_cast<std::size_t>(s.frame().cols)),
        turn_(static_cast<std::size_t>(s.frame().cols)) {
    for (int k = 0; k < kBearings; ++k) step_[k] = kRowStep[k] * s.frame().cols + kColStep[k];
    for (std::int64_t c = tile.col0; c < tile.col0 + tile.cols; ++c) {
      turn_[static_cast<std::size_t>(c)] = static_cast<double>(golden_turn(c));
    }
  }

  void decide_row(std::int64_t row) {
    const std::int64_t cols = s_.frame().cols;
    find_plain_cells(s_, tile_, row, plain_);
    const bool inside = row > 0 && row < s_.frame().rows - 1;
    if (kChoice == Choice::Facets && inside) {
      find_falls(s_.levels.data() + row * cols, cols, std::max<std::int64_t>(tile_.col0, 1),
                 std::min(tile_.col0 + tile_.cols, cols - 1), turn_.data(),
                 static_cast<double>(golden_turn(s_.row0 + row)), found_.data());
    }
    std::uint8_t* out = directions_.data() + row * cols;
    for (std::int64_t col = tile_.col0; col < tile_.col0 + tile_.cols; ++col) {
      const bool is_plain = plain_[static_cast<std::size_t>(col - tile_.col0)] != 0;
      const std::int32_t found =
          kChoice == Choice::Facets && is_plain ? found_[static_cast<std::size_t>(col)] : kLookAgain;
      if (found == kLookAgain) {
        out[col] = decide(row, col, is_plain);
      } else {
        out[col] = found == kStops ? kUndecided : static_cast<std::uint8_t>(found);
      }
    }
  }

 private:
  std::uint8_t decide(std::int64_t row, std::int64_t col, bool is_plain) const {
    const std::int64_t cell = s_.frame().index(row, col);
    if (s_.ground.valid[cell] == 0) return kNoGround;
    if (!s_.drains.empty() && s_.drains[cell] != 0) return kStops;
    const double here = static_cast<double>(s_.levels[cell]);
    double drop[kBearings];
    for (int k = 0; k < kBearings; ++k) {
      const bool open = is_plain || s_.permitted(row, col, k);
      drop[k] = open ? here - static_cast<double>(s_.levels[cell + step_[k]]) : kShut;
    }
    const std::uint8_t direction = falling<kChoice>(drop, s_.row0 + row, col);
    if (direction == kStops && (is_plain || !on_data_edge(s_.ground, row, col))) return kUndecided;
    return direction;
  }

  const Surface& s_;
  Tile tile_;
  Grid<std::uint8_t>& directions_;
  std::int64_t step_[kBearings] = {};
  std::vector<std::uint8_t> plain_;
  std::vector<std::int32_t> found_;
  std::vector<double> turn_;
};

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
  Grid<std::uint8_t> directions = Grid<std::uint8_t>::unwritten(frame.rows, frame.cols);
  tiling.each([&](std::int64_t i) {
    const Tile tile = tiling.tile(i);
    TileFalls<kChoice> falls(s, tile, directions);
    for (std::int64_t row = tile.row0; row < tile.row0 + tile.rows; ++row) falls.decide_row(row);
  });
  decide_flats(s, std::max(1, plan.threads), directions);
  return directions;
}

}  // namespace

void decide_falls(const Surface& surface, const Tile& tile, Grid<std::uint8_t>& directions) {
  TileFalls<Choice::Facets> falls(surface, tile, directions);
  for (std::int64_t row = tile.row0; row < tile.row0 + tile.rows; ++row) falls.decide_row(row);
}

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
