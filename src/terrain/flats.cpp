#include "terrain/flats.hpp"

#include "terrain/rising_queue.hpp"

#include <algorithm>
#include <limits>

namespace curbshed::terrain {

namespace {

constexpr std::int64_t kFarAway = std::numeric_limits<std::int64_t>::max();
constexpr double kShallowest_m = 0.03;  ///< shallower water on a flat is as hard to pass as water this deep

/// Cost of a step on a flat: its length (5 straight, 7 diagonal) times 1 + 1/depth², depth in metres where
/// it begins. Deep water is the easier way, as it is for a real pond that empties: so a pond in a gutter
/// drains along the gutter.
std::int64_t step_cost(const Surface& s, std::int64_t cell, int bearing) {
  const double deep = static_cast<double>(s.levels[cell]) - static_cast<double>(s.ground.height_m[cell]);
  const double depth_m = std::max(deep, kShallowest_m);
  return (bearing % 2 == 0 ? 5 : 7) * (1 + static_cast<std::int64_t>(1.0 / (depth_m * depth_m)));
}

/// Costs from the undecided cells of one tile to the easiest way out of their flat. Decided cells cost 0.
class TileFlats {
 public:
  TileFlats(const Surface& s, const Tile& tile, Grid<std::int64_t>& costs)
      : s_(s), tile_(tile), costs_(costs) {}

  /// Lowers the costs as far as the tile and the costs known around it allow. True when one on the rim has
  /// fallen.
  bool lower(const std::vector<std::int64_t>& undecided, bool only_rim, const Halo<std::int64_t>& around) {
    for (const std::int64_t cell : undecided) {
      const std::int64_t r = cell / s_.frame().cols - tile_.row0;
      const std::int64_t c = cell % s_.frame().cols - tile_.col0;
      if (!only_rim || on_rim(r, c)) reach(r, c, offered(r, c, around));
    }
    while (!queue_.empty()) {
      const auto [cost, cell] = queue_.pop();
      if (static_cast<std::int64_t>(cost) == costs_[cell]) pass_on(cell);
    }
    return rim_fell_;
  }

 private:
  bool in_tile(std::int64_t r, std::int64_t c) const {
    return r >= 0 && r < tile_.rows && c >= 0 && c < tile_.cols;
  }
  bool on_rim(std::int64_t r, std::int64_t c) const {
    return r == 0 || c == 0 || r == tile_.rows - 1 || c == tile_.cols - 1;
  }
  std::int64_t cell_at(std::int64_t r, std::int64_t c) const {
    return s_.frame().index(tile_.row0 + r, tile_.col0 + c);
  }

  /// Least cost over the neighbours on the same level.
  std::int64_t offered(std::int64_t r, std::int64_t c, const Halo<std::int64_t>& around) const {
    const std::int64_t cell = cell_at(r, c);
    std::int64_t least = kFarAway;
    for (int k = 0; k < kBearings; ++k) {
      if (!s_.permitted(tile_.row0 + r, tile_.col0 + c, k)) continue;
      const std::int64_t to_r = r + kRowStep[k];
      const std::int64_t to_c = c + kColStep[k];
      const std::int64_t to = cell_at(to_r, to_c);
      if (s_.levels[to] != s_.levels[cell]) continue;
      const std::int64_t next = in_tile(to_r, to_c) ? costs_[to] : around.at(to_r, to_c);
      if (next != kFarAway) least = std::min(least, next + step_cost(s_, cell, k));
    }
    return least;
  }

  void reach(std::int64_t r, std::int64_t c, std::int64_t cost) {
    std::int64_t& known = costs_[cell_at(r, c)];
    if (cost >= known) return;
    known = cost;
    rim_fell_ = rim_fell_ || on_rim(r, c);
    queue_.push(static_cast<std::uint64_t>(cost), cell_at(r, c));
  }

