#include "terrain/middle_value.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include <gtest/gtest.h>

namespace curbshed::terrain::detail {
namespace {

double by_sorting(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const std::size_t n = values.size();
  return n % 2 == 1 ? values[n / 2] : 0.5 * (values[n / 2] + values[n / 2 - 1]);
}

TEST(MiddleValue, IsTheOneThatSortingGivesForManyAndFewAndEqualNumbers) {
  std::mt19937 random(20260301);
  MiddleValue middle;
  for (int round = 0; round < 4000; ++round) {
    const std::size_t count = 1 + random() % (round % 2 == 0 ? 30 : 400);
    const unsigned kinds = round % 3 == 0 ? 4 : 100000;
    std::vector<double> values;
    for (std::size_t i = 0; i < count; ++i) values.push_back(0.01 * static_cast<double>(random() % kinds));
    if (round % 5 == 0) std::sort(values.begin(), values.end());
    const double expected = by_sorting(values);
    ASSERT_EQ(middle.of(values), expected) << "round " << round;
    for (const double off : {1.0, 0.95, 1.09, 0.5, 3.0}) {
      ASSERT_EQ(middle.near(values, std::max(1e-9, expected * off)), expected) << "round " << round;
    }
  }
}

}  // namespace
}  // namespace curbshed::terrain::detail
