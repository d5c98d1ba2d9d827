#include "terrain/basin_graph.hpp"

#include "terrain/vectors.hpp"

#include <algorithm>
#include <cstring>
#include <limits>

namespace curbshed::terrain {

namespace {

/// Keeps the lowest of passes between the same labels as long as they come close together, as they do when
/// the raster is read row by row.
class PassFilter {
 public:
  /// Room for the labels of a few rows.
  explicit PassFilter(std::int64_t cols)
      : bits_(std::clamp(static_cast<int>(std::bit_width(static_cast<std::uint64_t>(4 * cols))), 4, 15)),
        recent_(std::size_t{1} << bits_) {}

  void offer(std::uint32_t from, std::uint32_t to, std::uint32_t key) {
    const std::uint32_t mixed = (from * 0x9E3779B1U) ^ (to * 0x85EBCA6BU);
    Pass& slot = recent_[(mixed * 0xC2B2AE35U) >> (32 - bits_)];
    if (slot.from == from && slot.to == to) {
      slot.key = std::min(slot.key, key);
      return;
    }
    keep(slot);
    slot = {from, to, key};
  }
  std::vector<Pass> take() {
    for (const Pass& slot : recent_) keep(slot);
    recent_ = {};
    std::size_t count = 0;
    for (const auto& some : kept_) count += some.size();
    std::vector<Pass> all;
    all.reserve(count);
    for (auto& some : kept_) {
      all.insert(all.end(), some.begin(), some.end());
      std::vector<Pass>().swap(some);
    }
    return all;
  }

 private:
  void keep(const Pass& pass) {
    if (pass.from == pass.to) return;
    constexpr std::size_t kTogether = 1U << 14;
    if (kept_.empty() || kept_.back().size() == kTogether) {
      kept_.emplace_back();
      if (kept_.size() > 1) kept_.back().reserve(kTogether);
    }
    kept_.back().push_back(pass);
  }

  int bits_;
  std::vector<Pass> recent_;
  std::vector<std::vector<Pass>> kept_;  ///< in pieces, so that none is copied to make room
};

/// Neighbours that come after a cell, so that each pair is met once.
constexpr int kAfter[] = {2, 5, 4, 3};

/// Whether a cell has another label than any neighbour after it. Cells 1 … cols − 2 of a row.
CURBSHED_VECTOR_CLONES
void find_borders(const std::uint32_t* row, const std::uint32_t* below, std::int64_t cols,
                  std::uint32_t* border) {
  for (std::int64_t c = 1; c < cols - 1; ++c) {
    border[c] =
        (row[c] ^ row[c + 1]) | (row[c] ^ below[c - 1]) | (row[c] ^ below[c]) | (row[c] ^ below[c + 1]);
  }
}

class Borders {
 public:
  Borders(const Ground& ground, const Walls& walls, const Grid<float>& labels)
      : ground_(ground),
        walls_(walls),
        labels_(labels),
        row_(static_cast<std::size_t>(ground.frame.cols)),
        below_(row_.size()),
        border_(row_.size(), 1),
        border_cells_(row_.size()),
        steps_(row_.size()),
        passes_(ground.frame.cols),
        one_way_(ground.frame.cols) {}

  void look_at(std::int64_t row) {
    const std::int64_t cols = ground_.frame.cols;
    const bool last = row + 1 == ground_.frame.rows;
    load(row, row_);
    if (last) {
      std::fill(border_.begin(), border_.end(), 1U);
    } else {
      load(row + 1, below_);
      find_borders(row_.data(), below_.data(), cols, border_.data());
    }
    for (const std::int64_t c : {std::int64_t{0}, cols - 1}) {
      for (const int k : kAfter) {
        const std::int64_t col = c + kColStep[k];
        if (col < 0 || col >= cols || (last && k != 2)) continue;
        offer(row, c, k);
      }
      if (cols == 1) break;
    }
    // First which steps, without branches that nobody can foresee; then what they are.
    std::size_t cells = 0;
    for (std::int64_t c = 1; c < cols - 1; ++c) {
      border_cells_[cells] = static_cast<std::int32_t>(c);
      cells += border_[static_cast<std::size_t>(c)] != 0 ? 1U : 0U;
    }
    for (const int k : kAfter) {
      if (last && k != 2) break;
      const std::uint32_t* other = (k == 2 ? row_ : below_).data() + kColStep[k];
      std::size_t steps = 0;
      for (std::size_t i = 0; i < cells; ++i) {
        const std::int32_t c = border_cells_[i];
        steps_[steps] = c;
        steps += row_[static_cast<std::size_t>(c)] != other[c] ? 1U : 0U;
      }
      for (std::size_t i = 0; i < steps; ++i) offer(row, steps_[i], k);
    }
  }

