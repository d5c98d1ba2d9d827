#include "curbshed/shapes/box_index.hpp"

#include <random>

#include <gtest/gtest.h>

namespace curbshed::shapes {
namespace {

base::Box box(double x0, double y0, double x1, double y1) {
  base::Box out;
  out.add({x0, y0});
  out.add({x1, y1});
  return out;
}

TEST(BoxIndex, FindsWhatAComparisonOfAllFinds) {
  std::mt19937 random(20262);
  std::uniform_real_distribution<double> place(0.0, 100.0);
  std::uniform_real_distribution<double> size(0.0, 10.0);
  const auto any = [&] {
    const double x = place(random);
    const double y = place(random);
    return box(x, y, x + size(random), y + size(random));
  };
  std::vector<base::Box> boxes;
  for (int i = 0; i < 500; ++i) boxes.push_back(any());
  const BoxIndex index(boxes);
  for (int i = 0; i < 200; ++i) {
    const base::Box asked = any();
    std::vector<std::int32_t> expected;
    for (std::size_t k = 0; k < boxes.size(); ++k) {
      const base::Box& one = boxes[k];
      if (one.min_x_m <= asked.max_x_m && asked.min_x_m <= one.max_x_m && one.min_y_m <= asked.max_y_m &&
          asked.min_y_m <= one.max_y_m) {
        expected.push_back(static_cast<std::int32_t>(k));
      }
    }
    EXPECT_EQ(index.meeting(asked), expected);
  }
}

TEST(BoxIndex, EdgesMeetAndEmptyBoxesDoNot) {
  const BoxIndex index({box(0, 0, 1, 1), base::Box{}, box(1, 1, 2, 2), box(5, 5, 5, 5)});
  EXPECT_EQ(index.meeting(box(1, 1, 1, 1)), (std::vector<std::int32_t>{0, 2}));
  EXPECT_EQ(index.meeting(box(4, 4, 5, 5)), (std::vector<std::int32_t>{3}));
  EXPECT_TRUE(index.meeting(base::Box{}).empty());
  EXPECT_TRUE(BoxIndex({}).meeting(box(0, 0, 1, 1)).empty());
}

}  // namespace
}  // namespace curbshed::shapes
