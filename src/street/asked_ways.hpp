// Sums along the ways down from single cells.
#pragma once

#include "curbshed/terrain/ways.hpp"

#include <cstdint>
#include <vector>

namespace curbshed::street::detail {

/// For a few cells of a large raster, where sums for all would be waste: each cell on their ways is reckoned
/// once. end(cell) is the sum where a way ends, −1 where it goes on; it must end where water stops.
/// value(cell) is what any other cell adds. Not for several threads.
template <class End, class Value>
class AskedWays {
 public:
  AskedWays(const terrain::Grid<std::uint8_t>& directions, End end, Value value)
      : directions_(directions),
        end_(end),
        value_(value),
        known_(directions.rows(), directions.cols(), 0),
        sum_(terrain::Grid<std::int64_t>::unwritten(directions.rows(), directions.cols())) {}

  std::int64_t at(std::int64_t cell) {
    while (known_[cell] == 0) {
      const std::int64_t end = end_(cell);
      if (end >= 0) {
        known_[cell] = 1;
        sum_[cell] = end;
        break;
      }
      way_.push_back(cell);
      cell = terrain::next_cell(directions_, cell);
    }
    std::int64_t sum = sum_[cell];
    while (!way_.empty()) {
      cell = way_.back();
      way_.pop_back();
      sum += value_(cell);
      sum_[cell] = sum;
      known_[cell] = 1;
    }
    return sum;
  }

 private:
  const terrain::Grid<std::uint8_t>& directions_;
  End end_;
  Value value_;
  terrain::Grid<std::uint8_t> known_;
  terrain::Grid<std::int64_t> sum_;
  std::vector<std::int64_t> way_;
};

}  // namespace curbshed::street::detail
