#include "curbshed/terrain/ways.hpp"

#include "terrain/collector.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace curbshed::terrain {

namespace {

constexpr double kPerMetre = 1024.0;  ///< whole steps of length in a metre

void ensure_same_size(const Grid<std::uint8_t>& directions, std::int64_t rows, std::int64_t cols) {
  base::ensure(directions.rows() == rows && directions.cols() == cols,
               "grids are as large as the directions");
}

/// A place in the raster that follows the directions without dividing.
struct Walker {
  std::int64_t row = 0;
  std::int64_t col = 0;
  std::int64_t cell = 0;

  void step(std::uint8_t direction, std::int64_t cols) {
    row += kRowStep[direction];
    col += kColStep[direction];
    cell += step_cells(direction, cols);
  }
  bool in(const Tile& tile) const {
    return row >= tile.row0 && row < tile.row0 + tile.rows && col >= tile.col0 && col < tile.col0 + tile.cols;
  }
};

/// Where ways leave a tile: the cell beyond, and after joining the tiles what that cell's way ends in.
struct Exit {
  std::int64_t beyond = 0;
  std::int64_t sum = 0;
  std::int32_t end = kNoReceiver;
  std::uint8_t state = 0;  ///< 0 not yet joined, 1 on the way being followed, 2 joined
};

constexpr std::int32_t kUnseen = std::numeric_limits<std::int32_t>::min();
constexpr std::int32_t kOnTheWay = kUnseen + 1;
constexpr std::int32_t exit_code(std::int32_t exit) { return -2 - exit; }  ///< kNoReceiver − 1 − exit

/// Follows the ways down. A cell where rule.ends(cell) has the code rule.end(cell) ≥ kNoReceiver and the sum
/// rule.end_sum(cell); any other takes the code from below and adds rule.value(cell) to the sum from below.
template <class Rule>
class WaysDown {
 public:
  WaysDown(const Grid<std::uint8_t>& directions, const WorkPlan& plan, Rule rule)
      : directions_(directions),
        tiling_(directions.rows(), directions.cols(), plan),
        rule_(rule),
        code_(Grid<std::int32_t>::unwritten(directions.rows(), directions.cols())) {
    if (Rule::kSums) sum_ = Grid<std::int64_t>::unwritten(directions.rows(), directions.cols());
  }

  void run() {
    const auto tiles = static_cast<std::size_t>(tiling_.size());
    exits_.resize(tiles);
    tiling_.each([&](std::int64_t i) { follow_tile(i); });
    for (std::size_t i = 0; i < tiles; ++i) {
      for (std::size_t e = 0; e < exits_[i].size(); ++e) join(i, e);
    }
    tiling_.each([&](std::int64_t i) {
      const Tile tile = tiling_.tile(i);
      for (std::int64_t row = tile.row0; row < tile.row0 + tile.rows; ++row) {
        for (std::int64_t col = tile.col0; col < tile.col0 + tile.cols; ++col) {
          std::int32_t& code = code_.at(row, col);
          if (code >= kNoReceiver) continue;
          const Exit& exit = exits_[static_cast<std::size_t>(i)][static_cast<std::size_t>(-2 - code)];
          code = exit.end;
          if constexpr (Rule::kSums) sum_.at(row, col) += exit.sum;
        }
      }
    });
  }
  Grid<std::int32_t> take_codes() { return std::move(code_); }
  Grid<std::int64_t> take_sums() { return std::move(sum_); }

 private:
  void follow_tile(std::int64_t i) {
    const Tile tile = tiling_.tile(i);
    std::vector<Exit>& exits = exits_[static_cast<std::size_t>(i)];
    std::vector<std::int64_t> way;
    for (std::int64_t r = 0; r < tile.rows; ++r) {
      std::fill_n(&code_.at(tile.row0 + r, tile.col0), tile.cols, kUnseen);
    }
    for (std::int64_t row = tile.row0; row < tile.row0 + tile.rows; ++row) {
      for (std::int64_t col = tile.col0; col < tile.col0 + tile.cols; ++col) {
        const Walker from{row, col, row * directions_.cols() + col};
        if (code_[from.cell] == kUnseen) follow(from, tile, exits, way);
      }
    }
  }