  /// A walled step, and the step back unless that has a crest of its own.
  void look_at(const Crest& crest) {
    const std::int64_t next =
        crest.cell + kRowStep[crest.bearing] * ground_.frame.cols + kColStep[crest.bearing];
    const std::uint32_t from = label_in(labels_[crest.cell]);
    const std::uint32_t to = label_in(labels_[next]);
    if (from == to || ground_.valid[crest.cell] == 0 || ground_.valid[next] == 0) return;
    const std::uint32_t pass = highest(crest.cell, next);
    if (from != kOutside) one_way_.offer(from | kOneWay, to, std::max(pass, ordered(plain(crest.height_m))));
    if (to != kOutside && !walls_.walled(next, opposite(crest.bearing)))
      one_way_.offer(to | kOneWay, from, pass);
  }

  std::vector<Pass> take(bool one_way) { return one_way ? one_way_.take() : passes_.take(); }

 private:
  void offer(std::int64_t row, std::int64_t c, int k) {
    const std::int64_t cols = ground_.frame.cols;
    const std::uint32_t label = row_[static_cast<std::size_t>(c)];
    const std::uint32_t other = (k == 2 ? row_ : below_)[static_cast<std::size_t>(c + kColStep[k])];
    if (label == other) return;
    const std::int64_t cell = row * cols + c;
    const std::int64_t next = cell + kRowStep[k] * cols + kColStep[k];
    if (walls_.walled(cell, k) || walls_.walled(next, opposite(k))) return;
    passes_.offer(std::min(label, other), std::max(label, other), highest(cell, next));
  }
  void load(std::int64_t row, std::vector<std::uint32_t>& into) const {
    std::memcpy(into.data(), labels_.data() + row * ground_.frame.cols, into.size() * sizeof(float));
  }
  std::uint32_t highest(std::int64_t a, std::int64_t b) const {
    return ordered(plain(std::max(ground_.height_m[a], ground_.height_m[b])));
  }

  const Ground& ground_;
  const Walls& walls_;
  const Grid<float>& labels_;
  std::vector<std::uint32_t> row_;
  std::vector<std::uint32_t> below_;
  std::vector<std::uint32_t> border_;
  std::vector<std::int32_t> border_cells_;
  std::vector<std::int32_t> steps_;
  PassFilter passes_;
  PassFilter one_way_;
};

/// By key: radix sort, lowest digits first.
void sort_by_key(std::vector<Pass>& passes) {
  constexpr int kDigit = 11;
  constexpr std::uint32_t kDigits = 1U << kDigit;
  std::vector<Pass> other(passes.size());
  for (int shift = 0; shift < 32; shift += kDigit) {
    std::vector<std::size_t> place(kDigits + 1, 0);
    for (const Pass& p : passes) ++place[((p.key >> shift) & (kDigits - 1)) + 1];
    for (std::size_t d = 0; d < kDigits; ++d) place[d + 1] += place[d];
    for (const Pass& p : passes) other[place[(p.key >> shift) & (kDigits - 1)]++] = p;
    passes.swap(other);
  }
}

/// Which labels are joined, among those that occur in a list of passes.
class Joined {
 public:
  explicit Joined(const std::vector<Pass>& passes) {
    std::uint32_t last = 0;
    first_ = kOneWay;
    for (const Pass& p : passes) {
      for (const std::uint32_t label : {p.from, p.to}) {
        if (label != kOutside) first_ = std::min(first_, label);
        last = std::max(last, label);
      }
    }
    parent_.resize(last < first_ ? 1 : last - first_ + 2);
    for (std::size_t i = 0; i < parent_.size(); ++i) parent_[i] = static_cast<std::uint32_t>(i);
  }
  /// False when they were joined before.
  bool join(std::uint32_t a, std::uint32_t b) {
    a = root(a == kOutside ? 0 : a - first_ + 1);
    b = root(b == kOutside ? 0 : b - first_ + 1);
    parent_[std::max(a, b)] = std::min(a, b);
    return a != b;
  }

