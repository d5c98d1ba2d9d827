#include "terrain/basin_graph.hpp"

#include <algorithm>
#include <cstring>
#include <limits>

namespace curbshed::terrain {

namespace {

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

/// Sets of the numbers 0 … n − 1.
class Sets {
 public:
  explicit Sets(std::size_t n) : parent_(n) {
    for (std::size_t i = 0; i < n; ++i) parent_[i] = static_cast<std::uint32_t>(i);
  }
  std::uint32_t root(std::uint32_t at) {
    while (parent_[at] != at) at = parent_[at] = parent_[parent_[at]];
    return at;
  }
  /// Two roots. False when they are one.
  bool join(std::uint32_t a, std::uint32_t b) {
    parent_[std::max(a, b)] = std::min(a, b);
    return a != b;
  }

 private:
  std::vector<std::uint32_t> parent_;
};

/// Leaves out every two-way pass whose ends are joined by others that are no higher: no way out gets lower by
/// it, whatever one-way passes there are besides.
void thin_out(std::vector<Pass>& two_way) {
  sort_by_key(two_way);
  std::uint32_t first = kOneWay;
  std::uint32_t last = 0;
  for (const Pass& p : two_way) {
    for (const std::uint32_t label : {p.from, p.to}) {
      if (label != kOutside) first = std::min(first, label);
      last = std::max(last, label);
    }
  }
  Sets joined(last < first ? 1 : std::size_t{last - first} + 2);
  const auto place = [first](std::uint32_t label) { return label == kOutside ? 0 : label - first + 1; };
  std::erase_if(two_way, [&](const Pass& p) {
    return !joined.join(joined.root(place(p.from)), joined.root(place(p.to)));
  });
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
  const std::int64_t cols = ground.frame.cols;
  const std::int64_t stripes = std::min<std::int64_t>(rows, threads == 1 ? 8 : 4 * threads);
  std::vector<std::vector<Pass>> found(static_cast<std::size_t>(2 * stripes));
  base::parallel_stripes(stripes, stripes, {threads}, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t s = begin; s < end; ++s) {
      RowPasses passes(ground, walls);
      PassFilter two_way(cols);
      PassFilter one_way(cols);
      std::vector<std::uint32_t> upper(static_cast<std::size_t>(cols));
      std::vector<std::uint32_t> lower(upper.size());
      const std::int64_t last = rows * (s + 1) / stripes;
      for (std::int64_t row = rows * s / stripes; row < last; ++row) {
        if (row == rows * s / stripes) copy_labels(&labels.at(row, 0), upper);
        if (row + 1 < rows) {
          copy_labels(&labels.at(row + 1, 0), lower);
          passes.find(row, upper.data(), lower.data(), two_way);
        } else {
          passes.find(row, upper.data(), two_way);
        }
        upper.swap(lower);
      }
      walls.each_crest(rows * s / stripes * cols, last * cols, [&](const Crest& crest) {
        const std::int64_t next = crest.cell + kRowStep[crest.bearing] * cols + kColStep[crest.bearing];
        passes.find(crest, label_in(labels[crest.cell]), label_in(labels[next]), one_way);
      });
      found[static_cast<std::size_t>(2 * s)] = two_way.take();
      thin_out(found[static_cast<std::size_t>(2 * s)]);
      found[static_cast<std::size_t>(2 * s + 1)] = one_way.take();
    }
  });
  return together(found);
}

std::vector<Pass> together(std::vector<std::vector<Pass>>& lists) {
  std::size_t count = 0;
  for (const auto& some : lists) count += some.size();
  std::vector<Pass> all;
  all.reserve(count);
  for (auto& some : lists) {
    all.insert(all.end(), some.begin(), some.end());
    std::vector<Pass>().swap(some);
  }
  return all;
}

void copy_labels(const float* labels, std::vector<std::uint32_t>& into) {
  std::memcpy(into.data(), labels, into.size() * sizeof(float));
}

Settled settle_inside(std::vector<Pass> passes, const std::vector<std::uint32_t>& terminal,
                      std::uint32_t terminals) {
  sort_by_key(passes);
  Settled out;
  out.target = terminal;
  out.floor_m.assign(terminal.size(), -std::numeric_limits<float>::infinity());
  // Sets without a terminal; when one meets a set with terminals it is settled and grows no more.
  Sets inner(terminal.size());
  Sets outer(std::size_t{terminals} + 1);
  std::vector<Pass> met(std::size_t{1} << 12);  // one-way passes given out
  for (const Pass& p : passes) {
    const std::uint32_t one_way = p.from & kOneWay;
    const std::uint32_t a = inner.root(p.from & ~kOneWay);
    const std::uint32_t b = inner.root(p.to);
    if (one_way != 0) {
      // Others that are no higher join both ways what is in one set: so it is a pass between the sets, and
      // the first between two sets is the lowest.
      const std::uint32_t from = outer.root(out.target[a]);
      const std::uint32_t to = outer.root(out.target[b]);
      Pass& known = met[(from * 0x9E3779B1U ^ to * 0x85EBCA6BU) % met.size()];
      if (from == to || from == kOutside || (known.from == from && known.to == to)) continue;
      known = {from, to, p.key};
      out.passes.push_back({from | kOneWay, to, p.key});
      continue;
    }
    if (out.target[a] == kNoTerminal && out.target[b] == kNoTerminal) {
      inner.join(a, b);
    } else if (out.target[a] == kNoTerminal || out.target[b] == kNoTerminal) {
      const std::uint32_t set = out.target[a] == kNoTerminal ? a : b;
      out.target[set] = out.target[a == set ? b : a];
      out.floor_m[set] = level_of(p.key);
    } else if (outer.join(outer.root(out.target[a]), outer.root(out.target[b]))) {
      out.passes.push_back({out.target[a], out.target[b], p.key});
    }
  }
  out.passes.shrink_to_fit();
  for (std::uint32_t label = 0; label < terminal.size(); ++label) {
    const std::uint32_t root = inner.root(label);
    base::ensure(out.target[root] != kNoTerminal, "every basin has a way out");
    out.target[label] = out.target[root];
    out.floor_m[label] = out.floor_m[root];
  }
  return out;
}

std::vector<float> spill_levels(std::vector<Pass> passes, const std::vector<std::uint32_t>& joined) {
  base::ensure(passes.size() < kOneWay, "31 bits count the passes");
  sort_by_key(passes);
  std::vector<float> levels = Rise(std::move(passes), joined).run();
  for (std::size_t label = 0; label < levels.size(); ++label) levels[label] = levels[joined[label]];
  return levels;
}

}  // namespace curbshed::terrain
