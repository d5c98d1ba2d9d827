#include "curbshed/terrain/levels.hpp"

#include <bit>

#include <gtest/gtest.h>

#include "support/drawn_ground.hpp"

namespace curbshed::terrain {
namespace {

using namespace curbshed::testing;

void expect_same(const Grid<float>& found, const Grid<float>& wanted, const std::string& what) {
  ASSERT_EQ(found.cells(), wanted.cells());
  for (std::int64_t cell = 0; cell < found.cells(); ++cell) {
    ASSERT_EQ(std::bit_cast<std::uint32_t>(found[cell]), std::bit_cast<std::uint32_t>(wanted[cell] + 0.0F))
        << what << ", cell " << cell << ": " << found[cell] << " not " << wanted[cell];
  }
}

TEST(WaterLevels, EqualASweepOverAllStepsOnThrownWorlds) {
  for (std::uint64_t seed = 1; seed <= 1000; ++seed) {
    const ThrownWorld world = thrown_world(seed);
    const Grid<float> wanted = swept_levels(world.ground, world.walls, world.drains);
    for (const WorkPlan& plan : many_plans(world.ground.frame.rows, world.ground.frame.cols)) {
      if (plan.threads != 1 && seed % 20 != 0) continue;
      expect_same(water_levels(world.ground, world.walls, world.drains, plan), wanted,
                  "seed " + std::to_string(seed) + ", " + name_of(plan));
    }
  }
}

}  // namespace
}  // namespace curbshed::terrain
