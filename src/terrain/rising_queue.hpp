// A queue whose keys leave in rising order, for searches that never go back below what has left.
#pragma once

#include "curbshed/base/error.hpp"

#include <array>
#include <bit>
#include <cstddef>
#include <limits>
#include <utility>
#include <vector>

namespace curbshed::terrain {

/// Radix heap (Ahuja, Mehlhorn, Orlin & Tarjan 1990, J. ACM 37:213-223). An entry lies in the bucket of the
/// highest bit in which its key differs from the last key that left, so it moves down at most once for each
/// bit: no comparisons against the whole queue, and memory is read in order. Key: an unsigned integer.
/// Pushing a key below the last one that left is not allowed.
template <class Key, class Value>
class RisingQueue {
 public:
  bool empty() const { return size_ == 0; }

  /// Lets keys start from the lowest again. Precondition: empty.
  void restart() { last_ = 0; }

  void push(Key key, Value value) {
    buckets_[bucket(key)].emplace_back(key, value);
    ++size_;
  }

  /// One of the entries with the least key. Precondition: not empty.
  std::pair<Key, Value> pop() {
    if (buckets_[0].empty()) refill();
    const std::pair<Key, Value> least = buckets_[0].back();
    buckets_[0].pop_back();
    --size_;
    return least;
  }

 private:
  std::size_t bucket(Key key) const {
    return static_cast<std::size_t>(std::bit_width(static_cast<Key>(key ^ last_)));
  }

  void refill() {
    std::size_t first = 1;
    while (buckets_[first].empty()) ++first;
    last_ = std::numeric_limits<Key>::max();
    for (const auto& entry : buckets_[first]) last_ = entry.first < last_ ? entry.first : last_;
    for (const auto& entry : buckets_[first]) buckets_[bucket(entry.first)].push_back(entry);
    buckets_[first].clear();
  }

  std::array<std::vector<std::pair<Key, Value>>, std::numeric_limits<Key>::digits + 1> buckets_;
  Key last_ = 0;
  std::size_t size_ = 0;
};

}  // namespace curbshed::terrain
