#include "curbshed/terrain/directions.hpp"

#include "terrain/tiles.hpp"

#include <algorithm>
#include <functional>
#include <limits>
#include <queue>

namespace curbshed::terrain {

namespace {

constexpr std::uint8_t kUndecided = 255;  ///< on a flat: the way out is found in the second pass
constexpr std::int64_t kFarAway = std::numeric_limits<std::int64_t>::max();
constexpr double kShallowest_m = 0.03;  ///< shallower water on a flat is as hard to pass as water this deep

enum class Choice : std::uint8_t { Facets, SteepestNeighbour };

struct Surface {
  const Ground& ground;
  const Grid<float>& levels;
  const Walls& walls;
  const Grid<std::uint8_t>& drains;

  const GridFrame& frame() const { return ground.frame; }
  bool permitted(std::int64_t row, std::int64_t col, int bearing) const {
    const std::int64_t r = row + kRowStep[bearing];
    const std::int64_t c = col + kColStep[bearing];
    if (!frame().inside(r, c) || ground.valid.at(r, c) == 0) return false;
    const std::int64_t cell = frame().index(row, col);
    return !walls.walled(cell, bearing) || walls.crest_m(cell, bearing) <= levels[cell];
  }
  /// Cost of a step on a flat: its length (5 straight, 7 diagonal) times 1 + 1/depth², depth in metres where
  /// it begins. Deep water is the easier way, as it is for a real pond that empties: so a pond in a gutter
  /// drains along the gutter.
  std::int64_t flat_cost(std::int64_t row, std::int64_t col, int bearing) const {
    const double deep =
        static_cast<double>(levels.at(row, col)) - static_cast<double>(ground.height_m.at(row, col));
    const double depth_m = std::max(deep, kShallowest_m);
    return (bearing % 2 == 0 ? 5 : 7) * (1 + static_cast<std::int64_t>(1.0 / (depth_m * depth_m)));
  }
};

/// frac(k · golden ratio) < share, for 0 < share < 1. The multiples of the golden ratio are spread more
/// evenly over [0, 1) than those of any other number, so every run of steps takes its share of diagonals.
bool takes_diagonal(std::int64_t k, double share) {
  constexpr std::uint64_t kGolden = 0x9E3779B97F4A7C15U;  // (golden ratio − 1) · 2^64
  constexpr double kTwo64 = 18446744073709551616.0;
  return static_cast<std::uint64_t>(k) * kGolden < static_cast<std::uint64_t>(share * kTwo64);
}

struct Steepest {
  double slope2 = 0.0;  ///< squared, times the cell size
  std::uint8_t bearing = kStops;
  void offer(double slope_2, int toward) {
    if (slope_2 > slope2 || (slope_2 == slope2 && bearing != kStops && toward < bearing)) {
      slope2 = slope_2;
      bearing = static_cast<std::uint8_t>(toward);
    }
  }
};

/// Direction by fall alone; kStops where no permitted neighbour is lower.
std::uint8_t falling(const Surface& s, std::int64_t row, std::int64_t col, Choice choice) {
  const double here = static_cast<double>(s.levels.at(row, col));
  bool open[kBearings];
  double drop[kBearings];
  Steepest best;
  for (int k = 0; k < kBearings; ++k) {
    open[k] = s.permitted(row, col, k);
    drop[k] = open[k] ? here - static_cast<double>(s.levels.at(row + kRowStep[k], col + kColStep[k])) : 0.0;
    if (drop[k] > 0.0) best.offer(k % 2 == 0 ? drop[k] * drop[k] : drop[k] * drop[k] * 0.5, k);
  }
  if (choice == Choice::SteepestNeighbour) return best.bearing;
  for (int straight = 0; straight < kBearings; straight += 2) {
    if (!(drop[straight] > 0.0)) continue;
    for (const int turn : {1, kBearings - 1}) {
      const int diagonal = (straight + turn) % kBearings;
      const double s1 = drop[straight];
      const double s2 = drop[diagonal] - drop[straight];
      if (!open[diagonal] || !(s2 > 0.0) || !(s2 < s1)) continue;
      const std::int64_t k = kColStep[straight] != 0 ? col : row;
      best.offer(s1 * s1 + s2 * s2, takes_diagonal(k, s2 / s1) ? diagonal : straight);
    }
  }
  return best.bearing;
}

/// First pass over a tile. True when a cell is left undecided.
bool decide_by_fall(const Surface& s, const Tile& tile, Choice choice, Grid<std::uint8_t>& directions) {
  bool undecided = false;
  for (std::int64_t row = tile.row0; row < tile.row0 + tile.rows; ++row) {
    for (std::int64_t col = tile.col0; col < tile.col0 + tile.cols; ++col) {
      std::uint8_t& out = directions.at(row, col);
      if (s.ground.valid.at(row, col) == 0) {
        out = kNoGround;
      } else if (!s.drains.empty() && s.drains.at(row, col) != 0) {
        out = kStops;
      } else {
        out = falling(s, row, col, choice);
        if (out == kStops && !on_data_edge(s.ground, row, col)) {
          out = kUndecided;
          undecided = true;
        }
      }
    }
  }
  return undecided;
}

/// Costs from the undecided cells of one tile to the easiest way out of their flat.
class TileFlats {
 public:
  TileFlats(const Surface& s, const Tile& tile, Grid<std::int64_t>& costs)
      : s_(s), tile_(tile), costs_(costs) {}

