#include "street/asked_ways.hpp"

#include "curbshed/terrain/directions.hpp"
#include "curbshed/terrain/levels.hpp"

#include "support/named_grounds.hpp"

#include <random>

#include <gtest/gtest.h>

namespace curbshed::street::detail {
namespace {

using namespace curbshed::testing;

TEST(AskedWays, GiveTheSumsOfAllCellsWhereTheyAreAsked) {
  std::mt19937_64 random(24);
  for (const NamedGround& named : named_grounds()) {
    const terrain::Grid<float> levels = terrain::water_levels(named.ground, {}, {}, {});
    const terrain::Grid<std::uint8_t> directions = terrain::flow_directions(named.ground, levels, {}, {}, {});
    terrain::Grid<std::int32_t> value(directions.rows(), directions.cols(), 0);
    terrain::Grid<std::uint8_t> stop(directions.rows(), directions.cols(), 0);
    for (std::int64_t cell = 0; cell < value.cells(); ++cell) {
      value[cell] = static_cast<std::int32_t>(random() % 9);
      stop[cell] = random() % 40 == 0 ? 1 : 0;
    }
    const terrain::Grid<std::int64_t> all = terrain::sum_along(directions, value, stop, {});
    AskedWays asked(
        directions,
        [&](std::int64_t cell) -> std::int64_t {
          if (stop[cell] != 0 || directions[cell] == terrain::kNoGround) return 0;
          return directions[cell] >= terrain::kStops ? value[cell] : -1;
        },
        [&](std::int64_t cell) { return std::int64_t{value[cell]}; });
    for (int i = 0; i < 200 && value.cells() > 0; ++i) {
      const auto cell = static_cast<std::int64_t>(random() % static_cast<std::uint64_t>(value.cells()));
      ASSERT_EQ(asked.at(cell), all[cell]) << named.name << ", cell " << cell;
    }
  }
}

}  // namespace
}  // namespace curbshed::street::detail
