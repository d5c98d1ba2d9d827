// Small grounds drawn in the test source: by text, by a formula, or by seeded chance.
#pragma once

#include "curbshed/terrain/walls.hpp"

#include <cstdint>
#include <limits>
#include <sstream>
#include <string>
#include <vector>

namespace curbshed::testing {

using terrain::Crest;
using terrain::Grid;
using terrain::GridFrame;
using terrain::Ground;
using terrain::Walls;
using terrain::WorkPlan;

/// A level ground with every cell valid. The frame's middle is at (0, 0).
inline Ground level_ground(std::int64_t rows, std::int64_t cols, double cell_m, float height_m = 0.0F) {
  Ground ground;
  ground.frame = {-0.5 * static_cast<double>(cols) * cell_m, 0.5 * static_cast<double>(rows) * cell_m, cell_m,
                  rows, cols};
  ground.height_m = Grid<float>(rows, cols, height_m);
  ground.valid = Grid<std::uint8_t>(rows, cols, 1);
  return ground;
}

/// Heights in metres, one line a row, words apart by blanks; "." is a cell without data.
inline Ground drawn_ground(const std::string& text, double cell_m = 1.0) {
  std::vector<std::vector<std::string>> lines;
  std::istringstream all(text);
  for (std::string line; std::getline(all, line);) {
    std::istringstream words(line);
    std::vector<std::string> row;
    for (std::string word; words >> word;) row.push_back(word);
    if (!row.empty()) lines.push_back(row);
  }
  Ground ground = level_ground(static_cast<std::int64_t>(lines.size()),
                               lines.empty() ? 0 : static_cast<std::int64_t>(lines[0].size()), cell_m);
  std::int64_t cell = 0;
  for (const auto& row : lines) {
    for (const std::string& word : row) {
      if (word == ".") {
        ground.valid[cell] = 0;
      } else {
        ground.height_m[cell] = std::stof(word);
      }
      ++cell;
    }
  }
  return ground;
}

/// Heights by height_m(point), metres east and north of the middle.
template <class Height>
Ground ground_by(std::int64_t rows, std::int64_t cols, double cell_m, Height height_m) {
  Ground ground = level_ground(rows, cols, cell_m);
  for (std::int64_t cell = 0; cell < ground.frame.cells(); ++cell) {
    ground.height_m[cell] = static_cast<float>(height_m(ground.frame.centre(cell)));
  }
  return ground;
}

/// Same numbers on every machine (splitmix64; Steele, Lea & Flood 2014).
class Chance {
 public:
  explicit Chance(std::uint64_t seed) : state_(seed) {}
  std::uint64_t next() {
    state_ += 0x9E3779B97F4A7C15U;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBU;
    return z ^ (z >> 31);
  }
  /// 0 … n − 1
  std::int64_t below(std::int64_t n) {
    return static_cast<std::int64_t>(next() % static_cast<std::uint64_t>(n));
  }
  double share() { return static_cast<double>(next() >> 11) * 0x1.0p-53; }
  /// Near-normal with mean 0 and standard deviation 1: the sum of twelve shares.
  double bell() {
    double sum = -6.0;
    for (int i = 0; i < 12; ++i) sum += share();
    return sum;
  }

