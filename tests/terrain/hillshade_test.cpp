#include "curbshed/terrain/hillshade.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

Ground plane(std::int64_t rows, std::int64_t cols, double east, double north) {
  Ground ground;
  ground.frame = {0.0, static_cast<double>(rows), 1.0, rows, cols};
  ground.height_m = Grid<float>(rows, cols);
  ground.valid = Grid<std::uint8_t>(rows, cols, 1);
  for (std::int64_t r = 0; r < rows; ++r) {
    for (std::int64_t c = 0; c < cols; ++c) {
      ground.height_m.at(r, c) =
          static_cast<float>(east * static_cast<double>(c) - north * static_cast<double>(r));
    }
  }
  return ground;
}

TEST(Hillshade, LevelGroundHasTheLightOf45Degrees) {
  const Hillshade shade = hillshade(plane(5, 7, 0.0, 0.0), 100, 1.0, {1});
  for (std::int64_t i = 0; i < shade.light.cells(); ++i) EXPECT_EQ(shade.light[i], 180);  // 255 · cos 45°
}

TEST(Hillshade, SlopesThatFaceTheLightAreBrightest) {
  // Rising to the south-east with slope 1 faces the north-west head on.
  const double s = 1.0 / std::sqrt(2.0);
  EXPECT_EQ(hillshade(plane(9, 9, s, -s), 100, 1.0, {1}).light.at(4, 4), 255);
  EXPECT_EQ(hillshade(plane(9, 9, -s, s), 100, 1.0, {1}).light.at(4, 4), 0);
}

TEST(Hillshade, WideGroundIsAveragedInBlocks) {
  const Hillshade shade = hillshade(plane(100, 250, 0.1, 0.0), 100, 1.0, {2});
  EXPECT_EQ(shade.frame.cell_m, 3.0);
  EXPECT_EQ(shade.frame.cols, 84);
  EXPECT_EQ(shade.frame.rows, 34);
}

TEST(Hillshade, HolesAreWhiteAndDoNotDarkenTheirEdge) {
  Ground ground = plane(7, 7, 0.0, 0.0);
  ground.valid.at(3, 3) = 0;
  ground.height_m.at(3, 3) = 0.0F;
  for (std::int64_t i = 0; i < 49; ++i) {
    if (ground.valid[i] != 0) ground.height_m[i] = 900.0F;
  }
  const Hillshade shade = hillshade(ground, 100, 5.0, {1});
  EXPECT_EQ(shade.light.at(3, 3), 255);
  EXPECT_EQ(shade.light.at(3, 2), 180);
}

}  // namespace
}  // namespace curbshed::terrain