  /// Lowers costs as far as the tile and the costs known around it allow. True when one on the rim has
  /// changed.
  bool lower(const Halo<std::int64_t>& around);

 private:
  bool in_tile(std::int64_t row, std::int64_t col) const {
    return row >= tile_.row0 && row < tile_.row0 + tile_.rows && col >= tile_.col0 &&
           col < tile_.col0 + tile_.cols;
  }
  std::int64_t cost_of(std::int64_t row, std::int64_t col, const Halo<std::int64_t>& around) const {
    return in_tile(row, col) ? costs_.at(row, col) : around.at(row - tile_.row0, col - tile_.col0);
  }
  std::int64_t offered(std::int64_t row, std::int64_t col, const Halo<std::int64_t>& around) const;
  void set(std::int64_t row, std::int64_t col, std::int64_t cost);

  const Surface& s_;
  Tile tile_;
  Grid<std::int64_t>& costs_;
  bool rim_changed_ = false;
};

std::int64_t TileFlats::offered(std::int64_t row, std::int64_t col, const Halo<std::int64_t>& around) const {
  std::int64_t least = kFarAway;
  for (int k = 0; k < kBearings; ++k) {
    if (!s_.permitted(row, col, k)) continue;
    const std::int64_t r = row + kRowStep[k];
    const std::int64_t c = col + kColStep[k];
    if (s_.levels.at(r, c) != s_.levels.at(row, col)) continue;
    const std::int64_t next = cost_of(r, c, around);
    if (next != kFarAway) least = std::min(least, next + s_.flat_cost(row, col, k));
  }
  return least;
}

void TileFlats::set(std::int64_t row, std::int64_t col, std::int64_t cost) {
  costs_.at(row, col) = cost;
  rim_changed_ = rim_changed_ || row == tile_.row0 || col == tile_.col0 ||
                 row == tile_.row0 + tile_.rows - 1 || col == tile_.col0 + tile_.cols - 1;
}

bool TileFlats::lower(const Halo<std::int64_t>& around) {
  using Reached = std::pair<std::int64_t, std::int64_t>;  // cost, cell
  std::priority_queue<Reached, std::vector<Reached>, std::greater<Reached>> reached;
  const auto reach = [&](std::int64_t row, std::int64_t col, std::int64_t cost) {
    if (cost >= costs_.at(row, col)) return;
    set(row, col, cost);
    reached.emplace(cost, s_.frame().index(row, col));
  };
  for (std::int64_t row = tile_.row0; row < tile_.row0 + tile_.rows; ++row) {
    for (std::int64_t col = tile_.col0; col < tile_.col0 + tile_.cols; ++col) {
      if (costs_.at(row, col) != 0) reach(row, col, offered(row, col, around));
    }
  }
  while (!reached.empty()) {
    const Reached next = reached.top();
    reached.pop();
    if (next.first > costs_[next.second]) continue;
    const std::int64_t row = next.second / s_.frame().cols;
    const std::int64_t col = next.second % s_.frame().cols;
    for (int k = 0; k < kBearings; ++k) {
      const std::int64_t r = row + kRowStep[k];
      const std::int64_t c = col + kColStep[k];
      if (!in_tile(r, c) || s_.ground.valid.at(r, c) == 0 || s_.levels.at(r, c) != s_.levels[next.second])
        continue;
      if (s_.permitted(r, c, opposite(k))) reach(r, c, next.first + s_.flat_cost(r, c, opposite(k)));
    }
  }
  return rim_changed_;
}

/// Directions of the undecided cells: along the least cost to a way out of the flat.
void decide_flats(const Surface& s, const Tiling& tiling, Grid<std::uint8_t>& directions) {
  const GridFrame& frame = s.frame();
  Grid<std::int64_t> costs(frame.rows, frame.cols, 0);
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    if (directions[cell] == kUndecided) costs[cell] = kFarAway;
  }
  const auto tiles = static_cast<std::size_t>(tiling.size());
  std::vector<Halo<std::int64_t>> around(tiles);
  std::vector<std::uint8_t> rim_changed(tiles, 0);
  std::vector<std::int64_t> work(tiles);
  for (std::size_t i = 0; i < tiles; ++i) {
    work[i] = static_cast<std::int64_t>(i);
    around[i] = Halo<std::int64_t>(tiling.tile(work[i]), kFarAway);
  }
  while (!work.empty()) {
    tiling.each(work, [&](std::int64_t i) {
      const Tile tile = tiling.tile(i);
      Halo<std::int64_t>& ring = around[static_cast<std::size_t>(i)];
      Halo<std::int64_t>::each_place(tile, frame.rows, frame.cols, [&](std::int64_t r, std::int64_t c) {
        ring.at(r, c) = costs.at(tile.row0 + r, tile.col0 + c);
      });
    });
    tiling.each(work, [&](std::int64_t i) {
      const auto n = static_cast<std::size_t>(i);
      rim_changed[n] = TileFlats(s, tiling.tile(i), costs).lower(around[n]) ? 1 : 0;
    });
    std::vector<std::uint8_t> again(tiles, 0);
    for (const std::int64_t i : work) {
      if (rim_changed[static_cast<std::size_t>(i)] != 0) tiling.mark_around(i, again);
    }
    work.clear();
    for (std::size_t i = 0; i < tiles; ++i) {
      if (again[i] != 0) work.push_back(static_cast<std::int64_t>(i));
    }
  }
  tiling.each([&](std::int64_t i) {
    const Tile tile = tiling.tile(i);
    for (std::int64_t row = tile.row0; row < tile.row0 + tile.rows; ++row) {
      for (std::int64_t col = tile.col0; col < tile.col0 + tile.cols; ++col) {
        std::uint8_t& out = directions.at(row, col);
        for (int k = 0; out == kUndecided && k < kBearings; ++k) {
          const std::int64_t r = row + kRowStep[k];
          const std::int64_t c = col + kColStep[k];
          if (s.permitted(row, col, k) && s.levels.at(r, c) == s.levels.at(row, col) &&
              costs.at(r, c) != kFarAway && costs.at(r, c) + s.flat_cost(row, col, k) == costs.at(row, col)) {
            out = static_cast<std::uint8_t>(k);
          }
        }
        if (out == kUndecided) throw base::BugError("every flat of the water surface has a way out");
      }
    }
  });
}

Grid<std::uint8_t> directions_of(const Ground& ground, const Grid<float>& levels, const Walls& walls,
                                 const Grid<std::uint8_t>& drains, const WorkPlan& plan, Choice choice) {
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
  std::vector<std::uint8_t> undecided(static_cast<std::size_t>(tiling.size()), 0);
  tiling.each([&](std::int64_t i) {
    undecided[static_cast<std::size_t>(i)] = decide_by_fall(s, tiling.tile(i), choice, directions) ? 1 : 0;
  });
  if (std::find(undecided.begin(), undecided.end(), 1) != undecided.end())
    decide_flats(s, tiling, directions);
  return directions;
}

}  // namespace

Grid<std::uint8_t> flow_directions(const Ground& ground, const Grid<float>& levels, const Walls& walls,
                                   const Grid<std::uint8_t>& drains, const WorkPlan& plan) {
  return directions_of(ground, levels, walls, drains, plan, Choice::Facets);
}

Grid<std::uint8_t> flow_directions_steepest_neighbour(const Ground& ground, const Grid<float>& levels,
                                                      const Walls& walls, const Grid<std::uint8_t>& drains,
                                                      const WorkPlan& plan) {
  return directions_of(ground, levels, walls, drains, plan, Choice::SteepestNeighbour);
}

}  // namespace curbshed::terrain