 private:
  std::uint64_t state_;
};

inline void add_noise(Ground& ground, double spread_m, std::uint64_t seed) {
  Chance chance(seed);
  for (std::int64_t cell = 0; cell < ground.frame.cells(); ++cell) {
    ground.height_m[cell] += static_cast<float>(spread_m * chance.bell());
  }
}

/// A small ground with many ties, some of it without data, and one-way walls thrown on it.
struct ThrownWorld {
  Ground ground;
  Walls walls;
  Grid<std::uint8_t> drains;  ///< empty in every second world
};
inline ThrownWorld thrown_world(std::uint64_t seed, std::int64_t most_rows = 12,
                                std::int64_t most_cols = 12) {
  Chance chance(seed);
  const std::int64_t rows = 1 + chance.below(most_rows);
  const std::int64_t cols = 1 + chance.below(most_cols);
  const std::int64_t heights = 2 + chance.below(9);
  const double missing = chance.below(3) == 0 ? 0.15 : 0.0;
  const double walled = 0.3 * chance.share();
  ThrownWorld world{level_ground(rows, cols, 1.0), {}, {}};
  std::vector<Crest> crests;
  if (chance.below(2) == 0) world.drains = Grid<std::uint8_t>(rows, cols, 0);
  for (std::int64_t cell = 0; cell < rows * cols; ++cell) {
    world.ground.height_m[cell] = static_cast<float>(chance.below(heights));
    if (chance.share() < missing) {
      world.ground.valid[cell] = 0;
      world.ground.height_m[cell] = 0.0F;
    }
    if (!world.drains.empty() && chance.share() < 0.02) world.drains[cell] = 1;
    for (std::uint8_t k = 0; k < terrain::kBearings; ++k) {
      if (chance.share() < walled)
        crests.push_back({cell, k, static_cast<float>(chance.below(heights + 2)) - 0.5F});
    }
  }
  if (chance.below(5) != 0) world.walls = terrain::make_walls(rows, cols, std::move(crests));
  return world;
}

/// Ways of cutting the work that every kernel must answer equally.
inline std::vector<WorkPlan> many_plans(std::int64_t rows, std::int64_t cols) {
  std::vector<WorkPlan> plans;
  for (const int threads : {1, 2, 4}) {
    plans.push_back({threads, 0, 0});
    plans.push_back({threads, 1, 0});
    if (threads == 1) plans.push_back({threads, 1, 1});
    plans.push_back({threads, 7, 7});
    plans.push_back({threads, 13, 5});
    plans.push_back({threads, 0, 3});
    plans.push_back({threads, 256, 256});
    plans.push_back({threads, rows + 100, cols + 100});
    plans.push_back({threads, (rows + 1) / 2, (cols + 1) / 2});
  }
  return plans;
}
inline std::string name_of(const WorkPlan& plan) {
  return std::to_string(plan.threads) + " threads, tiles of " + std::to_string(plan.tile_rows) + " x " +
         std::to_string(plan.tile_cols);
}

/// What the level is defined as, by sweeping over all steps until nothing falls.
inline Grid<float> swept_levels(const Ground& ground, const Walls& walls, const Grid<std::uint8_t>& drains) {
  const GridFrame& f = ground.frame;
  Grid<float> level(f.rows, f.cols, std::numeric_limits<float>::infinity());
  for (bool fell = true; fell;) {
    fell = false;
    for (std::int64_t cell = 0; cell < f.cells(); ++cell) {
      if (ground.valid[cell] == 0) continue;
      bool drain = !drains.empty() && drains[cell] != 0;
      float least = level[cell];
      for (int k = 0; k < terrain::kBearings; ++k) {
        const std::int64_t r = cell / f.cols + terrain::kRowStep[k];
        const std::int64_t c = cell % f.cols + terrain::kColStep[k];
        if (!f.inside(r, c) || ground.valid.at(r, c) == 0) {
          drain = true;
          continue;
        }
        float pass = std::max(level.at(r, c), ground.height_m[cell]);
        if (walls.walled(cell, k)) pass = std::max(pass, walls.crest_m(cell, k));
        least = std::min(least, pass);
      }
      if (drain) least = ground.height_m[cell];
      if (least < level[cell]) {
        level[cell] = least;
        fell = true;
      }
    }
  }
  for (std::int64_t cell = 0; cell < f.cells(); ++cell) {
    if (ground.valid[cell] == 0) level[cell] = 0.0F;
  }
  return level;
}

/// Cells that water on `from` cells can reach without passing a wall.
inline std::vector<char> reachable(const Ground& ground, const Walls& walls, const std::vector<char>& from) {
  std::vector<char> reached = from;
  std::vector<std::int64_t> open;
  for (std::size_t i = 0; i < from.size(); ++i) {
    if (from[i]) open.push_back(static_cast<std::int64_t>(i));
  }
  while (!open.empty()) {
    const std::int64_t cell = open.back();
    open.pop_back();
    for (int k = 0; k < terrain::kBearings; ++k) {
      const std::int64_t r = cell / ground.frame.cols + terrain::kRowStep[k];
      const std::int64_t c = cell % ground.frame.cols + terrain::kColStep[k];
      if (!ground.frame.inside(r, c) || walls.walled(cell, k)) continue;
      const std::int64_t to = ground.frame.index(r, c);
      if (reached[static_cast<std::size_t>(to)]) continue;
      reached[static_cast<std::size_t>(to)] = 1;
      open.push_back(to);
    }
  }
  return reached;
}

}  // namespace curbshed::testing
