// Published corrections of the eight-direction bias that the product does not use: for the comparison in
// docs/methods.md, "Directions". Flats and stops are the product's.
#pragma once

#include "curbshed/terrain/directions.hpp"

#include "support/drawn_ground.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>
#include <vector>

namespace curbshed::testing {

/// The world that directions are asked for, with what a step may do.
struct DirectionWorld {
  const Ground& ground;
  const Grid<float>& levels;
  const Walls& walls;
  const Grid<std::uint8_t>& drains;

  /// Drop to each neighbour; minus infinity where the step is not permitted.
  std::array<double, terrain::kBearings> drops(std::int64_t cell) const {
    std::array<double, terrain::kBearings> drop{};
    const GridFrame& f = ground.frame;
    for (int k = 0; k < terrain::kBearings; ++k) {
      const std::int64_t r = cell / f.cols + terrain::kRowStep[k];
      const std::int64_t c = cell % f.cols + terrain::kColStep[k];
      const bool shut = !f.inside(r, c) || ground.valid.at(r, c) == 0 ||
                        (walls.walled(cell, k) && walls.crest_m(cell, k) > levels[cell]);
      drop[static_cast<std::size_t>(k)] =
          shut ? -std::numeric_limits<double>::infinity()
               : static_cast<double>(levels[cell]) - static_cast<double>(levels.at(r, c));
    }
    return drop;
  }
  bool falls(std::int64_t cell, const std::array<double, terrain::kBearings>& drop) const {
    if (ground.valid[cell] == 0 || (!drains.empty() && drains[cell] != 0)) return false;
    return *std::max_element(drop.begin(), drop.end()) > 0.0;
  }
  Grid<std::uint8_t> with_product_flats() const {
    return terrain::flow_directions_steepest_neighbour(ground, levels, walls, drains, {});
  }
};

/// Fairfield & Leymarie 1991, Water Resour. Res. 27(5):709-717, doi 10.1029/90WR02658 (rule from memory): the
/// distance to diagonal neighbours is 2 − r instead of √2, r even on (0, 1), so that on a plane the share of
/// diagonal steps is the tangent of the facet's angle. Here r is a hash of the cell's global row and column.
inline Grid<std::uint8_t> hashed_choice_directions(const DirectionWorld& world) {
  Grid<std::uint8_t> directions = world.with_product_flats();
  for (std::int64_t cell = 0; cell < world.ground.frame.cells(); ++cell) {
    const auto drop = world.drops(cell);
    if (!world.falls(cell, drop)) continue;
    const auto row = static_cast<std::uint64_t>(cell / world.ground.frame.cols);
    const auto col = static_cast<std::uint64_t>(cell % world.ground.frame.cols);
    const double r = Chance(Chance((row << 32U) ^ col).next()).share();
    double steepest = 0.0;
    for (int k = 0; k < terrain::kBearings; ++k) {
      const double slope = drop[static_cast<std::size_t>(k)] / (k % 2 == 0 ? 1.0 : 2.0 - r);
      if (slope > steepest) {
        steepest = slope;
        directions[cell] = static_cast<std::uint8_t>(k);
      }
    }
  }
  return directions;
}

enum class Deviation : std::uint8_t { Angular, Transversal };

/// Orlandini, Moretti, Franchini, Aldighieri & Testa 2003, Water Resour. Res. 39(6), 1144, doi
/// 10.1029/2002WR001639 (rule from memory, full memory, λ = 1): of the steepest facet's two neighbours the
/// one that leaves the smaller sum of deviations from the fall line, summed along the longest path from above
/// (the inflowing cell with most cells above it), angles or metres across. From high to low. Flat cells pass
/// no memory on. `tile` > 0: memory and areas of inflowing cells of other tiles are unknown.
class PathMemory {
 public:
  PathMemory(const DirectionWorld& world, Deviation kind, std::int64_t tile)
      : world_(world),
        kind_(kind),
        tile_(tile),
        directions_(world.with_product_flats()),
        sum_(n(), 0.0),
        above_(n(), 0),
        most_(n(), 0),
        inherited_(n(), 0.0) {}

