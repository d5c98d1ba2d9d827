// Times the terrain kernels against a plain 3 × 3 minimum over the same raster. Every answer is checked after
// its timing.
#include "curbshed/terrain/directions.hpp"

#include "support/drawn_ground.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include <benchmark/benchmark.h>

namespace curbshed::terrain {
namespace {

using testing::Chance;

constexpr std::int64_t kSide = 2048;
constexpr double kCell = 0.5;
constexpr std::int64_t kBlock = 160;  ///< a street every 80 m

void require(bool holds, const char* what) {
  if (holds) return;
  std::fprintf(stderr, "terrain_bench: wrong answer: %s\n", what);
  std::abort();
}

/// Heights at the corners of squares, straight in between.
void add_octave(Grid<float>& height_m, std::int64_t square, double spread_m, Chance& chance) {
  const std::int64_t n = kSide / square + 2;
  std::vector<double> corner(static_cast<std::size_t>(n * n));
  for (double& h : corner) h = spread_m * (2.0 * chance.share() - 1.0);
  const auto at = [&](std::int64_t r, std::int64_t c) { return corner[static_cast<std::size_t>(r * n + c)]; };
  for (std::int64_t r = 0; r < kSide; ++r) {
    for (std::int64_t c = 0; c < kSide; ++c) {
      const double v = static_cast<double>(r % square) / static_cast<double>(square);
      const double u = static_cast<double>(c % square) / static_cast<double>(square);
      const std::int64_t i = r / square;
      const std::int64_t j = c / square;
      height_m.at(r, c) += static_cast<float>((1 - v) * ((1 - u) * at(i, j) + u * at(i, j + 1)) +
                                              v * ((1 - u) * at(i + 1, j) + u * at(i + 1, j + 1)));
    }
  }
}

struct World {
  Ground ground;
  Walls walls;
  Grid<std::int32_t> receiver_at;
  Grid<float> levels;
  Grid<std::uint8_t> directions;
};

/// A rough slope with 2 cm of noise, walled along both sides of a grid of streets; every street corner
/// receives.
World make_world() {
  World world{testing::level_ground(kSide, kSide, kCell, 500.0F), {}, {}, {}, {}};
  Chance chance(2024);
  double spread_m = 12.0;
  for (std::int64_t square = 1024; square >= 16; square /= 2, spread_m *= 0.5) {
    add_octave(world.ground.height_m, square, spread_m, chance);
  }
  testing::add_noise(world.ground, 0.02, 2025);
  std::vector<Crest> crests;
  world.receiver_at = Grid<std::int32_t>(kSide, kSide, -1);
  std::int32_t receivers = 0;
  constexpr std::int64_t kWidth = 16;
  for (std::int64_t r = 0; r < kSide; ++r) {
    for (std::int64_t c = 0; c < kSide; ++c) {
      const auto in_street = [](std::int64_t row, std::int64_t col) {
        return row % kBlock < kWidth || col % kBlock < kWidth;
      };
      if (!in_street(r, c)) continue;
      const std::int64_t cell = r * kSide + c;
      if (r % kBlock == 1 && c % kBlock == kWidth - 1) world.receiver_at[cell] = receivers++;
      for (std::uint8_t k = 0; k < kBearings; ++k) {
        if (in_street(r + kRowStep[k] + kBlock, c + kColStep[k] + kBlock)) continue;
        crests.push_back({cell, k, world.ground.height_m[cell] + 0.15F});
      }
    }
  }
  world.walls = make_walls(kSide, kSide, std::move(crests));
  world.levels = water_levels(world.ground, world.walls, {}, {});
  world.directions = flow_directions(world.ground, world.levels, world.walls, {}, {});
  return world;
}
const World& world() {
  static const World made = make_world();
  return made;
}

void set_rate(benchmark::State& state) { state.SetItemsProcessed(state.iterations() * kSide * kSide); }

/// Every level is the lowest pass out of its cell, or the height of a drain.
void check_levels(const World& w, const Grid<float>& levels) {
  const GridFrame& f = w.ground.frame;
  for (std::int64_t cell = 0; cell < f.cells(); ++cell) {
    const std::int64_t row = cell / kSide;
    const std::int64_t col = cell % kSide;
    float least = w.ground.height_m[cell];
    if (row > 0 && col > 0 && row < kSide - 1 && col < kSide - 1) {
      float lowest = std::numeric_limits<float>::infinity();
      for (int k = 0; k < kBearings; ++k) {
        float pass = levels.at(row + kRowStep[k], col + kColStep[k]);
        if (w.walls.walled(cell, k)) pass = std::max(pass, w.walls.crest_m(cell, k));
        lowest = std::min(lowest, pass);
      }
      least = std::max(least, lowest);
    }
    require(levels[cell] == least, "a level is not its lowest pass");
  }
}

void levels(benchmark::State& state) {
  const World& w = world();
  Grid<float> out;
  for (auto _ : state) {
    out = water_levels(w.ground, w.walls, {}, {});
    benchmark::DoNotOptimize(out.data());
  }
  check_levels(w, out);
  set_rate(state);
}
BENCHMARK(levels)->Name("terrain/levels")->Unit(benchmark::kMillisecond);

void directions(benchmark::State& state) {
  const World& w = world();
  Grid<std::uint8_t> out;
  for (auto _ : state) {
    out = flow_directions(w.ground, w.levels, w.walls, {}, {});
    benchmark::DoNotOptimize(out.data());
  }
  for (std::int64_t cell = 0; cell < out.cells(); ++cell) {
    const std::int64_t next = next_cell(out, cell);
    if (next < 0) continue;
    require(w.levels[next] <= w.levels[cell], "water runs uphill");
    require(!w.walls.walled(cell, out[cell]) || w.walls.crest_m(cell, out[cell]) <= w.levels[cell],
            "water runs through a wall");
  }
  set_rate(state);
}
BENCHMARK(directions)->Name("terrain/directions")->Unit(benchmark::kMillisecond);

void accumulation(benchmark::State& state) {
  const World& w = world();
  Grid<std::int64_t> out;
  for (auto _ : state) {
    out = cells_arriving(w.directions, {});
    benchmark::DoNotOptimize(out.data());
  }
  std::int64_t leaving = 0;
  for (std::int64_t cell = 0; cell < out.cells(); ++cell)
    leaving += w.directions[cell] == kStops ? out[cell] : 0;
  require(leaving == kSide * kSide, "what leaves is not what there is");
  set_rate(state);
}
BENCHMARK(accumulation)->Name("terrain/accumulation")->Unit(benchmark::kMillisecond);

void receivers(benchmark::State& state) {
  const World& w = world();
  Grid<std::int32_t> out;
  for (auto _ : state) {
    out = first_receivers(w.directions, w.receiver_at, {});
    benchmark::DoNotOptimize(out.data());
  }
  for (std::int64_t cell = 0; cell < out.cells(); ++cell) {
    const std::int64_t next = next_cell(w.directions, cell);
    const std::int32_t own = w.receiver_at[cell];
    require(out[cell] == (own >= 0   ? own
                          : next < 0 ? kNoReceiver
                                     : out[next]),
            "a receiver is not that of the way down");
  }
  set_rate(state);
}
BENCHMARK(receivers)->Name("terrain/first_receivers")->Unit(benchmark::kMillisecond);

void path_sums(benchmark::State& state) {
  const World& w = world();
  Grid<std::int32_t> value(kSide, kSide, 0);
  Grid<std::uint8_t> stop(kSide, kSide, 0);
  for (std::int64_t cell = 0; cell < value.cells(); ++cell) {
    value[cell] = static_cast<std::int32_t>(cell % 1000);
    stop[cell] = static_cast<std::uint8_t>(w.receiver_at[cell] >= 0);
  }
  Grid<std::int64_t> out;
  for (auto _ : state) {
    out = sum_along(w.directions, value, stop, {});
    benchmark::DoNotOptimize(out.data());
  }
  for (std::int64_t cell = 0; cell < out.cells(); ++cell) {
    const std::int64_t next = next_cell(w.directions, cell);
    if (stop[cell] == 0 && next >= 0) require(out[cell] == value[cell] + out[next], "a sum is not its path's");
  }
  set_rate(state);
}
BENCHMARK(path_sums)->Name("terrain/path_sums")->Unit(benchmark::kMillisecond);

void slopes(benchmark::State& state) {
  const World& w = world();
  const Grid<std::uint8_t> stop(kSide, kSide, 0);
  Grid<float> out;
  for (auto _ : state) {
    out = slope_along(w.directions, w.levels, stop, 0.5, 10.0, {});
    benchmark::DoNotOptimize(out.data());
  }
  for (const float slope : out.values()) require(slope >= 0.0F, "water runs uphill");
  set_rate(state);
}
BENCHMARK(slopes)->Name("terrain/slope_along")->Unit(benchmark::kMillisecond);

/// What the others are measured against: plain, one thread, one pass over the raster.
void minimum(benchmark::State& state) {
  const Grid<float>& height = world().ground.height_m;
  Grid<float> out(kSide, kSide, 0.0F);
  for (auto _ : state) {
    for (std::int64_t r = 0; r < kSide; ++r) {
      for (std::int64_t c = 0; c < kSide; ++c) {
        float least = height.at(r, c);
        for (std::int64_t i = std::max<std::int64_t>(0, r - 1); i <= std::min(kSide - 1, r + 1); ++i) {
          for (std::int64_t j = std::max<std::int64_t>(0, c - 1); j <= std::min(kSide - 1, c + 1); ++j) {
            least = std::min(least, height.at(i, j));
          }
        }
        out.at(r, c) = least;
      }
    }
    benchmark::DoNotOptimize(out.data());
    benchmark::ClobberMemory();
  }
  for (std::int64_t r = 1; r < kSide - 1; ++r) {
    const float corner = std::min(height.at(r - 1, r - 1), height.at(r + 1, r + 1));
    require(out.at(r, r) <= std::min(corner, height.at(r, r)), "a minimum is not the least");
  }
  set_rate(state);
}
BENCHMARK(minimum)->Name("terrain/minimum_3x3")->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace curbshed::terrain
