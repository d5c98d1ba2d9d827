#include "terrain/flats.hpp"

#include "curbshed/base/parallel.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <limits>
#include <utility>
#include <vector>

namespace curbshed::terrain {

namespace {

constexpr std::uint8_t kGathered = 254;  ///< undecided, and in the pond that is being solved
constexpr std::uint8_t kLeftOver = 253;  ///< undecided, in a pond that reaches the rim of its stripe
constexpr double kShallowest_m = 0.03;   ///< shallower water on a flat is as hard to pass as water this deep

constexpr std::uint64_t kMostCost = 7 * 1112;  ///< of one step

struct Place {
  std::int32_t row = 0;
  std::int32_t col = 0;
  std::uint32_t way_out = kStops;  ///< bearing of the cheapest step out of the flat
};

/// Places in the order of their cost, where none costs more than kBuckets − 1 above the last that left: a
/// ring of buckets (Dial 1969, Communications of the ACM 12:632-633), and bits that tell which hold
/// something.
class RingQueue {
 public:
  static constexpr std::uint64_t kBuckets = 1U << 13;
  static_assert(kMostCost < kBuckets);

  bool empty() const { return entries_in_ == 0; }
  /// Costs may start from 0 again. Precondition: empty.
  void restart() { cost_ = 0; }
  void push(std::uint64_t cost, std::uint64_t place) {
    if (free_ == 0) {
      entries_.push_back({});
      free_ = static_cast<std::uint32_t>(entries_.size() - 1);
    }
    const std::uint32_t entry = free_;
    const std::size_t bucket = cost % kBuckets;
    free_ = entries_[entry].next;
    entries_[entry].place = place;
    entries_[entry].next = first_[bucket];
    first_[bucket] = entry;
    filled_[bucket / 64] |= std::uint64_t{1} << (bucket % 64);
    words_[bucket / 4096] |= std::uint64_t{1} << (bucket / 64 % 64);
    ++entries_in_;
  }
  /// Precondition: not empty.
  std::pair<std::uint64_t, std::uint64_t> pop() {
    const std::size_t bucket = next_filled(cost_ % kBuckets);
    cost_ += (bucket - cost_) % kBuckets;
    const std::uint32_t entry = first_[bucket];
    first_[bucket] = entries_[entry].next;
    if (first_[bucket] == 0) {
      filled_[bucket / 64] &= ~(std::uint64_t{1} << (bucket % 64));
      if (filled_[bucket / 64] == 0) words_[bucket / 4096] &= ~(std::uint64_t{1} << (bucket / 64 % 64));
    }
    entries_[entry].next = free_;
    free_ = entry;
    --entries_in_;
    return {cost_, entries_[entry].place};
  }

 private:
  struct Entry {
    std::uint64_t place = 0;
    std::uint32_t next = 0;
  };

  std::size_t next_filled(std::size_t from) const {
    const std::uint64_t here = filled_[from / 64] >> (from % 64);
    if (here != 0) return from + static_cast<std::size_t>(std::countr_zero(here));
    // The rest of this word's group, then the groups in turn, the first one again at last.
    std::size_t group = from / 4096;
    std::uint64_t words = words_[group] & ~((std::uint64_t{2} << (from / 64 % 64)) - 1);
    while (words == 0) {
      group = (group + 1) % kGroups;
      words = words_[group];
    }
    const std::size_t word = 64 * group + static_cast<std::size_t>(std::countr_zero(words));
    return 64 * word + static_cast<std::size_t>(std::countr_zero(filled_[word]));
  }

  static constexpr std::size_t kGroups = kBuckets / 4096;
  std::array<std::uint32_t, kBuckets> first_{};  ///< entry, 0 for none
  std::array<std::uint64_t, kBuckets / 64> filled_{};
  std::array<std::uint64_t, kGroups> words_{};
  std::vector<Entry> entries_ = std::vector<Entry>(1);  ///< the first is none
  std::uint32_t free_ = 0;
  std::uint64_t cost_ = 0;
  std::size_t entries_in_ = 0;
};

/// What is known of a cell of a pond. Cells that are not of the pond are all zero: no step is cheaper than
/// theirs.
template <class Cost>
struct Spot {
  Cost cost;
  std::uint16_t resistance;
  std::uint8_t bearing;
  std::uint8_t walls;
};

/// The cells of a small pond in a box around them.
class Box {
 public:
  using Cost = std::uint32_t;
  static constexpr std::size_t kMost = std::size_t{1} << 18;