  void pass_on(std::int64_t to) {
    const std::int64_t r = to / s_.frame().cols - tile_.row0;
    const std::int64_t c = to % s_.frame().cols - tile_.col0;
    for (int k = 0; k < kBearings; ++k) {
      const std::int64_t from_r = r + kRowStep[k];
      const std::int64_t from_c = c + kColStep[k];
      if (!in_tile(from_r, from_c)) continue;
      const std::int64_t from = cell_at(from_r, from_c);
      if (costs_[from] <= costs_[to] || s_.levels[from] != s_.levels[to]) continue;  // decided ones cost 0
      if (s_.over_wall(from, opposite(k)))
        reach(from_r, from_c, costs_[to] + step_cost(s_, from, opposite(k)));
    }
  }

  const Surface& s_;
  Tile tile_;
  Grid<std::int64_t>& costs_;
  bool rim_fell_ = false;
  RisingQueue<std::uint64_t, std::int64_t> queue_;
};

std::uint8_t easiest(const Surface& s, const Grid<std::int64_t>& costs, std::int64_t cell) {
  const std::int64_t row = cell / s.frame().cols;
  const std::int64_t col = cell % s.frame().cols;
  for (std::uint8_t k = 0; k < kBearings; ++k) {
    if (!s.permitted(row, col, k)) continue;
    const std::int64_t to = s.frame().index(row + kRowStep[k], col + kColStep[k]);
    if (s.levels[to] != s.levels[cell] || costs[to] == kFarAway) continue;
    if (costs[to] + step_cost(s, cell, k) == costs[cell]) return k;
  }
  throw base::BugError("every flat of the water surface has a way out");
}

}  // namespace

void decide_flats(const Surface& surface, const Tiling& tiling,
                  const std::vector<std::vector<std::int64_t>>& undecided, Grid<std::uint8_t>& directions) {
  const GridFrame& frame = surface.frame();
  Grid<std::int64_t> costs(frame.rows, frame.cols, 0);
  const auto tiles = static_cast<std::size_t>(tiling.size());
  std::vector<Halo<std::int64_t>> around(tiles);
  std::vector<std::uint8_t> rim_fell(tiles, 0);
  std::vector<std::int64_t> work;
  for (std::size_t i = 0; i < tiles; ++i) {
    if (undecided[i].empty()) continue;
    work.push_back(static_cast<std::int64_t>(i));
    around[i] = Halo<std::int64_t>(tiling.tile(work.back()), kFarAway);
    for (const std::int64_t cell : undecided[i]) costs[cell] = kFarAway;
  }
  for (bool first = true; !work.empty(); first = false) {
    tiling.each(work, [&](std::int64_t i) {
      const Tile tile = tiling.tile(i);
      Halo<std::int64_t>& ring = around[static_cast<std::size_t>(i)];
      Halo<std::int64_t>::each_place(tile, frame.rows, frame.cols, [&](std::int64_t r, std::int64_t c) {
        ring.at(r, c) = costs.at(tile.row0 + r, tile.col0 + c);
      });
    });
    tiling.each(work, [&](std::int64_t i) {
      const auto n = static_cast<std::size_t>(i);
      rim_fell[n] = TileFlats(surface, tiling.tile(i), costs).lower(undecided[n], !first, around[n]) ? 1 : 0;
    });
    std::vector<std::uint8_t> again(tiles, 0);
    for (const std::int64_t i : work) {
      if (rim_fell[static_cast<std::size_t>(i)] != 0) tiling.mark_around(i, again);
    }
    work.clear();
    for (std::size_t i = 0; i < tiles; ++i) {
      if (again[i] != 0 && !undecided[i].empty()) work.push_back(static_cast<std::int64_t>(i));
    }
  }
  tiling.each([&](std::int64_t i) {
    for (const std::int64_t cell : undecided[static_cast<std::size_t>(i)]) {
      directions[cell] = easiest(surface, costs, cell);
    }
  });
}

}  // namespace curbshed::terrain
