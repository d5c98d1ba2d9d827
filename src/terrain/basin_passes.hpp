// The lowest passes between neighbouring basins.
#pragma once

#include "terrain/basins.hpp"

namespace curbshed::terrain {

/// A step between cells of different labels. Both ways, unless kOneWay is set in `from`.
struct Pass {
  std::uint32_t from = 0;
  std::uint32_t to = 0;
  std::uint32_t key = 0;  ///< ordered(highest of both cells and the crest)
};

/// Keeps the lowest of passes between the same labels as long as they come close together, as they do when
/// the raster is read row by row.
class PassFilter {
 public:
  /// Room for the labels of a few rows.
  explicit PassFilter(std::int64_t cols);
  void offer(std::uint32_t from, std::uint32_t to, std::uint32_t key) {
    const std::uint32_t mixed = (from * 0x9E3779B1U) ^ (to * 0x85EBCA6BU);
    Pass& slot = recent_[(mixed * 0xC2B2AE35U) >> (32 - bits_)];
    if (slot.from == from && slot.to == to) {
      slot.key = std::min(slot.key, key);
      return;
    }
    if (slot.from != slot.to) keep(slot);
    slot = {from, to, key};
  }
  /// All passes so far, in no order; none are left.
  std::vector<Pass> take();

 private:
  void keep(const Pass& pass);

  int bits_;
  std::vector<Pass> recent_;
  std::vector<std::vector<Pass>> kept_;  ///< in pieces, so that none is copied to make room
};

/// Finds the passes between the cells of one row, or of two rows one below the other.
class RowPasses {
 public:
  RowPasses(const Ground& ground, const Walls& walls);
  /// Offers two-way passes only: steps that are walled either way are left out.
  void find(std::int64_t row, const std::uint32_t* labels, PassFilter& found) const;
  void find(std::int64_t row, const std::uint32_t* upper, const std::uint32_t* lower, PassFilter& found);
  /// A walled step, and the step back unless that has a crest of its own. `to` is the label beyond the crest.
  void find(const Crest& crest, std::uint32_t from, std::uint32_t to, PassFilter& one_way) const;

 private:
  void offer(std::int64_t cell, int bearing, std::uint32_t from, std::uint32_t to, PassFilter& found) const;
  std::uint32_t highest(std::int64_t a, std::int64_t b) const;

  const Ground& ground_;
  const Walls& walls_;
  std::vector<std::uint32_t> other_;
  std::vector<std::uint32_t> key_;
  std::vector<std::uint32_t> kind_;
  std::vector<std::int32_t> mixed_;
};

}  // namespace curbshed::terrain