  void make_room(std::size_t area) {
    if (spots_.size() < area) spots_.resize(area, Spot<Cost>{});
  }
  void add(std::uint64_t) {}
  void number() {}
  Spot<Cost>& find(std::uint64_t place) { return spots_[place]; }
  void clear() {}

 private:
  std::vector<Spot<Cost>> spots_;  ///< all zero between ponds
};

/// The cells of a large pond, which may be thin in its box: a bit for each place, and only the cells
/// themselves stored, in the order of their places.
template <class CostType>
class SparseBox {
 public:
  using Cost = CostType;

  void make_room(std::size_t area) {
    bits_.assign(area / 64 + 1, 0);
    before_.assign(bits_.size(), 0);
  }
  void add(std::uint64_t place) { bits_[place / 64] |= std::uint64_t{1} << (place % 64); }
  void number() {
    std::uint32_t count = 0;
    for (std::size_t i = 0; i < bits_.size(); ++i) {
      before_[i] = count;
      count += static_cast<std::uint32_t>(std::popcount(bits_[i]));
    }
    spots_.assign(std::size_t{count} + 1, {});
  }
  Spot<Cost>& find(std::uint64_t place) {
    const std::uint64_t word = bits_[place / 64];
    const std::uint64_t bit = std::uint64_t{1} << (place % 64);
    if ((word & bit) == 0) return spots_.back();
    return spots_[before_[place / 64] + static_cast<std::size_t>(std::popcount(word & (bit - 1)))];
  }
  void clear() { *this = {}; }

 private:
  std::vector<std::uint64_t> bits_;
  std::vector<std::uint32_t> before_;
  std::vector<Spot<Cost>> spots_;  ///< the last one is no cell and stays zero
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
    width_ = right_ - left_ + 3;
    area_ = static_cast<std::size_t>(width_ * (bottom_ - top_ + 3));
    // As long as the longest way cannot cost more than 32 bits hold.
    constexpr std::size_t kNarrow = 0xFFFFFFFEU / kMostCost - 1;
    static_assert(Box::kMost <= kNarrow);
    if (area_ <= Box::kMost) {
      spread(small_);
    } else if (places_.size() <= kNarrow) {
      spread(narrow_);
    } else {
      spread(wide_);
    }
    return true;
  }
  /// The cells of the pond that was solved or left over last.
  const std::vector<Place>& places() const { return places_; }

 private:
  std::int64_t at(const Place& p) const { return p.row * s_.frame().cols + p.col; }

  void gather(std::int64_t row, std::int64_t col) {
    constexpr std::size_t kKept = std::size_t{1} << 18;
    if (places_.capacity() > kKept) places_ = std::vector<Place>();
    places_.assign(1, {static_cast<std::int32_t>(row), static_cast<std::int32_t>(col), kStops});
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
      std::uint32_t way_out = kStops;
      for (int k = 0; k < kBearings; ++k) {
        const std::int32_t r = p.row + kRowStep[k];
        // The level first: of another pond's cells, which another thread may be writing, nothing else is
        // read.
        if (r < first_ || r >= last_ || s_.levels[cell + step_[k]] != level) continue;
        std::uint8_t& there = directions_[cell + step_[k]];
        if (there == mark) {
          there = kGathered;
          places_.push_back({r, p.col + kColStep[k], kStops});
        } else if (there <= kStops) {
          // Straight steps are cheaper; of equals the lowest bearing.
          const bool better = way_out == kStops || (k % 2 == 0 && way_out % 2 != 0);
          if (better && s_.over_wall(cell, k)) way_out = static_cast<std::uint32_t>(k);
        }
      }
      places_[i].way_out = way_out;
    }
    base::ensure(places_.size() < std::numeric_limits<std::uint32_t>::max() / 4,
                 "30 bits number a pond's cells");
  }

