// Times levels + directions + accumulation on large seeded rasters, beside a streaming skeleton (the same
// passes over memory, no thinking) and a textbook solution.
//
//   curbshed_core_bench [fractal|noise|walls] [side] [threads] [rounds] [textbook: 0|1]
#include "curbshed/base/parallel.hpp"
#include "curbshed/terrain/directions.hpp"

#include "bench/core/textbook.hpp"
#include "support/drawn_ground.hpp"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstring>
#include <string>

#include <sys/resource.h>

namespace curbshed::terrain {
namespace {

using testing::Chance;

double wall_s() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}
double user_s() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  const auto seconds = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
  };
  return seconds(usage.ru_utime) + seconds(usage.ru_stime);
}
double peak_bytes() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return 1024.0 * static_cast<double>(usage.ru_maxrss);
}

/// Corner heights of one octave, straight in between.
struct Octave {
  std::int64_t square = 1;
  std::int64_t n = 0;
  std::vector<float> corner;

  Octave(std::int64_t side, std::int64_t size, double spread_m, Chance& chance)
      : square(size), n(side / size + 2) {
    corner.resize(static_cast<std::size_t>(n * n));
    for (float& h : corner) h = static_cast<float>(spread_m * (2.0 * chance.share() - 1.0));
  }
  float at(std::int64_t r, std::int64_t c) const {
    const float v = static_cast<float>(r % square) / static_cast<float>(square);
    const float u = static_cast<float>(c % square) / static_cast<float>(square);
    const float* here = corner.data() + r / square * n + c / square;
    const float* next = here + n;
    return (1 - v) * ((1 - u) * here[0] + u * here[1]) + v * ((1 - u) * next[0] + u * next[1]);
  }
};

struct World {
  Ground ground;
  Walls walls;
};

/// fractal: nine octaves on a slope with 2 cm of noise; noise: nothing but noise; walls: the fractal, with a
/// grid of streets walled on both sides.
World make_world(const std::string& kind, std::int64_t side) {
  World world{testing::level_ground(side, side, 0.5, 500.0F), {}};
  Grid<float>& height_m = world.ground.height_m;
  std::vector<Octave> octaves;
  Chance chance(2024);
  if (kind != "noise") {
    double spread_m = 24.0;
    for (std::int64_t square = 2048; square >= 8; square /= 2, spread_m *= 0.5) {
      octaves.emplace_back(side, square, spread_m, chance);
    }
  }
  const double noise_m = kind == "noise" ? 1.0 : 0.02;
  base::parallel_stripes(side, 64, {2}, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t r = begin; r < end; ++r) {
      Chance bells(static_cast<std::uint64_t>(r) * 7919 + 5);
      for (std::int64_t c = 0; c < side; ++c) {
        float h =
            kind == "noise" ? 0.0F : 500.0F - 0.01F * static_cast<float>(r) - 0.004F * static_cast<float>(c);
        for (const Octave& octave : octaves) h += octave.at(r, c);
        height_m.at(r, c) = h + static_cast<float>(noise_m * bells.bell());
      }
    }
  });
  if (kind != "walls") return world;
  constexpr std::int64_t kBlock = 200;
  constexpr std::int64_t kWidth = 20;
  const auto in_street = [](std::int64_t r, std::int64_t c) {
    return (r + kBlock) % kBlock < kWidth || (c + kBlock) % kBlock < kWidth;
  };
  std::vector<Crest> crests;
  std::int64_t walled = 0;
  for (std::int64_t r = 0; r < side; ++r) {
    for (std::int64_t c = 0; c < side; ++c) {
      if (!in_street(r, c)) continue;
      const std::size_t before = crests.size();
      for (std::uint8_t k = 0; k < kBearings; ++k) {
        if (in_street(r + kRowStep[k], c + kColStep[k])) continue;
        crests.push_back({r * side + c, k, height_m.at(r, c) + 0.15F});
      }
      walled += crests.size() > before ? 1 : 0;
    }
  }
  std::printf("walled cells %.2f %%\n",
              100.0 * static_cast<double>(walled) / static_cast<double>(side * side));
  world.walls = make_walls(side, side, std::move(crests));
  return world;
}

std::uint64_t hash_of(const void* data, std::size_t bytes) {
  std::uint64_t hash = 1469598103934665603U;
  for (std::size_t i = 0; i + 8 <= bytes; i += 8) {
    std::uint64_t word = 0;
    std::memcpy(&word, static_cast<const char*>(data) + i, 8);
    hash = (hash ^ word) * 1099511628211U;
    hash ^= hash >> 29;
  }
  return hash;
}

struct Times {
  std::vector<double> wall;
  std::vector<double> user;
  template <class Body>
  void time(Body body) {
    const double w = wall_s();
    const double u = user_s();
    body();
    wall.push_back(wall_s() - w);
    user.push_back(user_s() - u);
  }
  void print(const char* name, std::int64_t cells) const {
    std::vector<double> w = wall;
    std::vector<double> u = user;
    std::sort(w.begin(), w.end());
    std::sort(u.begin(), u.end());
    const double n = static_cast<double>(cells) * 1e-6;
    std::printf("%-14s best %8.3f s %8.1f Mcells/s | median %8.3f s %8.1f Mcells/s | user+sys best %8.3f s\n",
                name, w.front(), n / w.front(), w[w.size() / 2], n / w[w.size() / 2], u.front());
  }
};

