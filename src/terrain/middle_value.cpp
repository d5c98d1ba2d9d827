#include "terrain/middle_value.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <limits>
#include <utility>

namespace curbshed::terrain::detail {

namespace {

constexpr std::size_t kFew = 12;

double middle_of_three(double a, double b, double c) {
  return std::max(std::min(a, b), std::min(std::max(a, b), c));
}

}  // namespace

/// The number of `rank` among the first `count` of from_, or the mean of it and the one before.
double MiddleValue::select(std::size_t count, std::size_t rank, bool mean) {
  double before = -std::numeric_limits<double>::infinity();  // largest of what was left behind below
  while (count > kFew) {
    const double pivot = middle_of_three(from_[0], from_[count / 2], from_[count - 1]);
    // Smaller numbers from the left, the others from the right.
    std::size_t low = 0;
    std::size_t high = count;
    for (std::size_t i = 0; i < count; ++i) {
      const double v = from_[i];
      to_[low] = v;
      to_[high - 1] = v;
      const bool smaller = v < pivot;
      low += smaller ? 1U : 0U;
      high -= smaller ? 0U : 1U;
    }
    if (rank < low) {
      count = low;
      std::swap(from_, to_);
      continue;
    }
    for (std::size_t i = 0; i < low; ++i) before = std::max(before, to_[i]);
    // The pivot itself is among the others: take out all that equal it.
    std::size_t larger = 0;
    for (std::size_t i = low; i < count; ++i) {
      from_[larger] = to_[i];
      larger += to_[i] > pivot ? 1U : 0U;
    }
    const std::size_t equal = count - low - larger;
    rank -= low;
    if (rank < equal) return mean && rank == 0 ? 0.5 * (pivot + before) : pivot;
    rank -= equal;
    count = larger;
    before = pivot;
  }
  std::sort(from_.begin(), from_.begin() + static_cast<std::ptrdiff_t>(count));
  if (!mean) return from_[rank];
  return 0.5 * (from_[rank] + (rank > 0 ? from_[rank - 1] : before));
}

double MiddleValue::of(const std::vector<double>& values) {
  base::ensure(!values.empty(), "a median is of something");
  from_.assign(values.begin(), values.end());
  to_.resize(std::max(to_.size(), from_.size()));
  from_.resize(to_.size());
  return select(values.size(), values.size() / 2, values.size() % 2 == 0);
}

double MiddleValue::near(const std::vector<double>& values, double guess) {
  base::ensure(!values.empty(), "a median is of something");
  const double least = 0.9 * guess;
  const double most = 1.1 * guess;
  const std::size_t count = values.size();
  if (from_.size() < count) {
    from_.resize(count);
    to_.resize(count);
  }
  std::size_t below = 0;
  std::size_t within = 0;
  for (std::size_t i = 0; i < count; ++i) {
    const double v = values[i];
    from_[within] = v;
    const bool under = v < least;
    below += under ? 1U : 0U;
    within += !under && v < most ? 1U : 0U;
  }
  const std::size_t rank = count / 2;
  const bool mean = count % 2 == 0;
  if (rank < below + (mean ? 1U : 0U) || rank >= below + within) return of(values);
  return select(within, rank - below, mean);
}

}  // namespace curbshed::terrain::detail