  std::uint64_t spot_of(const Place& p) const {
    return static_cast<std::uint64_t>((p.row - top_ + 1) * width_ + p.col - left_ + 1);
  }

  /// From the ways out inwards. The steps to a cell come in the order of cost, so when it is its turn it has
  /// seen every step that is as cheap as its own, and keeps the one of the lowest bearing.
  template <class AnyBox>
  void spread(AnyBox& box) {
    using Cost = typename AnyBox::Cost;
    box.make_room(area_);
    for (const Place& p : places_) box.add(spot_of(p));
    box.number();
    std::int64_t box_step[kBearings];
    for (int k = 0; k < kBearings; ++k) box_step[k] = kRowStep[k] * width_ + kColStep[k];
    const bool walls = !s_.walls.bits.empty();
    queue_.restart();
    for (const Place& p : places_) {
      const std::uint64_t hard = resistance(s_, at(p));
      const bool out = p.way_out != kStops;
      const std::uint64_t cost = out ? length_of(static_cast<int>(p.way_out)) * hard : ~std::uint64_t{0};
      box.find(spot_of(p)) = {static_cast<Cost>(cost), static_cast<std::uint16_t>(hard),
                              static_cast<std::uint8_t>(p.way_out),
                              walls ? s_.walls.bits[at(p)] : std::uint8_t{0}};
      if (out) queue_.push(cost, spot_of(p));
    }
    while (!queue_.empty()) {
      const auto [cost, place] = queue_.pop();
      if (cost != box.find(place).cost) continue;
      for (int k = 0; k < kBearings; ++k) {
        const std::uint64_t other = place + static_cast<std::uint64_t>(box_step[k]);
        Spot<Cost>& from = box.find(other);
        const std::uint64_t sum = cost + length_of(k) * from.resistance;
        if (sum > from.cost) continue;
        const auto toward = static_cast<std::uint8_t>(opposite(k));
        if (sum == from.cost && toward >= from.bearing) continue;
        if (((from.walls >> toward) & 1) != 0 && !over_wall(other, toward)) continue;
        from.bearing = toward;
        if (sum == from.cost) continue;
        from.cost = static_cast<Cost>(sum);
        queue_.push(sum, other);
      }
    }
    for (const Place& p : places_) {
      Spot<Cost>& spot = box.find(spot_of(p));
      base::ensure(spot.bearing < kBearings, "every flat of the water surface has a way out");
      directions_[at(p)] = spot.bearing;
      spot = {};
    }
    box.clear();
  }

  bool over_wall(std::uint64_t spot, int bearing) const {
    const auto n = static_cast<std::int64_t>(spot);
    return s_.over_wall((n / width_ - 1 + top_) * s_.frame().cols + n % width_ - 1 + left_, bearing);
  }

  const Surface& s_;
  Grid<std::uint8_t>& directions_;
  std::int64_t first_;
  std::int64_t last_;
  std::int64_t step_[kBearings] = {};
  std::int64_t top_ = 0;
  std::int64_t bottom_ = 0;
  std::int64_t left_ = 0;
  std::int64_t right_ = 0;
  std::int64_t width_ = 0;
  std::vector<Place> places_;
  std::size_t area_ = 0;
  Box small_;
  SparseBox<std::uint32_t> narrow_;
  SparseBox<std::uint64_t> wide_;
  RingQueue queue_;
};

/// Parts of ponds in the stripes, and which of them join over the rims.
class LeftOver {
 public:
  struct Part {
    std::int64_t cell = 0;
    std::vector<std::int32_t> top_cols;  ///< its cells in the stripe's first row
    std::vector<std::int32_t> bottom_cols;
  };

  explicit LeftOver(std::int64_t stripes) : parts_(static_cast<std::size_t>(stripes)) {}
  std::vector<Part>& of(std::int64_t stripe) { return parts_[static_cast<std::size_t>(stripe)]; }