  /// Down from a cell until something is known, then back up the way.
  void follow(Walker at, const Tile& tile, std::vector<Exit>& exits, std::vector<std::int64_t>& way) {
    std::int32_t code = kUnseen;
    std::int64_t sum = 0;
    while (true) {
      code = code_[at.cell];
      if (code == kOnTheWay) throw base::BugError("water never runs in a circle");
      if (code == kUnseen && rule_.ends(at.cell)) {
        code = code_[at.cell] = rule_.end(at.cell);
        if constexpr (Rule::kSums) sum_[at.cell] = rule_.end_sum(at.cell);
      }
      if (code != kUnseen) {
        if constexpr (Rule::kSums) sum = sum_[at.cell];
        break;
      }
      code_[at.cell] = kOnTheWay;
      way.push_back(at.cell);
      at.step(directions_[at.cell], directions_.cols());
      if (!at.in(tile)) {
        code = exit_code(static_cast<std::int32_t>(exits.size()));
        exits.push_back({at.cell, 0, kNoReceiver, 0});
        break;
      }
    }
    while (!way.empty()) {
      const std::int64_t above = way.back();
      way.pop_back();
      code_[above] = code;
      if constexpr (Rule::kSums) {
        sum += rule_.value(above);
        sum_[above] = sum;
      }
    }
  }

  /// Follows the exits from tile to tile until an end is known, then tells all exits on that way.
  void join(std::size_t tile, std::size_t exit) {
    const std::int64_t cols = directions_.cols();
    std::vector<Exit*> way;
    std::int32_t end = kNoReceiver;
    std::int64_t sum = 0;
    while (true) {
      Exit& here = exits_[tile][exit];
      if (here.state == 1) throw base::BugError("water never runs in a circle");
      if (here.state == 2) {
        end = here.end;
        sum = here.sum;
        break;
      }
      here.state = 1;
      way.push_back(&here);
      end = code_[here.beyond];
      if (end >= kNoReceiver) break;
      tile = static_cast<std::size_t>(tiling_.of_cell(here.beyond / cols, here.beyond % cols));
      exit = static_cast<std::size_t>(-2 - end);
    }
    while (!way.empty()) {
      Exit& above = *way.back();
      way.pop_back();
      if constexpr (Rule::kSums) sum += sum_[above.beyond];
      above.end = end;
      above.sum = sum;
      above.state = 2;
    }
  }

  const Grid<std::uint8_t>& directions_;
  Tiling tiling_;
  Rule rule_;
  Grid<std::int32_t> code_;
  Grid<std::int64_t> sum_;
  std::vector<std::vector<Exit>> exits_;
};

struct ToReceiver {
  static constexpr bool kSums = false;
  const Grid<std::uint8_t>& directions;
  const Grid<std::int32_t>& receiver_at;

  bool ends(std::int64_t cell) const { return directions[cell] >= kStops || receiver_at[cell] >= 0; }
  std::int32_t end(std::int64_t cell) const {
    return directions[cell] == kNoGround || receiver_at[cell] < 0 ? kNoReceiver : receiver_at[cell];
  }
};

struct SumToStop {
  static constexpr bool kSums = true;
  const Grid<std::uint8_t>& directions;
  const Grid<std::int32_t>& addend;
  const Grid<std::uint8_t>& stop;

  bool ends(std::int64_t cell) const { return directions[cell] >= kStops || stop[cell] != 0; }
  std::int32_t end(std::int64_t) const { return kNoReceiver; }
  std::int64_t value(std::int64_t cell) const { return addend[cell]; }
  std::int64_t end_sum(std::int64_t cell) const {
    return directions[cell] == kNoGround || stop[cell] != 0 ? 0 : value(cell);
  }
};

}  // namespace

double step_m(std::uint8_t direction, double cell_m) {
  if (direction >= kStops) return 0.0;
  return direction % 2 == 0 ? cell_m : cell_m * std::numbers::sqrt2;
}

std::int64_t next_cell(const Grid<std::uint8_t>& directions, std::int64_t cell) {
  const std::uint8_t direction = directions[cell];
  return direction >= kStops ? -1 : cell + step_cells(direction, directions.cols());
}

namespace {

template <class Count>
Grid<Count> count_arriving(const Grid<std::uint8_t>& directions, const std::vector<Inflow>& inflows,
                           const WorkPlan& plan) {
  const auto send = [](Count cells, std::uint8_t) { return cells; };
  const auto merge = [](Count there, Count sent) { return there + sent; };
  Collector collector(directions, Count{1}, plan, send, merge);
  for (const Inflow& in : inflows) collector.add(in.cell, static_cast<Count>(in.cells));
  return collector.run();
}

}  // namespace

Grid<std::int64_t> cells_arriving(const Grid<std::uint8_t>& directions, const WorkPlan& plan) {
  return count_arriving<std::int64_t>(directions, {}, plan);
}

Grid<std::int64_t> cells_arriving(const Grid<std::uint8_t>& directions, const std::vector<Inflow>& inflows,
                                  const WorkPlan& plan) {
  return count_arriving<std::int64_t>(directions, inflows, plan);
}

