// Median of a few hundred numbers, many times over.
#pragma once

#include <cstddef>
#include <vector>

namespace curbshed::terrain::detail {

/// Exact medians without branches that depend on the numbers, and without allocation once it is warm.
class MiddleValue {
 public:
  /// Middle value, the mean of the two middle ones of an even count. Not empty, finite numbers.
  double of(const std::vector<double>& values);
  /// The same value, faster where it lies within a tenth of `guess` (> 0), as from one round of an iteration
  /// to the next.
  double near(const std::vector<double>& values, double guess);

 private:
  double select(std::size_t count, std::size_t rank, bool mean);

  std::vector<double> from_;
  std::vector<double> to_;
};

}  // namespace curbshed::terrain::detail