/// One read and one write of each array the three steps have to touch at least once: 13 bytes a cell.
void stream(const Ground& ground, Grid<float>& levels, Grid<std::uint8_t>& directions,
            Grid<std::uint32_t>& cells, int threads) {
  const std::int64_t cols = ground.frame.cols;
  base::parallel_stripes(ground.frame.rows, 64, {threads}, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t i = begin * cols; i < end * cols; ++i) levels[i] = ground.height_m[i] + 1.0F;
    for (std::int64_t i = begin * cols; i < end * cols; ++i) directions[i] = levels[i] > 500.0F ? 1 : 0;
    for (std::int64_t i = begin * cols; i < end * cols; ++i) cells[i] = directions[i] + 1U;
  });
}

/// Writes and frees as much memory as the work will take: the first touch of a virtual machine's memory can
/// cost ten times the work, and is no part of it.
void warm_memory(std::int64_t cells) { Grid<std::int64_t>(cells, 2, 1); }

/// Peak memory when what is no longer needed is let go: the ground after the directions. Prints what the
/// answers hash to.
void measure_memory(const std::string& kind, std::int64_t side, const WorkPlan& plan) {
  World world = make_world(kind, side);
  const auto n = static_cast<std::size_t>(side * side);
  const auto cells = static_cast<double>(n);
  const double input = peak_bytes();
  const Grid<float> levels = water_levels(world.ground, world.walls, {}, plan);
  const double after_levels = peak_bytes();
  const Grid<std::uint8_t> directions = flow_directions(world.ground, levels, world.walls, {}, plan);
  const double after_directions = peak_bytes();
  std::int64_t wet = 0;
  for (std::int64_t i = 0; i < side * side; ++i) wet += levels[i] > world.ground.height_m[i] ? 1 : 0;
  world = {};
  const Grid<std::uint32_t> arriving = cells_arriving_in_32_bits(directions, plan);
  const double after_all = peak_bytes();
  std::printf("under water %.1f %%\n", 100.0 * static_cast<double>(wet) / cells);
  std::printf("peak bytes a cell: input %.2f, levels %.2f, directions %.2f, accumulation %.2f\n",
              input / cells, after_levels / cells, after_directions / cells, after_all / cells);
  const Grid<std::int64_t> wide = cells_arriving(directions, plan);
  std::printf("levels %016llx directions %016llx arriving %016llx %016llx\n",
              static_cast<unsigned long long>(hash_of(levels.data(), n * 4)),
              static_cast<unsigned long long>(hash_of(directions.data(), n)),
              static_cast<unsigned long long>(hash_of(wide.data(), n * 8)),
              static_cast<unsigned long long>(hash_of(arriving.data(), n * 4)));
}

int run(const std::string& kind, std::int64_t side, int threads, int rounds, bool textbook) {
  const WorkPlan plan{threads, 0, 0};
  measure_memory(kind, side, plan);
  const World world = make_world(kind, side);
  const std::int64_t n = side * side;
  Times levels_times, directions_times, accumulation_times, all_times, stream_times, textbook_times;
  for (int round = 0; round < rounds; ++round) {
    warm_memory(n);
    Times parts[3];
    {
      Grid<float> levels;
      Grid<std::uint8_t> directions;
      Grid<std::uint32_t> arriving;
      parts[0].time([&] { levels = water_levels(world.ground, world.walls, {}, plan); });
      parts[1].time([&] { directions = flow_directions(world.ground, levels, world.walls, {}, plan); });
      parts[2].time([&] { arriving = cells_arriving_in_32_bits(directions, plan); });
    }
    Times* all[] = {&levels_times, &directions_times, &accumulation_times};
    double wall = 0.0;
    double user = 0.0;
    for (int p = 0; p < 3; ++p) {
      all[p]->wall.push_back(parts[p].wall[0]);
      all[p]->user.push_back(parts[p].user[0]);
      wall += parts[p].wall[0];
      user += parts[p].user[0];
    }
    all_times.wall.push_back(wall);
    all_times.user.push_back(user);
  }
  levels_times.print("levels", n);
  directions_times.print("directions", n);
  accumulation_times.print("accumulation", n);
  all_times.print("the three", n);
  {
    Grid<float> levels(side, side);
    Grid<std::uint8_t> directions(side, side);
    Grid<std::uint32_t> cells(side, side);
    for (int round = 0; round < rounds; ++round) {
      stream_times.time([&] { stream(world.ground, levels, directions, cells, threads); });
    }
  }
  stream_times.print("skeleton", n);
  const auto best = [](const Times& t) { return *std::min_element(t.wall.begin(), t.wall.end()); };
  std::printf("the three / skeleton: %.1f\n", best(all_times) / best(stream_times));
  if (textbook) {
    const std::vector<float> height_m(world.ground.height_m.data(), world.ground.height_m.data() + n);
    for (int round = 0; round < std::min(rounds, 2); ++round) {
      textbook_times.time([&] { textbook::solve(side, side, height_m); });
    }
    textbook_times.print("textbook", n);
    std::printf("textbook / the three: %.1f\n", best(textbook_times) / best(all_times));
  }
  return 0;
}

}  // namespace
}  // namespace curbshed::terrain

int main(int argc, char** argv) {
  const std::string kind = argc > 1 ? argv[1] : "fractal";
  const std::int64_t side = argc > 2 ? std::stoll(argv[2]) : 2048;
  const int threads = argc > 3 ? std::stoi(argv[3]) : 2;
  const int rounds = argc > 4 ? std::stoi(argv[4]) : 5;
  const bool textbook = argc <= 5 || std::string(argv[5]) != "0";
  std::printf("%s %lld x %lld, %d threads\n", kind.c_str(), static_cast<long long>(side),
              static_cast<long long>(side), threads);
  return curbshed::terrain::run(kind, side, threads, std::max(rounds, 1), textbook);
}
