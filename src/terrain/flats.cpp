#include "terrain/flats.hpp"

#include "curbshed/base/parallel.hpp"

#include "terrain/rising_queue.hpp"

#include <algorithm>
#include <cstdlib>
#include <functional>
#include <limits>
#include <memory>
#include <new>

namespace curbshed::terrain {

namespace {

constexpr std::uint8_t kGathered = 254;  ///< undecided, and in the pond that is being solved
constexpr std::uint8_t kLeftOver = 253;  ///< undecided, in a pond that reaches the rim of its stripe
constexpr double kShallowest_m = 0.03;   ///< shallower water on a flat is as hard to pass as water this deep

struct Place {
  std::int32_t row = 0;
  std::int32_t col = 0;
};

/// Entries with a cost and a number below 2^24, least cost first.
class SmallQueue {
 public:
  bool empty() const { return heap_.empty(); }
  void push(std::uint64_t cost, std::uint32_t number) {
    heap_.push_back(cost << 24 | number);
    std::push_heap(heap_.begin(), heap_.end(), std::greater<>());
  }
  std::pair<std::uint64_t, std::uint32_t> pop() {
    std::pop_heap(heap_.begin(), heap_.end(), std::greater<>());
    const std::uint64_t least = heap_.back();
    heap_.pop_back();
    return {least >> 24, static_cast<std::uint32_t>(least & 0xFFFFFFU)};
  }

 private:
  std::vector<std::uint64_t> heap_;
};

/// Solves one pond after another: all undecided cells that join on one level.
class Ponds {
 public:
  /// Looks at and writes rows first … last − 1 only.
  Ponds(const Surface& s, Grid<std::uint8_t>& directions, std::int64_t first, std::int64_t last)
      : s_(s), directions_(directions), first_(first), last_(last) {
    for (int k = 0; k < kBearings; ++k) step_[k] = kRowStep[k] * s.frame().cols + kColStep[k];
  }

  /// Solves the pond of an undecided cell. False, and its cells left over, when it reaches a row at the rim
  /// of the stripe while `whole` is false.
  bool solve(std::int64_t row, std::int64_t col, bool whole) {
    gather(row, col);
    if (!whole && (top_ == first_ || bottom_ == last_ - 1)) {
      for (const Place& p : places_) directions_[at(p)] = kLeftOver;
      return false;
    }
    lay_out();
    constexpr std::size_t kSmall = 1U << 9;
    if (cells_.size() <= kSmall) {
      spread(small_);
    } else {
      large_.restart();
      spread(large_);
    }
    for (std::size_t i = 0; i < cells_.size(); ++i) {
      base::ensure(cells_[i].bearing < kBearings, "every flat of the water surface has a way out");
      directions_[at(places_[i])] = static_cast<std::uint8_t>(cells_[i].bearing);
      number_[cells_[i].box] = 0;
    }
    return true;
  }

 private:
  struct Cell {
    std::uint64_t cost;
    std::uint64_t box : 40;  ///< place in `number_`
    std::uint64_t resistance : 16;
    std::uint64_t bearing : 8;
  };
  struct Free {
    void operator()(std::uint32_t* p) const { std::free(p); }
  };

  std::int64_t at(const Place& p) const { return p.row * s_.frame().cols + p.col; }

  void gather(std::int64_t row, std::int64_t col) {
    places_.assign(1, {static_cast<std::int32_t>(row), static_cast<std::int32_t>(col)});
    const std::uint8_t mark = directions_[at(places_[0])];
    const float level = s_.levels[at(places_[0])];
    directions_[at(places_[0])] = kGathered;
    top_ = bottom_ = row;
    left_ = right_ = col;
    for (std::size_t i = 0; i < places_.size(); ++i) {
      const Place p = places_[i];
      const std::int64_t cell = at(p);
      top_ = std::min<std::int64_t>(top_, p.row);
      bottom_ = std::max<std::int64_t>(bottom_, p.row);
      left_ = std::min<std::int64_t>(left_, p.col);
      right_ = std::max<std::int64_t>(right_, p.col);
      for (int k = 0; k < kBearings; ++k) {
        const std::int32_t r = p.row + kRowStep[k];
        if (r < first_ || r >= last_) continue;
        std::uint8_t& there = directions_[cell + step_[k]];
        if (there != mark || s_.levels[cell + step_[k]] != level) continue;
        there = kGathered;
        places_.push_back({r, p.col + kColStep[k]});
      }
    }
    base::ensure(places_.size() < std::numeric_limits<std::uint32_t>::max(), "32 bits number a pond's cells");
  }

  /// Numbers the pond's cells in a box around them, so that neighbours find each other.
  void lay_out() {
    const std::int64_t width = right_ - left_ + 3;
    const auto area = static_cast<std::size_t>(width * (bottom_ - top_ + 3));
    base::ensure(area < (std::size_t{1} << 40), "40 bits count the cells around a pond");
    if (area > room_) {
      // Pages that are never written cost no memory.
      room_ = std::max(area, std::min<std::size_t>(2 * room_, std::size_t{1} << 22));
      number_.reset();
      number_.reset(static_cast<std::uint32_t*>(std::calloc(room_, sizeof(std::uint32_t))));
      if (!number_) throw std::bad_alloc();
    }
    for (int k = 0; k < kBearings; ++k) box_step_[k] = kRowStep[k] * width + kColStep[k];
    cells_.resize(places_.size());
    for (std::size_t i = 0; i < places_.size(); ++i) {
      const std::int64_t box = (places_[i].row - top_ + 1) * width + places_[i].col - left_ + 1;
      number_[static_cast<std::size_t>(box)] = static_cast<std::uint32_t>(i + 1);
      cells_[i] = {std::numeric_limits<std::uint64_t>::max(), static_cast<std::uint64_t>(box) & kBoxBits,
                   resistance(s_, at(places_[i])) & 0xFFFFU, kStops};
    }
  }

