#include "curbshed/terrain/grid.hpp"

#include "support/drawn_ground.hpp"
#include "support/named_grounds.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <random>

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

using namespace curbshed::testing;

TEST(GridFrame, RowZeroIsTheNorthernRow) {
  const GridFrame frame{100.0, 50.0, 0.5, 20, 30};
  EXPECT_EQ(frame.cells(), 600);
  EXPECT_EQ(frame.centre(0, 0), (base::Point{100.25, 49.75}));
  EXPECT_EQ(frame.centre(31), frame.centre(1, 1));
  EXPECT_EQ(frame.cell_at({100.6, 49.4}), 31);
  EXPECT_EQ(frame.cell_at({100.0, 50.0}), 0);
  EXPECT_DOUBLE_EQ(frame.cell_area_m2(), 0.25);
}

TEST(GridFrame, PointsOutsideHaveNoCell) {
  const GridFrame frame{0.0, 10.0, 1.0, 10, 10};
  EXPECT_EQ(frame.cell_at({-0.001, 5.0}), -1);
  EXPECT_EQ(frame.cell_at({10.0, 5.0}), -1);
  EXPECT_EQ(frame.cell_at({5.0, 10.001}), -1);
  EXPECT_EQ(frame.cell_at({5.0, 0.0}), -1);
  EXPECT_EQ(frame.row_of(10.5), -1);
  EXPECT_EQ(frame.cell_at({1e300, -1e300}), -1);
  EXPECT_EQ(frame.cell_at({std::nan(""), 0.0}), -1);
}

TEST(GridFrame, EveryCellIsFoundByItsCentre) {
  const GridFrame frame{431007.5, 3561204.25, 0.3, 37, 53};
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell)
    ASSERT_EQ(frame.cell_at(frame.centre(cell)), cell);
}

TEST(GridView, AWindowKnowsItsPlaceInTheWhole) {
  Grid<int> grid(6, 8);
  for (std::int64_t cell = 0; cell < grid.cells(); ++cell) grid[cell] = static_cast<int>(cell);
  const GridView<int> window = grid.window(2, 3, 3, 4);
  EXPECT_EQ(window.at(0, 0), 2 * 8 + 3);
  EXPECT_EQ(window.at(-1, -1), 1 * 8 + 2);  // the ring around it can be read while it lies inside the whole
  EXPECT_EQ(window.row0, 2);
  EXPECT_EQ(window.col0, 3);
  EXPECT_EQ(window.whole_rows, 6);
  const GridView<const int> read_only = window;
  EXPECT_EQ(read_only.at(2, 3), 4 * 8 + 6);
  EXPECT_EQ(grid.whole().at(5, 7), 47);
}

TEST(Bearings, OppositeStepsCancel) {
  for (int k = 0; k < kBearings; ++k) {
    EXPECT_EQ(kRowStep[k] + kRowStep[opposite(k)], 0);
    EXPECT_EQ(kColStep[k] + kColStep[opposite(k)], 0);
  }
  EXPECT_EQ(kColStep[2], 1);
  EXPECT_EQ(kRowStep[4], 1);
}

TEST(CheckGround, RefusesHeightsThatAreNoNumbersAndNamesTheCell) {
  for (const float bad : {std::numeric_limits<float>::quiet_NaN(), std::numeric_limits<float>::infinity(),
                          -std::numeric_limits<float>::infinity()}) {
    Ground ground = level_ground(4, 5, 1.0);
    ground.height_m.at(2, 3) = bad;
    try {
      check(ground);
      FAIL() << bad;
    } catch (const base::InputError& error) {
      EXPECT_NE(error.met().find("row 2, column 3"), std::string::npos) << error.what();
    }
    ground.valid.at(2, 3) = 0;
    EXPECT_NO_THROW(check(ground));
  }
}

TEST(CheckGround, RefusesGridsOfUnequalSize) {
  Ground ground = level_ground(4, 5, 1.0);
  ground.valid = Grid<std::uint8_t>(5, 4, 1);
  EXPECT_THROW(check(ground), base::BugError);
}

TEST(CheckGround, AcceptsEveryRasterThatBreaksSuchCode) {
  for (const NamedGround& named : named_grounds()) EXPECT_NO_THROW(check(named.ground)) << named.name;
}

// ---- memory that is used again

TEST(KeptGridMemory, AGridOfTheSameSizeGetsTheMemoryOfTheLastOne) {
  constexpr std::int64_t kSide = 6000;  // 36 MB of bytes
  const KeptGridMemory keep;
  const std::uint8_t* before = nullptr;
  {
    const Grid<std::uint8_t> first(kSide, kSide, 7);
    before = first.data();
  }
  const Grid<std::uint8_t> second(kSide, kSide);
  EXPECT_EQ(second.data(), before);
  EXPECT_EQ(*std::max_element(second.values().begin(), second.values().end()), 0);
}

TEST(KeptGridMemory, TwoGridsNeverShareIt) {
  constexpr std::int64_t kSide = 6000;
  const KeptGridMemory keep;
  { const Grid<std::uint8_t> gone(kSide, kSide); }
  Grid<std::uint8_t> one(kSide, kSide, 1);
  const Grid<std::uint8_t> two(kSide, kSide, 2);
  EXPECT_NE(one.data(), two.data());
  one = {};
  const Grid<float> wider(kSide, kSide, 3.0F);  // four times as large: not what `one` left
  EXPECT_EQ(two.at(kSide - 1, kSide - 1), 2);
  EXPECT_EQ(wider.at(0, 0), 3.0F);
}

TEST(KeptGridMemory, GridsOfManySizesComeAndGoWithTheirOwnValues) {
  std::mt19937 random(23);
  std::vector<Grid<std::uint8_t>> grids(6);
  for (const bool kept : {true, false}) {
    std::unique_ptr<KeptGridMemory> keep;
    if (kept) keep = std::make_unique<KeptGridMemory>();
    for (int round = 0; round < 40; ++round) {
      const std::size_t one = random() % grids.size();
      const auto mark = static_cast<std::uint8_t>(one + 1);
      if (!grids[one].empty()) {
        const std::int64_t last = grids[one].cells() - 1;
        for (const std::int64_t cell : {std::int64_t{0}, last / 3, last / 2, last}) {
          ASSERT_EQ(grids[one][cell], mark);
        }
      }
      grids[one] = {};
      if (random() % 4 != 0) {
        const auto rows = static_cast<std::int64_t>(5000 + random() % 2000);
        grids[one] = Grid<std::uint8_t>(rows, 8000, mark);
      }
    }
  }
}

}  // namespace
}  // namespace curbshed::terrain
