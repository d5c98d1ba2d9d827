// Collects along the directions from above: each cell once everything above it has arrived.
#pragma once

#include "terrain/tiles.hpp"

#include <algorithm>
#include <utility>
#include <vector>

namespace curbshed::terrain {

inline std::int64_t step_cells(std::uint8_t direction, std::int64_t cols) {
  return kRowStep[direction] * cols + kColStep[direction];
}

/// What a tile hands to another one: `amount` arrives at `cell`.
template <class Amount>
struct HandOver {
  std::int64_t cell = 0;
  Amount amount = 0;
};

/// One byte a cell while water is collected: its direction, or kHandsOver, below the number of neighbours
/// that it still waits for; kPassedOn when it is done.
inline constexpr std::uint8_t kHandsOver = 10;
inline constexpr std::uint8_t kOneAbove = 16;
inline constexpr std::uint8_t kPassedOn = 255;

/// The rows around one row, with a column more on both sides, so that a whole row is counted alike.
class RowsAround {
 public:
  RowsAround(const Grid<std::uint8_t>& directions, const Tile& tile) : directions_(directions), tile_(tile) {
    for (auto& row : rows_) row.assign(static_cast<std::size_t>(tile.cols + 2), kNoGround);
  }

  void load(std::int64_t row) {
    if (row == tile_.row0) {
      copy(row - 1, rows_[0]);
      copy(row, rows_[1]);
    } else {
      rows_[0].swap(rows_[1]);
      rows_[1].swap(rows_[2]);
    }
    copy(row + 1, rows_[2]);
  }

  /// Direction and number of neighbours that send their water here, of each cell of the middle row.
  void write(std::uint8_t* codes) const {
    const std::uint8_t* above = rows_[0].data();
    const std::uint8_t* here = rows_[1].data();
    const std::uint8_t* below = rows_[2].data();
    for (std::int64_t c = 0; c < tile_.cols; ++c) {
      const int count = (above[c] == 3) + (above[c + 1] == 4) + (above[c + 2] == 5) + (here[c] == 2) +
                        (here[c + 2] == 6) + (below[c] == 1) + (below[c + 1] == 0) + (below[c + 2] == 7);
      codes[c] = static_cast<std::uint8_t>(here[c + 1] + count * kOneAbove);
    }
  }

 private:
  void copy(std::int64_t row, std::vector<std::uint8_t>& into) const {
    const std::int64_t cols = directions_.cols();
    if (row < 0 || row >= directions_.rows()) {
      std::fill(into.begin(), into.end(), kNoGround);
      return;
    }
    const std::int64_t from = std::max<std::int64_t>(tile_.col0 - 1, 0);
    const std::int64_t to = std::min(tile_.col0 + tile_.cols + 1, cols);
    const std::uint8_t* cells = directions_.data() + row * cols;
    std::copy(cells + from, cells + to, into.data() + (from - tile_.col0 + 1));
  }

  const Grid<std::uint8_t>& directions_;
  Tile tile_;
  std::vector<std::uint8_t> rows_[3];
};

/// Collects from above: each cell passes send(amount, direction) on once everything above it has arrived, and
/// merge(amount there, amount sent) keeps it. Whole numbers, so the order of arrival leaves no trace. By
/// in-degree, tiles handing over at their rims (Zhou, Wei & Fu 2019, Front. Earth Sci. 13:317-326).
template <class Amount, class Send, class Merge>
class Collector {
 public:
  Collector(const Grid<std::uint8_t>& directions, Amount start, const WorkPlan& plan, Send send, Merge merge)
      : directions_(directions),
        tiling_(directions.rows(), directions.cols(), plan),
        amount_(Grid<Amount>::unwritten(directions.rows(), directions.cols())),
        codes_(Grid<std::uint8_t>::unwritten(directions.rows(), directions.cols())),
        outbox_(static_cast<std::size_t>(tiling_.size())),
        send_(send),
        merge_(merge) {
    for (std::uint8_t k = 0; k < kBearings; ++k) step_[k] = step_cells(k, directions.cols());
    tiling_.each([&](std::int64_t i) {
      const Tile tile = tiling_.tile(i);
      for (std::int64_t r = 0; r < tile.rows; ++r) {
        std::fill_n(&amount_.at(tile.row0 + r, tile.col0), tile.cols, start);
      }
    });
  }

  /// Before run().
  void add(std::int64_t cell, Amount amount) { amount_[cell] = merge_(amount_[cell], amount); }

  Grid<Amount> run() {
    tiling_.each([&](std::int64_t i) { collect_tile(i); });
    hand_over();
    std::vector<std::uint8_t> stuck(static_cast<std::size_t>(tiling_.size()), 0);
    tiling_.each([&](std::int64_t i) {
      const Tile tile = tiling_.tile(i);
      std::uint8_t all = kPassedOn;
      for (std::int64_t r = 0; r < tile.rows; ++r) {
        const std::uint8_t* codes = &codes_.at(tile.row0 + r, tile.col0);
        for (std::int64_t c = 0; c < tile.cols; ++c) all = static_cast<std::uint8_t>(all & codes[c]);
      }
      stuck[static_cast<std::size_t>(i)] = all == kPassedOn ? 0 : 1;
    });
    if (std::count(stuck.begin(), stuck.end(), 1) != 0) throw base::BugError("water never runs in a circle");
    return std::move(amount_);
  }

