#include "curbshed/terrain/levels.hpp"

#include "terrain/rising_queue.hpp"
#include "terrain/tiles.hpp"

#include <algorithm>
#include <bit>
#include <limits>

namespace curbshed::terrain {

namespace {

constexpr float kUnknown = std::numeric_limits<float>::infinity();

/// Levels as integers that compare alike. Never −0: heights and crests come in through plain().
constexpr std::uint32_t kSign = 0x80000000U;
std::uint32_t ordered(float level) {
  const auto bits = std::bit_cast<std::uint32_t>(level);
  return (bits & kSign) != 0 ? ~bits : bits | kSign;
}
float level_of(std::uint32_t key) { return std::bit_cast<float>((key & kSign) != 0 ? key & ~kSign : ~key); }
/// Turns −0 into 0, so that equal levels have equal bits.
float plain(float height) { return height + 0.0F; }

/// One tile with a ring of one cell around it, in arrays of its own.
///
/// A cell is open until its level is known. Two facts make most cells cheap: a level is never below the
/// height, so a cell that is reached at its own height is done, in whatever order (`climb`); and all that a
/// level floods lies at that level (`flood`). Only the passes into lower ground and over crests wait in the
/// queue, and they leave it from the lowest up, so every level below the one that leaves is known by then.
class TileLevels {
 public:
  TileLevels(const Ground& ground, const Walls& walls, const Grid<std::uint8_t>& drains, const Tile& tile);

  /// All levels from the drains and the levels known around the tile. False when none is known yet.
  bool solve(const Halo<float>& around);
  void store(Grid<float>& levels) const;

 private:
  enum State : std::uint8_t { kClosed, kOpen, kOpenAndWalled };

  /// Two rings more than the tile: the halo, and cells that are never open around it.
  std::uint32_t padded(std::int64_t row, std::int64_t col) const {
    return static_cast<std::uint32_t>((row + 2) * stride_ + col + 2);
  }
  void find_drains(const Grid<std::uint8_t>& drains);
  /// The crest that stands in the way of a step down from an open cell; the lowest number when none does.
  float crest(std::uint32_t from, int bearing) const;
  void settle(std::uint32_t cell, float level) {
    level_[cell] = level;
    state_[cell] = kClosed;
  }
  void climb_all();
  void climb(std::uint32_t to);
  void flood(std::uint32_t to);