Grid<std::uint32_t> cells_arriving_in_32_bits(const Grid<std::uint8_t>& directions, const WorkPlan& plan) {
  base::ensure(directions.cells() <= std::numeric_limits<std::uint32_t>::max(), "32 bits count the cells");
  return count_arriving<std::uint32_t>(directions, {}, plan);
}

Grid<std::int64_t> longest_way_above(const Grid<std::uint8_t>& directions, double cell_m,
                                     const WorkPlan& plan) {
  std::int64_t length[kBearings];
  for (std::uint8_t k = 0; k < kBearings; ++k) length[k] = std::llround(step_m(k, cell_m) * kPerMetre);
  const auto send = [&length](std::int64_t way, std::uint8_t direction) { return way + length[direction]; };
  const auto merge = [](std::int64_t there, std::int64_t sent) { return std::max(there, sent); };
  return Collector(directions, std::int64_t{0}, plan, send, merge).run();
}

Grid<std::int32_t> first_receivers(const Grid<std::uint8_t>& directions,
                                   const Grid<std::int32_t>& receiver_at, const WorkPlan& plan) {
  ensure_same_size(directions, receiver_at.rows(), receiver_at.cols());
  WaysDown ways(directions, plan, ToReceiver{directions, receiver_at});
  ways.run();
  return ways.take_codes();
}

Grid<std::int64_t> sum_along(const Grid<std::uint8_t>& directions, const Grid<std::int32_t>& value,
                             const Grid<std::uint8_t>& stop, const WorkPlan& plan) {
  ensure_same_size(directions, value.rows(), value.cols());
  ensure_same_size(directions, stop.rows(), stop.cols());
  WaysDown ways(directions, plan, SumToStop{directions, value, stop});
  ways.run();
  return ways.take_sums();
}

namespace {

/// Ways from some neighbouring cells, followed side by side: each step waits for memory, and so they wait
/// together.
struct SlopeWays {
  static constexpr std::int64_t kAtOnce = 8;

  const Grid<std::uint8_t>& directions;
  const Grid<float>& surface_m;
  const Grid<std::uint8_t>& stop;
  double cell_m = 1.0;
  double least_way_m = 0.0;

  void follow(std::int64_t from, std::int64_t count, Grid<float>& slope) const {
    std::int64_t cell[kAtOnce];
    std::int64_t straight[kAtOnce] = {};
    std::int64_t diagonal[kAtOnce] = {};
    for (std::int64_t i = 0; i < kAtOnce; ++i) cell[i] = from + std::min(i, count - 1);
    bool on = true;
    while (on) {
      on = false;
      for (std::int64_t i = 0; i < kAtOnce; ++i) {
        const std::uint8_t direction = directions[cell[i]];
        if (way_m(straight[i], diagonal[i]) < least_way_m && direction < kStops && stop[cell[i]] == 0) {
          straight[i] += direction % 2 == 0 ? 1 : 0;
          diagonal[i] += direction % 2 == 0 ? 0 : 1;
          cell[i] += step_cells(direction, directions.cols());
          on = true;
        }
      }
    }
    for (std::int64_t i = 0; i < count; ++i) {
      const std::int64_t first = from + i;
      const double fall_m = static_cast<double>(surface_m[first]) - static_cast<double>(surface_m[cell[i]]);
      slope[first] = cell[i] == first ? 0.0F : static_cast<float>(fall_m / way_m(straight[i], diagonal[i]));
    }
  }

  double way_m(std::int64_t straight, std::int64_t diagonal) const {
    return cell_m * (static_cast<double>(straight) + std::numbers::sqrt2 * static_cast<double>(diagonal));
  }
};

}  // namespace

Grid<float> slope_along(const Grid<std::uint8_t>& directions, const Grid<float>& surface_m,
                        const Grid<std::uint8_t>& stop, double cell_m, double least_way_m,
                        const WorkPlan& plan) {
  ensure_same_size(directions, surface_m.rows(), surface_m.cols());
  ensure_same_size(directions, stop.rows(), stop.cols());
  auto slope = Grid<float>::unwritten(directions.rows(), directions.cols());
  const SlopeWays ways{directions, surface_m, stop, cell_m, least_way_m};
  const Tiling tiling(directions.rows(), directions.cols(), plan);
  tiling.each([&](std::int64_t i) {
    const Tile tile = tiling.tile(i);
    for (std::int64_t row = tile.row0; row < tile.row0 + tile.rows; ++row) {
      for (std::int64_t col = 0; col < tile.cols; col += SlopeWays::kAtOnce) {
        ways.follow(row * directions.cols() + tile.col0 + col, std::min(SlopeWays::kAtOnce, tile.cols - col),
                    slope);
      }
    }
  });
  return slope;
}

}  // namespace curbshed::terrain