 private:
  std::uint32_t root(std::uint32_t at) {
    while (parent_[at] != at) at = parent_[at] = parent_[parent_[at]];
    return at;
  }
  std::uint32_t first_ = 0;
  std::vector<std::uint32_t> parent_;
};

/// Leaves out every two-way pass whose ends are joined by others that are no higher: no way out gets lower by
/// it, whatever one-way passes there are besides.
void thin_out(std::vector<Pass>& two_way) {
  sort_by_key(two_way);
  Joined joined(two_way);
  std::erase_if(two_way, [&](const Pass& p) { return !joined.join(p.from, p.to); });
  two_way.shrink_to_fit();
}

/// Rising water from outside: passes in the order of height; a pass to a place that is not yet reached waits
/// there.
class Rise {
 public:
  Rise(std::vector<Pass> passes, const std::vector<std::uint32_t>& joined)
      : passes_(std::move(passes)),
        level_(joined.size(), std::numeric_limits<float>::infinity()),
        reached_(joined.size(), 0),
        waiting_(joined.size(), 0),
        behind_(2 * passes_.size() + 1, 0) {
    level_[kOutside] = -std::numeric_limits<float>::infinity();
    reached_[kOutside] = 1;
    for (Pass& p : passes_) {
      const std::uint32_t one_way = p.from & kOneWay;
      p.from = joined[p.from & ~kOneWay] | one_way;
      p.to = joined[p.to];
    }
  }

  std::vector<float> run() {
    for (std::size_t i = 0; i < passes_.size(); ++i) {
      const std::uint32_t from = passes_[i].from & ~kOneWay;
      const std::uint32_t to = passes_[i].to;
      const bool one_way = (passes_[i].from & kOneWay) != 0;
      if (from == to) continue;
      const float level = level_of(passes_[i].key);
      if (reached_[to] != 0) {
        if (reached_[from] == 0) reach(from, level);
      } else if (!one_way && reached_[from] != 0) {
        reach(to, level);
      } else if (reached_[from] == 0) {
        wait(to, 2 * i);
        if (!one_way) wait(from, 2 * i + 1);
      }
    }
    return std::move(level_);
  }

 private:
  void wait(std::uint32_t at, std::size_t link) {
    behind_[link + 1] = waiting_[at];
    waiting_[at] = static_cast<std::uint32_t>(link + 1);
  }
  void reach(std::uint32_t label, float level) {
    settle(label, level);
    while (!rising_.empty()) {
      std::uint32_t link = waiting_[rising_.back()];
      rising_.pop_back();
      for (; link != 0; link = behind_[link]) {
        const Pass& p = passes_[(link - 1) / 2];
        const std::uint32_t other = (link - 1) % 2 == 0 ? p.from & ~kOneWay : p.to;
        if (reached_[other] == 0) settle(other, level);
      }
    }
  }
  void settle(std::uint32_t label, float level) {
    reached_[label] = 1;
    level_[label] = level;
    rising_.push_back(label);
  }

  std::vector<Pass> passes_;
  std::vector<float> level_;
  std::vector<std::uint8_t> reached_;
  std::vector<std::uint32_t> waiting_;
  std::vector<std::uint32_t> behind_;
  std::vector<std::uint32_t> rising_;
};

}  // namespace

std::vector<Pass> lowest_passes(const Ground& ground, const Walls& walls, const Grid<float>& labels,
                                int threads) {
  const std::int64_t rows = ground.frame.rows;
  const auto crests = static_cast<std::int64_t>(walls.crests.size());
  const std::int64_t stripes = std::min<std::int64_t>(rows, threads == 1 ? 8 : 4 * threads);
  std::vector<std::vector<Pass>> found(static_cast<std::size_t>(2 * stripes));
  base::parallel_stripes(stripes, stripes, {threads}, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t s = begin; s < end; ++s) {
      Borders borders(ground, walls, labels);
      for (std::int64_t row = rows * s / stripes; row < rows * (s + 1) / stripes; ++row) borders.look_at(row);
      for (std::int64_t i = crests * s / stripes; i < crests * (s + 1) / stripes; ++i) {
        borders.look_at(walls.crests[static_cast<std::size_t>(i)]);
      }
      found[static_cast<std::size_t>(2 * s)] = borders.take(false);
      thin_out(found[static_cast<std::size_t>(2 * s)]);
      found[static_cast<std::size_t>(2 * s + 1)] = borders.take(true);
    }
  });
  std::size_t count = 0;
  for (const auto& some : found) count += some.size();
  std::vector<Pass> all;
  all.reserve(count);
  for (auto& some : found) {
    all.insert(all.end(), some.begin(), some.end());
    std::vector<Pass>().swap(some);
  }
  return all;
}

std::vector<float> spill_levels(std::vector<Pass> passes, const std::vector<std::uint32_t>& joined) {
  base::ensure(passes.size() < kOneWay, "31 bits count the passes");
  sort_by_key(passes);
  std::vector<float> levels = Rise(std::move(passes), joined).run();
  for (std::size_t label = 0; label < levels.size(); ++label) levels[label] = levels[joined[label]];
  return levels;
}

}  // namespace curbshed::terrain