 private:
  void collect_tile(std::int64_t i) {
    const Tile tile = tiling_.tile(i);
    const std::int64_t cols = directions_.cols();
    RowsAround around(directions_, tile);
    for (std::int64_t r = 0; r < tile.rows; ++r) {
      around.load(tile.row0 + r);
      around.write(&codes_.at(tile.row0 + r, tile.col0));
    }
    mark_exits(tile);
    std::vector<std::int64_t> ready(static_cast<std::size_t>(tile.cols));
    for (std::int64_t r = 0; r < tile.rows; ++r) {
      const std::int64_t first = (tile.row0 + r) * cols + tile.col0;
      std::size_t n = 0;
      for (std::int64_t cell = first; cell < first + tile.cols; ++cell) {
        ready[n] = cell;
        n += codes_[cell] < kOneAbove ? 1U : 0U;
      }
      pass_on_together(ready, n, outbox_[static_cast<std::size_t>(i)]);
    }
  }

  /// From cells that wait for nothing, all a step at a time: no branch that nobody can foresee, and the
  /// memory for one cell is on its way while another is worked on. The last few go down one by one.
  void pass_on_together(std::vector<std::int64_t>& ready, std::size_t n, std::vector<HandOver<Amount>>& out) {
    constexpr std::size_t kFew = 12;
    std::uint8_t* codes = codes_.data();
    Amount* amounts = amount_.data();
    while (n > kFew) {
      std::size_t still = 0;
      for (std::size_t i = 0; i < n; ++i) {
        const std::int64_t cell = ready[i];
        const std::uint8_t code = codes[cell];
        if (code >= kStops) {
          finish(cell, code, out);
          continue;
        }
        codes[cell] = kPassedOn;
        const std::int64_t next = cell + step_[code];
        amounts[next] = merge_(amounts[next], send_(amounts[cell], code));
        const auto waits = static_cast<std::uint8_t>(codes[next] - kOneAbove);
        codes[next] = waits;
        ready[still] = next;
        still += waits < kOneAbove ? 1U : 0U;
      }
      n = still;
    }
    for (std::size_t i = 0; i < n; ++i) pass_on(ready[i], out);
  }

  /// Of a cell that sends to none in this tile.
  void finish(std::int64_t cell, std::uint8_t code, std::vector<HandOver<Amount>>& out) {
    codes_[cell] = kPassedOn;
    if (code == kNoGround) amount_[cell] = 0;
    if (code != kHandsOver) return;
    const std::uint8_t direction = directions_[cell];
    out.push_back({cell + step_[direction], send_(amount_[cell], direction)});
  }

  void mark_exits(const Tile& tile) {
    for (std::int64_t r = 0; r < tile.rows; ++r) {
      const bool whole_row = r == 0 || r == tile.rows - 1;
      for (std::int64_t c = 0; c < tile.cols; c += whole_row || c == tile.cols - 1 ? 1 : tile.cols - 1) {
        const std::uint8_t direction = directions_.at(tile.row0 + r, tile.col0 + c);
        if (direction >= kStops) continue;
        const std::int64_t to_r = r + kRowStep[direction];
        const std::int64_t to_c = c + kColStep[direction];
        if (to_r >= 0 && to_r < tile.rows && to_c >= 0 && to_c < tile.cols) continue;
        std::uint8_t& code = codes_.at(tile.row0 + r, tile.col0 + c);
        code = static_cast<std::uint8_t>(code - direction + kHandsOver);
      }
    }
  }

  /// From a cell that waits for nothing down to the first that still waits.
  void pass_on(std::int64_t cell, std::vector<HandOver<Amount>>& out) {
    std::uint8_t* codes = codes_.data();
    Amount* amounts = amount_.data();
    Amount amount = amounts[cell];
    std::uint8_t code = codes[cell];
    while (code < kStops) {
      codes[cell] = kPassedOn;
      const std::int64_t next = cell + step_[code];
      amount = merge_(amounts[next], send_(amount, code));
      amounts[next] = amount;
      code = static_cast<std::uint8_t>(codes[next] - kOneAbove);
      codes[next] = code;
      if (code >= kOneAbove) return;
      cell = next;
    }
    finish(cell, code, out);
  }

  void hand_over() {
    const std::int64_t cols = directions_.cols();
    std::vector<std::vector<HandOver<Amount>>> inbox(outbox_.size());
    std::vector<std::int64_t> work;
    while (true) {
      for (std::vector<HandOver<Amount>>& out : outbox_) {
        for (const HandOver<Amount>& h : out) {
          inbox[static_cast<std::size_t>(tiling_.of_cell(h.cell / cols, h.cell % cols))].push_back(h);
        }
        out.clear();
      }
      work.clear();
      for (std::size_t i = 0; i < inbox.size(); ++i) {
        if (!inbox[i].empty()) work.push_back(static_cast<std::int64_t>(i));
      }
      if (work.empty()) return;
      tiling_.each(work, [&](std::int64_t i) {
        const auto n = static_cast<std::size_t>(i);
        for (const HandOver<Amount>& h : inbox[n]) {
          amount_[h.cell] = merge_(amount_[h.cell], h.amount);
          codes_[h.cell] = static_cast<std::uint8_t>(codes_[h.cell] - kOneAbove);
          if (codes_[h.cell] < kOneAbove) pass_on(h.cell, outbox_[n]);
        }
        inbox[n].clear();
      });
    }
  }

  const Grid<std::uint8_t>& directions_;
  Tiling tiling_;
  std::int64_t step_[kBearings] = {};
  Grid<Amount> amount_;
  Grid<std::uint8_t> codes_;
  std::vector<std::vector<HandOver<Amount>>> outbox_;
  Send send_;
  Merge merge_;
};

}  // namespace curbshed::terrain