  const Ground& ground_;
  const Walls& walls_;
  Tile tile_;
  std::int64_t stride_;
  std::int64_t step_[kBearings];
  std::vector<float> height_;
  std::vector<float> level_;
  std::vector<std::uint8_t> state_;
  std::vector<std::uint32_t> drains_;
  std::vector<std::uint32_t> climbing_;
  std::vector<std::uint32_t> flooding_;
  RisingQueue<std::uint32_t, std::uint32_t> queue_;
};

TileLevels::TileLevels(const Ground& ground, const Walls& walls, const Grid<std::uint8_t>& drains,
                       const Tile& tile)
    : ground_(ground), walls_(walls), tile_(tile), stride_(tile.cols + 2) {
  for (int k = 0; k < kBearings; ++k) step_[k] = kRowStep[k] * stride_ + kColStep[k];
  const auto cells = static_cast<std::size_t>(stride_ * (tile.rows + 4) + 2);
  height_.assign(cells, 0.0F);
  level_.assign(cells, kUnknown);
  state_.assign(cells, kClosed);
  for (std::int64_t r = 0; r < tile.rows; ++r) {
    std::uint32_t here = padded(r, 0);
    std::int64_t cell = ground.frame.index(tile.row0 + r, tile.col0);
    for (std::int64_t c = 0; c < tile.cols; ++c, ++here, ++cell) {
      if (ground.valid[cell] == 0) continue;
      height_[here] = plain(ground.height_m[cell]);
      state_[here] = !walls.bits.empty() && walls.bits[cell] != 0 ? kOpenAndWalled : kOpen;
    }
  }
  find_drains(drains);
}

void TileLevels::find_drains(const Grid<std::uint8_t>& drains) {
  const GridFrame& frame = ground_.frame;
  for (std::int64_t r = 0; r < tile_.rows; ++r) {
    std::uint32_t here = padded(r, 0);
    for (std::int64_t c = 0; c < tile_.cols; ++c, ++here) {
      if (state_[here] == kClosed) continue;
      bool surrounded = r > 0 && c > 0 && r < tile_.rows - 1 && c < tile_.cols - 1;
      for (int k = 0; surrounded && k < kBearings; ++k) {
        surrounded = state_[static_cast<std::uint32_t>(here + step_[k])] != kClosed;
      }
      const std::int64_t row = tile_.row0 + r;
      const std::int64_t col = tile_.col0 + c;
      const bool marked = !drains.empty() && drains[frame.index(row, col)] != 0;
      if (marked || (!surrounded && on_data_edge(ground_, row, col))) drains_.push_back(here);
    }
  }
}

float TileLevels::crest(std::uint32_t from, int bearing) const {
  if (state_[from] != kOpenAndWalled) return -kUnknown;
  const std::int64_t row = (static_cast<std::int64_t>(from) - 1) / stride_ - 2 + tile_.row0;
  const std::int64_t col = (static_cast<std::int64_t>(from) - 1) % stride_ - 1 + tile_.col0;
  const std::int64_t cell = ground_.frame.index(row, col);
  return walls_.walled(cell, bearing) ? plain(walls_.crest_m(cell, bearing)) : -kUnknown;
}

bool TileLevels::solve(const Halo<float>& around) {
  for (const std::uint32_t cell : drains_) {
    settle(cell, height_[cell]);
    climbing_.push_back(cell);
  }
  Halo<float>::each_place(tile_, ground_.frame.rows, ground_.frame.cols, [&](std::int64_t r, std::int64_t c) {
    if (around.at(r, c) == kUnknown) return;
    level_[padded(r, c)] = around.at(r, c);
    climbing_.push_back(padded(r, c));
  });
  if (climbing_.empty()) return false;
  climb_all();
  while (!queue_.empty()) {
    const auto [key, cell] = queue_.pop();
    const float level = level_of(key);
    if (state_[cell] != kClosed) {
      settle(cell, level);
    } else if (level_[cell] < level) {
      continue;  // reached over a lower way meanwhile
    }
    flooding_.push_back(cell);
    while (!flooding_.empty()) {
      const std::uint32_t to = flooding_.back();
      flooding_.pop_back();
      flood(to);
    }
    climb_all();
  }
  return true;
}

void TileLevels::climb_all() {
  while (!climbing_.empty()) {
    const std::uint32_t to = climbing_.back();
    climbing_.pop_back();
    climb(to);
  }
}

/// Neighbours that come down to `to` and stand no deeper than their own ground are done; lower ones wait for
/// their turn.
void TileLevels::climb(std::uint32_t to) {
  const float level = level_[to];
  bool lower_ground = false;
  for (int k = 0; k < kBearings; ++k) {
    const auto from = static_cast<std::uint32_t>(to + step_[k]);
    if (state_[from] == kClosed) continue;
    const float height = height_[from];
    const float over = crest(from, opposite(k));
    if (over > level && over > height) {
      queue_.push(ordered(over), from);
    } else if (height >= level) {
      settle(from, height);
      climbing_.push_back(from);
    } else {
      lower_ground = true;
    }
  }
  if (lower_ground) queue_.push(ordered(level), to);
}

/// Everything that can come down to `to` at its level stands at that level. No lower level is left in the
/// queue.
void TileLevels::flood(std::uint32_t to) {
  const float level = level_[to];
  for (int k = 0; k < kBearings; ++k) {
    const auto from = static_cast<std::uint32_t>(to + step_[k]);
    if (state_[from] == kClosed) continue;
    const float height = height_[from];
    const float over = crest(from, opposite(k));
    if (over > level && over > height) {
      queue_.push(ordered(over), from);
    } else if (height > level) {
      settle(from, height);
      climbing_.push_back(from);
    } else {
      settle(from, level);
      flooding_.push_back(from);
    }
  }
}

void TileLevels::store(Grid<float>& levels) const {
  for (std::int64_t r = 0; r < tile_.rows; ++r) {
    const float* from = level_.data() + padded(r, 0);
    std::copy(from, from + tile_.cols, &levels.at(tile_.row0 + r, tile_.col0));
  }
}

/// Levels of a tile again after some of those around it have fallen from `before` to `now`: touches only what
/// falls with them. True when a cell on the tile's rim has fallen.
bool improve_levels(const Ground& ground, const Walls& walls, const Tile& tile, const Halo<float>& before,
                    const Halo<float>& now, Grid<float>& levels) {
  const std::int64_t cols = ground.frame.cols;
  RisingQueue<std::uint32_t, std::int64_t> queue;
  bool rim_fell = false;
  const auto relax = [&](std::int64_t row, std::int64_t col, float level) {
    for (int k = 0; k < kBearings; ++k) {
      const std::int64_t r = row + kRowStep[k] - tile.row0;
      const std::int64_t c = col + kColStep[k] - tile.col0;
      if (r < 0 || r >= tile.rows || c < 0 || c >= tile.cols) continue;
      const std::int64_t from = (tile.row0 + r) * cols + tile.col0 + c;
      if (ground.valid[from] == 0) continue;
      float pass = std::max(level, plain(ground.height_m[from]));
      if (walls.walled(from, opposite(k))) pass = std::max(pass, plain(walls.crest_m(from, opposite(k))));
      if (pass >= levels[from]) continue;
      levels[from] = pass;
      rim_fell = rim_fell || r == 0 || c == 0 || r == tile.rows - 1 || c == tile.cols - 1;
      queue.push(ordered(pass), from);
    }
  };
  Halo<float>::each_place(tile, ground.frame.rows, cols, [&](std::int64_t r, std::int64_t c) {
    if (now.at(r, c) < before.at(r, c)) relax(tile.row0 + r, tile.col0 + c, now.at(r, c));
  });
  while (!queue.empty()) {
    const auto [key, cell] = queue.pop();
    if (level_of(key) == levels[cell]) relax(cell / cols, cell % cols, levels[cell]);
  }
  return rim_fell;
}

}  // namespace

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
  check(ground);
  const GridFrame& frame = ground.frame;
  base::ensure(walls.bits.empty() || (walls.bits.rows() == frame.rows && walls.bits.cols() == frame.cols),
               "walls are as large as the ground");
  base::ensure(drains.empty() || (drains.rows() == frame.rows && drains.cols() == frame.cols),
               "drains are as large as the ground");
  const Tiling tiling(frame.rows, frame.cols, plan);
  Grid<float> levels(frame.rows, frame.cols, kUnknown);
  const auto tiles = static_cast<std::size_t>(tiling.size());
  std::vector<Halo<float>> before(tiles);
  std::vector<Halo<float>> now(tiles);
  std::vector<std::uint8_t> solved(tiles, 0);
  std::vector<std::uint8_t> rim_changed(tiles, 0);
  std::vector<std::int64_t> work(tiles);
  for (std::size_t i = 0; i < tiles; ++i) {
    work[i] = static_cast<std::int64_t>(i);
    before[i] = now[i] = Halo<float>(tiling.tile(work[i]), kUnknown);
  }
  // Levels only fall from round to round and each fall is a way out that exists; when no rim falls any more
  // they are exact.
  while (!work.empty()) {
    tiling.each(work, [&](std::int64_t i) {
      const auto n = static_cast<std::size_t>(i);
      const Tile tile = tiling.tile(i);
      std::swap(before[n], now[n]);
      Halo<float>::each_place(tile, frame.rows, frame.cols, [&](std::int64_t r, std::int64_t c) {
        now[n].at(r, c) = levels.at(tile.row0 + r, tile.col0 + c);
      });
    });
    tiling.each(work, [&](std::int64_t i) {
      const auto n = static_cast<std::size_t>(i);
      if (solved[n] == 0) {
        TileLevels tile(ground, walls, drains, tiling.tile(i));
        solved[n] = tile.solve(now[n]) ? 1 : 0;
        rim_changed[n] = solved[n];
        tile.store(levels);
      } else {
        rim_changed[n] = improve_levels(ground, walls, tiling.tile(i), before[n], now[n], levels) ? 1 : 0;
      }
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
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    if (ground.valid[cell] == 0) levels[cell] = 0.0F;
  }
  return levels;
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
