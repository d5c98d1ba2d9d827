#include "terrain/basin_stripes.hpp"

#include <algorithm>

namespace curbshed::terrain {

namespace {

std::int64_t rows_of_a_stripe(const GridFrame& frame, const WorkPlan& plan) {
  constexpr std::int64_t kCells = std::int64_t{1} << 21;
  constexpr std::int64_t kFewest = 64;  // the fewer rows, the more labels lie at a rim
  const std::int64_t cols = std::max<std::int64_t>(frame.cols, 1);
  const std::int64_t wanted = plan.tile_rows > 0 ? plan.tile_rows : std::max(kFewest, kCells / cols);
  return std::clamp<std::int64_t>(wanted, 1, std::max<std::int64_t>(Tiling::kMostCells / cols, 1));
}

}  // namespace

BasinStripes::BasinStripes(const Ground& ground, const Walls& walls, const Grid<std::uint8_t>& drains,
                           const WorkPlan& plan)
    : ground_(ground),
      walls_(walls),
      drains_(drains),
      threads_(std::max(1, plan.threads)),
      stripe_rows_(rows_of_a_stripe(ground.frame, plan)) {
  const std::int64_t rows = ground.frame.rows;
  if (ground.frame.cols == 0) return;
  for (std::int64_t row = 0; row < rows; row += stripe_rows_) {
    stripes_.emplace_back();
    stripes_.back().row0 = row;
    stripes_.back().rows = std::min(stripe_rows_, rows - row);
  }
}

Grid<float> BasinStripes::levels() {
  levels_ = Grid<float>::unwritten(ground_.frame.rows, ground_.frame.cols);
  if (stripes_.empty()) return std::move(levels_);
  const auto n = static_cast<std::int64_t>(stripes_.size());
  const auto each_stripe = [&](auto body) {
    base::parallel_stripes(n, n, {threads_}, [&](std::int64_t begin, std::int64_t end) {
      for (std::int64_t i = begin; i < end; ++i) body(stripes_[static_cast<std::size_t>(i)]);
    });
  };
  each_stripe([&](Stripe& stripe) { settle(stripe); });
  const std::vector<float> spill = solve();
  each_stripe([&](Stripe& stripe) {
    raise(stripe, spill);
    stripe = {};
  });
  return std::move(levels_);
}

/// Crests of some rows, with the cell beyond.
template <class Body>
void BasinStripes::each_crest(std::int64_t row0, std::int64_t rows, Body body) const {
  const std::int64_t cols = ground_.frame.cols;
  walls_.each_crest(row0 * cols, (row0 + rows) * cols, [&](const Crest& crest) {
    body(crest, crest.cell + kRowStep[crest.bearing] * cols + kColStep[crest.bearing]);
  });
}

void BasinStripes::settle(Stripe& stripe) {
  const std::int64_t cols = ground_.frame.cols;
  const std::int64_t begin = stripe.row0 * cols;
  std::uint32_t labels = 0;
  {
    Grid<std::uint8_t> lowest = Grid<std::uint8_t>::unwritten(stripe.rows, cols);
    LowestNeighbours finder(ground_, walls_, drains_);
    for (std::int64_t r = 0; r < stripe.rows; ++r) {
      finder.find(stripe.row0 + r, 0, cols, &lowest.at(r, 0));
    }
    const Tile tile{0, 0, stripe.rows, cols};
    count_labels(tile, lowest.data(), cols);
    labels = label_tile(tile, lowest.data(), cols, 1, levels_.data() + begin, stripe.onward);
  }
  const std::vector<std::uint32_t> terminal = find_terminals(stripe, labels);
  for (Onward& way : stripe.onward) {
    way.label = terminal[way.label];
    way.cell += begin;
  }
  stripe.settled = settle_inside(passes_inside(stripe), terminal, stripe.terminals);
}

/// Labels in a row beside another stripe, and on both sides of a wall.
std::vector<std::uint32_t> BasinStripes::find_terminals(Stripe& stripe, std::uint32_t labels) const {
  const std::int64_t cols = ground_.frame.cols;
  const std::int64_t begin = stripe.row0 * cols;
  const std::int64_t end = begin + stripe.rows * cols;
  std::vector<std::uint32_t> terminal(labels, kNoTerminal);
  terminal[kOutside] = kOutside;
  const auto mark = [&](std::int64_t cell) {
    std::uint32_t& number = terminal[label_in(levels_[cell])];
    if (number == kNoTerminal) number = ++stripe.terminals;
  };
  if (begin > 0) {
    for (std::int64_t cell = begin; cell < begin + cols; ++cell) mark(cell);
  }
  if (end < ground_.frame.cells()) {
    for (std::int64_t cell = end - cols; cell < end; ++cell) mark(cell);
  }
  each_crest(stripe.row0, stripe.rows, [&](const Crest& crest, std::int64_t next) {
    if (next < begin || next >= end || label_in(levels_[crest.cell]) == label_in(levels_[next])) return;
    mark(crest.cell);
    mark(next);
  });
  return terminal;
}

std::vector<Pass> BasinStripes::passes_inside(const Stripe& stripe) const {
  const auto cols = static_cast<std::size_t>(ground_.frame.cols);
  const std::int64_t begin = stripe.row0 * ground_.frame.cols;
  const std::int64_t end = begin + stripe.rows * ground_.frame.cols;
  RowPasses passes(ground_, walls_);
  PassFilter found(ground_.frame.cols);
  std::vector<std::uint32_t> upper(cols);
  std::vector<std::uint32_t> lower(cols);
  copy_labels(&levels_.at(stripe.row0, 0), upper);
  if (stripe.rows == 1) passes.find(stripe.row0, upper.data(), found);
  for (std::int64_t row = stripe.row0; row + 1 < stripe.row0 + stripe.rows; ++row) {
    copy_labels(&levels_.at(row + 1, 0), lower);
    passes.find(row, upper.data(), lower.data(), found);
    upper.swap(lower);
  }
  each_crest(stripe.row0, stripe.rows, [&](const Crest& crest, std::int64_t next) {
    if (next < begin || next >= end) return;
    passes.find(crest, label_in(levels_[crest.cell]), label_in(levels_[next]), found);
  });
  return found.take();
}

/// Number in the whole raster of the terminal at a cell in a row beside another stripe.
std::uint32_t BasinStripes::terminal_at(std::int64_t cell) const {
  const Stripe& stripe = stripes_[stripe_of(cell / ground_.frame.cols)];
  return stripe.global(stripe.settled.target[label_in(levels_[cell])]);
}

/// Passes between a stripe and the next one, both ways and one way.
std::vector<Pass> BasinStripes::passes_below(std::size_t i) const {
  const std::int64_t cols = ground_.frame.cols;
  const std::int64_t border = stripes_[i + 1].row0 * cols;
  RowPasses passes(ground_, walls_);
  PassFilter found(cols);
  std::vector<std::uint32_t> upper(static_cast<std::size_t>(cols));
  std::vector<std::uint32_t> lower(upper.size());
  for (std::int64_t c = 0; c < cols; ++c) {
    upper[static_cast<std::size_t>(c)] = terminal_at(border - cols + c);
    lower[static_cast<std::size_t>(c)] = terminal_at(border + c);
  }
  passes.find(stripes_[i + 1].row0 - 1, upper.data(), lower.data(), found);
  each_crest(stripes_[i + 1].row0 - 1, 2, [&](const Crest& crest, std::int64_t next) {
    if ((crest.cell < border) == (next < border)) return;
    passes.find(crest, terminal_at(crest.cell), terminal_at(next), found);
  });
  return found.take();
}

/// Its passes, by the numbers in the whole raster. The stripe keeps none.
std::vector<Pass> BasinStripes::take_passes(Stripe& stripe) {
  std::vector<Pass> all = std::move(stripe.settled.passes);
  for (Pass& p : all) {
    p = {stripe.global(p.from & ~kOneWay) | (p.from & kOneWay), stripe.global(p.to), p.key};
  }
  return all;
}

/// Spill levels of the terminals.
std::vector<float> BasinStripes::solve() {
  std::int64_t terminals = 0;
  for (Stripe& stripe : stripes_) {
    stripe.before = static_cast<std::uint32_t>(terminals);
    terminals += stripe.terminals;
    ensure_labels_fit(terminals + 1);
  }
  std::vector<std::vector<Pass>> found(2 * stripes_.size());
  const auto n = static_cast<std::int64_t>(stripes_.size());
  base::parallel_stripes(n, n, {threads_}, [&](std::int64_t begin, std::int64_t end) {
    for (auto i = static_cast<std::size_t>(begin); i < static_cast<std::size_t>(end); ++i) {
      found[2 * i] = take_passes(stripes_[i]);
      if (i + 1 < stripes_.size()) found[2 * i + 1] = passes_below(i);
    }
  });
  std::vector<std::uint32_t> joined(static_cast<std::size_t>(terminals) + 1);
  for (std::size_t i = 0; i < joined.size(); ++i) joined[i] = static_cast<std::uint32_t>(i);
  std::vector<std::vector<Onward>> onward(stripes_.size());
  for (std::size_t i = 0; i < stripes_.size(); ++i) {
    onward[i].swap(stripes_[i].onward);
    for (Onward& way : onward[i]) way.label = stripes_[i].global(way.label);
  }
  join_onward(
      onward, [&](std::int64_t cell) { return terminal_at(cell); }, joined);
  return spill_levels(together(found), joined);
}

void BasinStripes::raise(const Stripe& stripe, const std::vector<float>& spill) {
  const std::int64_t cols = ground_.frame.cols;
  std::vector<float> level_m = stripe.settled.floor_m;
  for (std::size_t label = 0; label < level_m.size(); ++label) {
    level_m[label] = std::max(level_m[label], spill[stripe.global(stripe.settled.target[label])]);
  }
  for (std::int64_t cell = stripe.row0 * cols; cell < (stripe.row0 + stripe.rows) * cols; ++cell) {
    const float level = std::max(plain(ground_.height_m[cell]), level_m[label_in(levels_[cell])]);
    levels_[cell] = ground_.valid[cell] != 0 ? level : 0.0F;
  }
}

}  // namespace curbshed::terrain
