// Which lines pass near a point.
#pragma once

#include "curbshed/base/geometry.hpp"

#include <cstdint>
#include <vector>

namespace curbshed::street::detail {

/// Segments of many lines in square bins.
class LineIndex {
 public:
  /// bin_m: side of a bin. Lines longer than bins are entered in every bin that they pass.
  LineIndex(const std::vector<const base::Polyline*>& lines, double bin_m);

  struct Segment {
    std::int32_t line = 0;
    std::int32_t part = 0;  ///< from point `part` to the next
    friend auto operator<=>(const Segment&, const Segment&) = default;
  };
  /// Segments in all bins that a box grown by `reach_m` touches: each once, sorted.
  std::vector<Segment> near(const base::Box& box, double reach_m) const;
  /// Lines of those segments: each once, sorted.
  std::vector<std::int32_t> lines_near(base::Point p, double reach_m) const;

 private:
  struct Entry {
    std::int64_t x = 0;
    std::int64_t y = 0;
    Segment segment;
    friend auto operator<=>(const Entry&, const Entry&) = default;
  };
  std::int64_t bin(double v) const;
  double bin_m_;
  std::vector<Entry> entries_;  ///< sorted
};

}  // namespace curbshed::street::detail
