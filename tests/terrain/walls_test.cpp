#include "curbshed/terrain/walls.hpp"

#include "support/drawn_ground.hpp"

#include <limits>

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

TEST(MakeWalls, SortsAndKeepsTheLowestCrestOfAStep) {
  const Walls walls =
      make_walls(3, 3, {{4, 6, 2.0F}, {4, 2, 3.0F}, {1, 4, 1.0F}, {4, 2, 2.5F}, {4, 2, 2.75F}});
  ASSERT_EQ(walls.crests().size(), 3U);
  EXPECT_EQ(walls.crests()[0].cell, 1);
  EXPECT_EQ(walls.crests()[1].bearing, 2);
  EXPECT_EQ(walls.crest_m(4, 2), 2.5F);
  EXPECT_EQ(walls.crest_m(4, 6), 2.0F);
  EXPECT_EQ(walls.crest_m(1, 4), 1.0F);
}

TEST(MakeWalls, AStepIsWalledOneWayOnly) {
  const Walls walls = make_walls(3, 3, {{4, 2, 3.0F}});
  EXPECT_TRUE(walls.walled(4, 2));
  EXPECT_FALSE(walls.walled(5, 6));
  for (int k = 0; k < kBearings; ++k) EXPECT_EQ(walls.walled(4, k), k == 2);
}

TEST(MakeWalls, DropsCrestsThatLeadOutOfTheRaster) {
  const Walls walls =
      make_walls(2, 2, {{0, 0, 1.0F}, {0, 6, 1.0F}, {0, 3, 1.0F}, {3, 4, 1.0F}, {1, 2, 1.0F}, {1, 1, 1.0F}});
  ASSERT_EQ(walls.crests().size(), 1U);
  EXPECT_TRUE(walls.walled(0, 3));
}

TEST(MakeWalls, NoWallsAtAll) {
  const Walls none;
  EXPECT_FALSE(none.walled(0, 0));
  EXPECT_FALSE(make_walls(2, 2, {}).walled(3, 7));
}

TEST(MakeWalls, RefusesWhatIsNoStep) {
  EXPECT_THROW(make_walls(2, 2, {{4, 0, 1.0F}}), base::BugError);
  EXPECT_THROW(make_walls(2, 2, {{-1, 0, 1.0F}}), base::BugError);
  EXPECT_THROW(make_walls(2, 2, {{0, 8, 1.0F}}), base::BugError);
  EXPECT_THROW(make_walls(2, 2, {{0, 2, std::numeric_limits<float>::infinity()}}), base::BugError);
}

TEST(MakeWalls, EverySetBitHasItsCrest) {
  for (std::uint64_t seed = 1; seed <= 50; ++seed) {
    const Walls walls = testing::thrown_world(seed).walls;
    std::size_t bits = 0;
    for (std::int64_t cell = 0; cell < walls.bits.cells(); ++cell) {
      for (int k = 0; k < kBearings; ++k) {
        if (!walls.walled(cell, k)) continue;
        ++bits;
        EXPECT_NO_THROW(walls.crest_m(cell, k));
      }
    }
    EXPECT_EQ(bits, walls.crests().size()) << "seed " << seed;
  }
}

TEST(CrestOfAStep, IsOurBugWithoutAWall) {
  EXPECT_THROW(make_walls(2, 2, {{0, 2, 1.0F}}).crest_m(0, 4), base::BugError);
}

}  // namespace
}  // namespace curbshed::terrain