  Grid<std::uint8_t> directions() {
    std::vector<std::int64_t> order(n());
    std::iota(order.begin(), order.end(), std::int64_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::int64_t a, std::int64_t b) { return world_.levels[a] > world_.levels[b]; });
    for (std::size_t from = 0; from < order.size();) {
      std::size_t to = from;
      while (to < order.size() && world_.levels[order[to]] == world_.levels[order[from]]) ++to;
      std::vector<std::int64_t> falling;
      std::vector<std::int64_t> flat;
      for (std::size_t i = from; i < to; ++i) {
        const std::int64_t cell = order[i];
        if (world_.ground.valid[cell] == 0) continue;
        (world_.falls(cell, world_.drops(cell)) ? falling : flat).push_back(cell);
      }
      for (const std::int64_t cell : flat) send_on_flat(cell);
      for (const std::int64_t cell : falling) decide(cell);
      from = to;
    }
    return directions_;
  }

 private:
  std::size_t n() const { return static_cast<std::size_t>(world_.ground.frame.cells()); }
  static std::size_t at(std::int64_t cell) { return static_cast<std::size_t>(cell); }

  /// What runs onto a flat cell is counted where its flat ends.
  void send_on_flat(std::int64_t cell) {
    std::int64_t below = terrain::next_cell(directions_, cell);
    while (below >= 0 && !world_.falls(below, world_.drops(below))) {
      below = terrain::next_cell(directions_, below);
    }
    if (below >= 0) above_[at(below)] += 1 + above_[at(cell)];
  }

  void decide(std::int64_t cell) {
    const auto drop = world_.drops(cell);
    double best2 = 0.0;
    int straight = terrain::kStops;
    int diagonal = terrain::kStops;
    for (int k = 0; k < terrain::kBearings; ++k) {
      const double d = std::max(0.0, drop[static_cast<std::size_t>(k)]);
      const double slope2 = k % 2 == 0 ? d * d : 0.5 * d * d;
      if (slope2 > best2) {
        best2 = slope2;
        straight = k;
      }
    }
    double s1 = 0.0;
    double s2 = 0.0;
    for (int k = 0; k < terrain::kBearings; k += 2) {
      for (const int beside : {(k + 7) % terrain::kBearings, k + 1}) {
        const double a = drop[static_cast<std::size_t>(k)];
        const double b = drop[static_cast<std::size_t>(beside)] - a;
        if (b > 0.0 && b < a && a * a + b * b > best2) {
          best2 = a * a + b * b;
          straight = k;
          diagonal = beside;
          s1 = a;
          s2 = b;
        }
      }
    }
    double sum = inherited_[at(cell)];
    int chosen = straight;
    if (diagonal != terrain::kStops) {
      const double side = (diagonal - straight + terrain::kBearings) % terrain::kBearings == 1 ? 1.0 : -1.0;
      const double to_straight = std::atan2(s2, s1);
      const double to_diagonal = std::numbers::pi / 4.0 - to_straight;
      const double cell_m = world_.ground.frame.cell_m;
      const bool metres = kind_ == Deviation::Transversal;
      const double left = metres ? cell_m * std::sin(to_straight) : to_straight;
      const double right = metres ? cell_m * std::numbers::sqrt2 * std::sin(to_diagonal) : to_diagonal;
      const double if_straight = sum - side * left;
      const double if_diagonal = sum + side * right;
      const bool goes_straight = std::abs(if_straight) <= std::abs(if_diagonal);
      chosen = goes_straight ? straight : diagonal;
      sum = goes_straight ? if_straight : if_diagonal;
    }
    directions_[cell] = static_cast<std::uint8_t>(chosen);
    sum_[at(cell)] = sum;
    send(cell);
  }

  void send(std::int64_t cell) {
    const std::int64_t below = terrain::next_cell(directions_, cell);
    const std::int64_t cols = world_.ground.frame.cols;
    const auto tile_of = [&](std::int64_t c, std::int64_t size) {
      return std::pair(c / cols / size, c % cols / size);
    };
    if (tile_ > 0 && tile_of(cell, tile_) != tile_of(below, tile_)) return;
    const std::int64_t cells = 1 + above_[at(cell)];
    above_[at(below)] += cells;
    if (cells > most_[at(below)]) {
      most_[at(below)] = cells;
      inherited_[at(below)] = sum_[at(cell)];
    }
  }

  const DirectionWorld& world_;
  Deviation kind_;
  std::int64_t tile_;
  Grid<std::uint8_t> directions_;
  std::vector<double> sum_;
  std::vector<std::int64_t> above_;
  std::vector<std::int64_t> most_;
  std::vector<double> inherited_;
};

inline Grid<std::uint8_t> path_memory_directions(const DirectionWorld& world, Deviation kind,
                                                 std::int64_t tile = 0) {
  return PathMemory(world, kind, tile).directions();
}

}  // namespace curbshed::testing
