#include "terrain/basin_passes.hpp"

#include "curbshed/base/vectors.hpp"

#include <algorithm>

namespace curbshed::terrain {

namespace {

constexpr std::uint32_t kTwoLabels = 1;
constexpr std::uint32_t kPairByPair = 2;

/// ordered(plain(height)) without a branch.
[[gnu::always_inline]] inline std::uint32_t ordered_lane(float height) {
  const auto bits = std::bit_cast<std::uint32_t>(height + 0.0F);
  return bits ^ (static_cast<std::uint32_t>(static_cast<std::int32_t>(bits) >> 31) | kSign);
}

/// The blocks of 2 × 2 cells between two rows. All cells of a block are neighbours, so where it has two
/// labels the lowest pass between them goes between the lowest cell of each: one offer instead of up to four.
/// kind: 0 for one label, kTwoLabels with the label that is not the first cell's and the key of that pass, or
/// kPairByPair for more labels.
CURBSHED_VECTOR_CLONES
void find_blocks(const std::uint32_t* upper, const std::uint32_t* lower, const float* upper_m,
                 const float* lower_m, std::int64_t blocks, std::uint32_t* other, std::uint32_t* key,
                 std::uint32_t* kind) {
  constexpr std::uint32_t kHighest = 0xFFFFFFFFU;
  for (std::int64_t c = 0; c < blocks; ++c) {
    const std::uint32_t a = upper[c];
    const std::uint32_t b = upper[c + 1];
    const std::uint32_t d = lower[c];
    const std::uint32_t e = lower[c + 1];
    const std::uint32_t by_d = d != a ? d : e;
    const std::uint32_t second = b != a ? b : by_d;
    const std::uint32_t odd_b = b != a ? b ^ second : 0U;
    const std::uint32_t odd_d = d != a ? d ^ second : 0U;
    const std::uint32_t odd_e = e != a ? e ^ second : 0U;
    const std::uint32_t more = (odd_b | odd_d | odd_e) != 0 ? kPairByPair : kTwoLabels;
    kind[c] = second != a ? more : 0U;
    other[c] = second;
    const std::uint32_t key_b = ordered_lane(upper_m[c + 1]);
    const std::uint32_t key_d = ordered_lane(lower_m[c]);
    const std::uint32_t key_e = ordered_lane(lower_m[c + 1]);
    std::uint32_t first_key = ordered_lane(upper_m[c]);
    first_key = std::min(first_key, b == a ? key_b : kHighest);
    first_key = std::min(first_key, d == a ? key_d : kHighest);
    first_key = std::min(first_key, e == a ? key_e : kHighest);
    std::uint32_t second_key = b != a ? key_b : kHighest;
    second_key = std::min(second_key, d != a ? key_d : kHighest);
    second_key = std::min(second_key, e != a ? key_e : kHighest);
    key[c] = std::max(first_key, second_key);
  }
}

/// Blocks with a wall in them are looked at step by step.
void mark_walled(const std::uint8_t* upper, const std::uint8_t* lower, std::int64_t blocks,
                 std::uint32_t* kind) {
  for (std::int64_t c = 0; c < blocks; ++c) {
    const int bits = upper[c] | upper[c + 1] | lower[c] | lower[c + 1];
    kind[c] = bits != 0 && kind[c] != 0 ? kPairByPair : kind[c];
  }
}

}  // namespace

PassFilter::PassFilter(std::int64_t cols)
    : bits_(std::clamp(static_cast<int>(std::bit_width(static_cast<std::uint64_t>(4 * cols))), 4, 15)),
      recent_(std::size_t{1} << bits_) {}

void PassFilter::keep(const Pass& pass) {
  constexpr std::size_t kTogether = 1U << 14;
  if (kept_.empty() || kept_.back().size() == kTogether) {
    kept_.emplace_back();
    if (kept_.size() > 1) kept_.back().reserve(kTogether);
  }
  kept_.back().push_back(pass);
}

std::vector<Pass> PassFilter::take() {
  for (Pass& slot : recent_) {
    if (slot.from != slot.to) keep(slot);
    slot = {};
  }
  std::size_t count = 0;
  for (const auto& some : kept_) count += some.size();
  std::vector<Pass> all;
  all.reserve(count);
  for (auto& some : kept_) {
    all.insert(all.end(), some.begin(), some.end());
    std::vector<Pass>().swap(some);
  }
  kept_.clear();
  return all;
}

RowPasses::RowPasses(const Ground& ground, const Walls& walls)
    : ground_(ground),
      walls_(walls),
      other_(static_cast<std::size_t>(ground.frame.cols)),
      key_(other_.size()),
      kind_(other_.size()),
      mixed_(other_.size()) {}

std::uint32_t RowPasses::highest(std::int64_t a, std::int64_t b) const {
  return ordered(plain(std::max(ground_.height_m[a], ground_.height_m[b])));
}

void RowPasses::offer(std::int64_t cell, int bearing, std::uint32_t from, std::uint32_t to,
                      PassFilter& found) const {
  if (from == to) return;
  const std::int64_t next = cell + kRowStep[bearing] * ground_.frame.cols + kColStep[bearing];
  if (walls_.walled(cell, bearing) || walls_.walled(next, opposite(bearing))) return;
  found.offer(std::min(from, to), std::max(from, to), highest(cell, next));
}

void RowPasses::find(std::int64_t row, const std::uint32_t* labels, PassFilter& found) const {
  const std::int64_t first = row * ground_.frame.cols;
  for (std::int64_t c = 0; c + 1 < ground_.frame.cols; ++c) {
    offer(first + c, 2, labels[c], labels[c + 1], found);
  }
}

void RowPasses::find(std::int64_t row, const std::uint32_t* upper, const std::uint32_t* lower,
                     PassFilter& found) {
  const std::int64_t cols = ground_.frame.cols;
  const std::int64_t first = row * cols;
  const std::int64_t blocks = cols - 1;
  if (blocks == 0) {
    offer(first, 4, upper[0], lower[0], found);
    return;
  }
  find_blocks(upper, lower, ground_.height_m.data() + first, ground_.height_m.data() + first + cols, blocks,
              other_.data(), key_.data(), kind_.data());
  if (!walls_.bits.empty()) {
    mark_walled(walls_.bits.data() + first, walls_.bits.data() + first + cols, blocks, kind_.data());
  }
  // First which blocks, without branches that nobody can foresee; then what they are.
  std::size_t mixed = 0;
  for (std::int64_t c = 0; c < blocks; ++c) {
    mixed_[mixed] = static_cast<std::int32_t>(c);
    mixed += kind_[static_cast<std::size_t>(c)] != 0 ? 1U : 0U;
  }
  for (std::size_t i = 0; i < mixed; ++i) {
    const std::int64_t c = mixed_[i];
    const auto n = static_cast<std::size_t>(c);
    if (kind_[n] == kTwoLabels) {
      found.offer(std::min(upper[c], other_[n]), std::max(upper[c], other_[n]), key_[n]);
      continue;
    }
    offer(first + c, 2, upper[c], upper[c + 1], found);
    offer(first + c, 4, upper[c], lower[c], found);
    offer(first + c, 3, upper[c], lower[c + 1], found);
    offer(first + c + 1, 5, upper[c + 1], lower[c], found);
    offer(first + c + 1, 4, upper[c + 1], lower[c + 1], found);
    offer(first + cols + c, 2, lower[c], lower[c + 1], found);
  }
}

void RowPasses::find(const Crest& crest, std::uint32_t from, std::uint32_t to, PassFilter& one_way) const {
  const std::int64_t next =
      crest.cell + kRowStep[crest.bearing] * ground_.frame.cols + kColStep[crest.bearing];
  if (from == to || ground_.valid[crest.cell] == 0 || ground_.valid[next] == 0) return;
  const std::uint32_t pass = highest(crest.cell, next);
  if (from != kOutside) one_way.offer(from | kOneWay, to, std::max(pass, ordered(plain(crest.height_m))));
  if (to != kOutside && !walls_.walled(next, opposite(crest.bearing))) {
    one_way.offer(to | kOneWay, from, pass);
  }
}

}  // namespace curbshed::terrain