  /// From the ways out inwards. The steps to a cell come in the order of cost, so when it is its turn it has
  /// seen every step that is as cheap as its own, and keeps the one of the lowest bearing.
  template <class Queue>
  void spread(Queue& queue) {
    for (std::size_t i = 0; i < cells_.size(); ++i) {
      leave(cells_[i], at(places_[i]));
      if (cells_[i].bearing < kBearings) queue.push(cells_[i].cost, static_cast<std::uint32_t>(i));
    }
    const bool no_walls = s_.walls.bits.empty();
    while (!queue.empty()) {
      const auto [cost, number] = queue.pop();
      const Cell& here = cells_[number];
      if (cost != here.cost) continue;
      const std::uint32_t* around = number_.get() + here.box;
      for (int k = 0; k < kBearings; ++k) {
        const std::uint32_t other = around[box_step_[k]];
        if (other == 0) continue;
        Cell& from = cells_[other - 1];
        const std::uint64_t sum = cost + length_of(k) * from.resistance;
        if (sum > from.cost) continue;
        const int bearing = opposite(k);
        if (!no_walls && !s_.over_wall(at(places_[other - 1]), bearing)) continue;
        const auto toward = static_cast<std::uint64_t>(bearing) & 7U;
        if (sum < from.cost) {
          from.cost = sum;
          from.bearing = toward & 7U;
          queue.push(sum, other - 1);
        } else if (toward < from.bearing) {
          from.bearing = toward & 7U;
        }
      }
    }
  }

  /// The cheapest step out of the flat, if there is one.
  void leave(Cell& from, std::int64_t cell) const {
    const float level = s_.levels[cell];
    for (int k = 0; k < kBearings; ++k) {
      const std::int64_t to = cell + step_[k];
      if (s_.levels[to] != level || directions_[to] > kStops) continue;
      const std::uint64_t cost = length_of(k) * from.resistance;
      if (cost >= from.cost || !s_.over_wall(cell, k)) continue;
      from.cost = cost;
      from.bearing = static_cast<std::uint64_t>(k) & 7U;
    }
  }

  static constexpr std::uint64_t kBoxBits = (std::uint64_t{1} << 40) - 1;

  const Surface& s_;
  Grid<std::uint8_t>& directions_;
  std::int64_t first_;
  std::int64_t last_;
  std::int64_t step_[kBearings] = {};
  std::int64_t box_step_[kBearings] = {};
  std::int64_t top_ = 0;
  std::int64_t bottom_ = 0;
  std::int64_t left_ = 0;
  std::int64_t right_ = 0;
  std::vector<Place> places_;
  std::vector<Cell> cells_;
  std::unique_ptr<std::uint32_t[], Free> number_;
  std::size_t room_ = 0;
  SmallQueue small_;
  RisingQueue<std::uint64_t, std::uint32_t> large_;
};

}  // namespace

std::uint64_t resistance(const Surface& s, std::int64_t cell) {
  const double deep = static_cast<double>(s.levels[cell]) - static_cast<double>(s.ground.height_m[cell]);
  const double depth_m = std::max(deep, kShallowest_m);
  return 1 + static_cast<std::uint64_t>(1.0 / (depth_m * depth_m));
}

void decide_flats(const Surface& surface, int threads, Grid<std::uint8_t>& directions) {
  const std::int64_t rows = surface.frame().rows;
  const std::int64_t cols = surface.frame().cols;
  base::ensure(std::max(rows, cols) <= std::numeric_limits<std::int32_t>::max(),
               "32 bits count the rows and the columns");
  const std::int64_t stripes = std::min<std::int64_t>(threads == 1 ? 1 : 4 * threads, (rows + 63) / 64);
  std::vector<std::vector<std::int64_t>> left_over(static_cast<std::size_t>(stripes));
  base::parallel_stripes(stripes, stripes, {threads}, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t i = begin; i < end; ++i) {
      const std::int64_t first = rows * i / stripes;
      const std::int64_t last = rows * (i + 1) / stripes;
      Ponds ponds(surface, directions, first, last);
      for (std::int64_t row = first; row < last; ++row) {
        for (std::int64_t col = 0; col < cols; ++col) {
          if (directions[row * cols + col] != kUndecided || ponds.solve(row, col, false)) continue;
          left_over[static_cast<std::size_t>(i)].push_back(row * cols + col);
        }
      }
    }
  });
  Ponds ponds(surface, directions, 0, rows);
  for (const auto& cells : left_over) {
    for (const std::int64_t cell : cells) {
      if (directions[cell] == kLeftOver) ponds.solve(cell / cols, cell % cols, true);
    }
  }
}

}  // namespace curbshed::terrain
