#include "terrain/banded_levels.hpp"

#include <limits>
#include <utility>

namespace curbshed::terrain {

namespace {

/// The lowest neighbour of a cell among those of its band; as in lowest_neighbours, but what lies beyond the
/// band counts for nothing but its validity.
std::uint8_t lowest_in_band(const Ground& ground, const std::uint8_t* above_valid,
                            const std::uint8_t* below_valid, std::int64_t row, std::int64_t col) {
  const GridFrame& frame = ground.frame;
  if (ground.valid.at(row, col) == 0) return kInvalid;
  constexpr int kInOrder[kBearings] = {7, 0, 1, 6, 2, 5, 4, 3};
  std::uint8_t lowest = kPit;
  float least = ground.height_m.at(row, col);
  bool before = true;
  for (const int k : kInOrder) {
    const std::int64_t r = row + kRowStep[k];
    const std::int64_t c = col + kColStep[k];
    if (k == 2) before = false;
    if (c < 0 || c >= frame.cols) return kWayOut;
    if (r < 0 || r >= frame.rows) {
      const std::uint8_t* valid = r < 0 ? above_valid : below_valid;
      if (valid == nullptr || valid[c] == 0) return kWayOut;
      continue;
    }
    if (ground.valid.at(r, c) == 0) return kWayOut;
    const float height = ground.height_m.at(r, c);
    // Of equals the first: the cell itself comes after the four before it.
    if (height < least || (height <= least && before && lowest == kPit)) {
      lowest = static_cast<std::uint8_t>(k);
      least = height;
    }
  }
  return lowest;
}

}  // namespace

std::vector<Pass> tree_over(std::vector<Pass> passes, const std::vector<std::uint32_t>& terminal) {
  std::sort(passes.begin(), passes.end(), [](const Pass& a, const Pass& b) { return a.key < b.key; });
  std::vector<std::uint32_t> parent(terminal.size());
  for (std::size_t i = 0; i < parent.size(); ++i) parent[i] = static_cast<std::uint32_t>(i);
  std::vector<std::uint32_t> speaker = terminal;  // one terminal of those that are joined
  const auto root = [&](std::uint32_t at) {
    while (parent[at] != at) at = parent[at] = parent[parent[at]];
    return at;
  };
  std::vector<Pass> tree;
  for (const Pass& p : passes) {
    const std::uint32_t a = root(p.from);
    const std::uint32_t b = root(p.to);
    if (a == b) continue;
    const std::uint32_t low = std::min(a, b);
    parent[std::max(a, b)] = low;
    if (speaker[a] != kNotKept && speaker[b] != kNotKept) {
      tree.push_back({std::min(speaker[a], speaker[b]), std::max(speaker[a], speaker[b]), p.key});
    }
    speaker[low] = std::min(speaker[a], speaker[b]);
  }
  tree.shrink_to_fit();
  return tree;
}

BandedLevels::BandedLevels(const Bands& bands, GroundRows& source, Notes& notes, int threads)
    : bands_(bands),
      source_(source),
      notes_(notes),
      threads_(threads),
      kept_(static_cast<std::size_t>(bands.count())) {}

void BandedLevels::read(std::int64_t band) {
  if (held_ == band) return;
  held_ = band;
  const std::int64_t rows = bands_.rows(band);
  const std::int64_t cols = bands_.frame.cols;
  if (ground_.frame.rows != rows) {
    ground_.frame = bands_.frame;
    ground_.frame.rows = rows;
    levels_ = {};
    ground_.height_m = Grid<float>(rows, cols);
    ground_.valid = Grid<std::uint8_t>(rows, cols);
    levels_ = Grid<float>(rows, cols);
  }
  source_.read(bands_.row0(band), rows, ground_.height_m.data(), ground_.valid.data());
}

BandedLevels::BandGraph BandedLevels::graph_of(std::int64_t band, const Frontier& above) {
  const std::int64_t rows = bands_.rows(band);
  const std::int64_t cols = bands_.frame.cols;
  const Tiling tiling(rows, cols, {threads_, 0, 0});
  Grid<std::uint8_t> lowest = lowest_neighbours(ground_, {}, {}, tiling);
  for (const std::int64_t row : {std::int64_t{0}, rows - 1}) {
    for (std::int64_t c = 0; c < cols; ++c) {
      lowest.at(row, c) = lowest_in_band(ground_, above.row.empty() ? nullptr : above.row.valid.data(),
                                         bands_.last(band) ? nullptr : next_valid_.data(), row, c);
    }
  }
  BandGraph graph;
  graph.joined = label_basins(std::move(lowest), tiling, levels_);
  const auto label_at = [&](std::int64_t row, std::int64_t c) {
    return graph.joined[label_in(levels_.at(row, c))];
  };
  graph.passes = lowest_passes(ground_, {}, levels_, threads_);
  for (Pass& p : graph.passes) p = {graph.joined[p.from], graph.joined[p.to], p.key};
  graph.own = static_cast<std::uint32_t>(graph.joined.size() - 1);
  base::ensure(graph.joined.size() + above.labels < kOneWay, "31 bits count the labels of a band");
  for (std::uint32_t label = 1; label <= above.labels; ++label) graph.joined.push_back(graph.own + label);
  const auto of_frontier = [&](std::uint32_t label) { return label == kOutside ? label : graph.own + label; };
  for (const Pass& p : above.passes) graph.passes.push_back({of_frontier(p.from), of_frontier(p.to), p.key});
  for (std::int64_t c = 0; c < (above.row.empty() ? 0 : cols); ++c) {
    if (ground_.valid[c] == 0) continue;
    for (std::int64_t up = std::max<std::int64_t>(c - 1, 0); up <= std::min(c + 1, cols - 1); ++up) {
      const auto u = static_cast<std::size_t>(up);
      const std::uint32_t label = of_frontier(above.label[u]);
      if (above.row.valid[u] == 0 || label == label_at(0, c)) continue;
      const float height = std::max(above.row.height_m[u], ground_.height_m[c]);
      graph.passes.push_back({label_at(0, c), label, ordered(plain(height))});
    }
  }
  graph.lower.resize(static_cast<std::size_t>(cols));
  for (std::int64_t c = 0; c < cols; ++c) graph.lower[static_cast<std::size_t>(c)] = label_at(rows - 1, c);
  return graph;
}

void BandedLevels::down(std::int64_t band) {
  const std::int64_t rows = bands_.rows(band);
  const std::int64_t cols = bands_.frame.cols;
  read(band);
  if (bands_.last(band)) return;  // the way up begins with it
  next_valid_.resize(static_cast<std::size_t>(cols));
  std::vector<float> unused(next_valid_.size());
  source_.read(bands_.row0(band) + rows, 1, unused.data(), next_valid_.data());
  BandGraph graph = graph_of(band, last_);
  Frontier frontier;
  frontier.row.height_m.assign(&ground_.height_m.at(rows - 1, 0), &ground_.height_m.at(rows - 1, 0) + cols);
  frontier.row.valid.assign(&ground_.valid.at(rows - 1, 0), &ground_.valid.at(rows - 1, 0) + cols);
  std::vector<std::uint32_t> number(graph.joined.size(), kNotKept);
  number[kOutside] = kOutside;
  for (const std::uint32_t label : graph.lower) {
    if (number[label] == kNotKept) number[label] = ++frontier.labels;
    frontier.label.push_back(number[label]);
  }
  frontier.passes = tree_over(std::move(graph.passes), number);
  kept_[static_cast<std::size_t>(band)] = {notes_.keep(frontier.row.height_m),
                                           notes_.keep(frontier.row.valid), notes_.keep(frontier.label),
                                           notes_.keep(frontier.passes)};
  last_ = std::move(frontier);
}

BandedLevels::Frontier BandedLevels::frontier_above(std::int64_t band) {
  Frontier above;
  if (bands_.first(band)) return above;
  const Kept& kept = kept_[static_cast<std::size_t>(band - 1)];
  above.row.height_m = notes_.read<float>(kept.height_m);
  above.row.valid = notes_.read<std::uint8_t>(kept.valid);
  above.label = notes_.read<std::uint32_t>(kept.label);
  above.passes = notes_.read<Pass>(kept.passes);
  for (const std::uint32_t label : above.label) above.labels = std::max(above.labels, label);
  return above;
}

void BandedLevels::up(std::int64_t band, const std::function<void(const LevelBand&)>& use) {
  const std::int64_t cols = bands_.frame.cols;
  last_ = {};
  read(band);
  next_valid_ = below_.valid;
  Frontier above = frontier_above(band);
  BandGraph graph = graph_of(band, above);
  if (!bands_.last(band)) {
    const std::vector<std::uint32_t> number =
        notes_.read<std::uint32_t>(kept_[static_cast<std::size_t>(band)].label);
    for (std::size_t c = 0; c < number.size(); ++c) {
      const bool known = number[c] == kOutside || (c > 0 && number[c] == number[c - 1]);
      if (!known) graph.passes.push_back({kOutside, graph.lower[c], ordered(plain(spill_[number[c] - 1]))});
    }
  }
  const std::uint32_t own = graph.own;
  const std::vector<float> spill = spill_levels(std::move(graph.passes), graph.joined);
  graph = {};
  spill_.assign(spill.begin() + own + 1, spill.end());
  above.row.level_m.resize(above.row.valid.size(), 0.0F);
  for (std::size_t c = 0; c < above.row.valid.size(); ++c) {
    if (above.row.valid[c] == 0) continue;
    const float outside = -std::numeric_limits<float>::infinity();
    const float at = above.label[c] == kOutside ? outside : spill_[above.label[c] - 1];
    above.row.level_m[c] = std::max(plain(above.row.height_m[c]), at);
  }
  const std::int64_t rows = bands_.rows(band);
  base::parallel_stripes(rows, rows, {threads_}, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t cell = begin * cols; cell < end * cols; ++cell) {
      const float level = std::max(plain(ground_.height_m[cell]), spill[label_in(levels_[cell])]);
      levels_[cell] = ground_.valid[cell] != 0 ? level : 0.0F;
    }
  });
  use({band, ground_, levels_, above.row, below_});
  below_.height_m.assign(ground_.height_m.data(), ground_.height_m.data() + cols);
  below_.valid.assign(ground_.valid.data(), ground_.valid.data() + cols);
  below_.level_m.assign(levels_.data(), levels_.data() + cols);
}

}  // namespace curbshed::terrain