  /// One cell of each pond.
  std::vector<std::int64_t> ponds(const Grid<float>& levels, const std::vector<std::int64_t>& first_rows) {
    std::vector<std::size_t> before(parts_.size() + 1, 0);
    for (std::size_t i = 0; i < parts_.size(); ++i) before[i + 1] = before[i] + parts_[i].size();
    joined_.resize(before.back());
    for (std::size_t i = 0; i < joined_.size(); ++i) joined_[i] = i;
    const std::int64_t cols = levels.cols();
    constexpr std::size_t kNone = std::numeric_limits<std::size_t>::max();
    for (std::size_t i = 0; i + 1 < parts_.size(); ++i) {
      std::vector<std::size_t> below(static_cast<std::size_t>(cols), kNone);
      for (std::size_t p = 0; p < parts_[i + 1].size(); ++p) {
        for (const std::int32_t c : parts_[i + 1][p].top_cols)
          below[static_cast<std::size_t>(c)] = before[i + 1] + p;
      }
      const float* lower = levels.data() + first_rows[i + 1] * cols;
      const float* upper = lower - cols;
      for (std::size_t p = 0; p < parts_[i].size(); ++p) {
        for (const std::int32_t c : parts_[i][p].bottom_cols) {
          for (std::int64_t d = std::max(c - 1, 0); d <= std::min<std::int64_t>(c + 1, cols - 1); ++d) {
            const std::size_t other = below[static_cast<std::size_t>(d)];
            if (other == kNone || upper[c] != lower[d]) continue;
            const std::size_t a = root(before[i] + p);
            const std::size_t b = root(other);
            joined_[std::max(a, b)] = std::min(a, b);
          }
        }
      }
    }
    std::vector<std::int64_t> cells;
    for (std::size_t i = 0; i < parts_.size(); ++i) {
      for (std::size_t p = 0; p < parts_[i].size(); ++p) {
        if (root(before[i] + p) == before[i] + p) cells.push_back(parts_[i][p].cell);
      }
    }
    return cells;
  }

 private:
  std::size_t root(std::size_t at) {
    while (joined_[at] != at) at = joined_[at] = joined_[joined_[at]];
    return at;
  }
  std::vector<std::vector<Part>> parts_;
  std::vector<std::size_t> joined_;
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
  if (rows == 0 || cols == 0) return;
  const std::int64_t stripes = std::min<std::int64_t>(threads == 1 ? 1 : 8 * threads, (rows + 63) / 64);
  std::vector<std::int64_t> first_rows;
  for (std::int64_t i = 0; i <= stripes; ++i) first_rows.push_back(rows * i / stripes);
  LeftOver left_over(stripes);
  base::parallel_stripes(stripes, stripes, {threads}, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t i = begin; i < end; ++i) {
      const std::int64_t first = first_rows[static_cast<std::size_t>(i)];
      const std::int64_t last = first_rows[static_cast<std::size_t>(i) + 1];
      Ponds ponds(surface, directions, first, last);
      for (std::int64_t row = first; row < last; ++row) {
        for (std::int64_t col = 0; col < cols; ++col) {
          if (directions[row * cols + col] != kUndecided || ponds.solve(row, col, false)) continue;
          LeftOver::Part part{row * cols + col, {}, {}};
          for (const Place& p : ponds.places()) {
            if (p.row == first) part.top_cols.push_back(p.col);
            if (p.row == last - 1) part.bottom_cols.push_back(p.col);
          }
          left_over.of(i).push_back(std::move(part));
        }
      }
    }
  });
  const std::vector<std::int64_t> cells = left_over.ponds(surface.levels, first_rows);
  const auto n = static_cast<std::int64_t>(cells.size());
  if (n == 0) return;
  base::parallel_stripes(n, std::min<std::int64_t>(n, 16 * threads), {threads},
                         [&](std::int64_t begin, std::int64_t end) {
                           Ponds ponds(surface, directions, 0, rows);
                           for (std::int64_t i = begin; i < end; ++i) {
                             const std::int64_t cell = cells[static_cast<std::size_t>(i)];
                             ponds.solve(cell / cols, cell % cols, true);
                           }
                         });
}

}  // namespace curbshed::terrain
