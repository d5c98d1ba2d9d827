// How far a rule for directions strays from the fall line: exact planes, cones, a saddle and streets.
#pragma once

#include "curbshed/terrain/directions.hpp"

#include "support/drawn_ground.hpp"
#include "support/drawn_street.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <vector>

namespace curbshed::testing {

/// Directions on a level surface: ground, levels, walls, drains.
using DirectionRule = std::function<Grid<std::uint8_t>(const Ground&, const Grid<float>&, const Walls&,
                                                       const Grid<std::uint8_t>&)>;

inline Grid<std::uint8_t> product_rule(const Ground& ground, const Grid<float>& levels, const Walls& walls,
                                       const Grid<std::uint8_t>& drains) {
  return terrain::flow_directions(ground, levels, walls, drains, {});
}
inline Grid<std::uint8_t> steepest_rule(const Ground& ground, const Grid<float>& levels, const Walls& walls,
                                        const Grid<std::uint8_t>& drains) {
  return terrain::flow_directions_steepest_neighbour(ground, levels, walls, drains, {});
}

/// Error of heights: a standard deviation and a length over which it is alike. 0 = none.
struct HeightError {
  double spread_m = 0.0;
  double range_m = 5.0;
  std::uint64_t seed = 1;
};

/// Near-normal errors with correlation exp(−|Δx|/range) · exp(−|Δy|/range): one recursion along the rows, one
/// down the columns.
inline void add_error(Ground& ground, const HeightError& error) {
  if (error.spread_m <= 0.0) return;
  const GridFrame& f = ground.frame;
  const double keep = std::exp(-f.cell_m / error.range_m);
  const double fresh = std::sqrt(1.0 - keep * keep);
  Chance chance(error.seed);
  std::vector<double> above(static_cast<std::size_t>(f.cols));
  for (std::int64_t row = 0; row < f.rows; ++row) {
    double along = 0.0;
    for (std::int64_t col = 0; col < f.cols; ++col) {
      along = col == 0 ? chance.bell() : keep * along + fresh * chance.bell();
      double& at = above[static_cast<std::size_t>(col)];
      at = row == 0 ? along : keep * at + fresh * along;
      ground.height_m.at(row, col) += static_cast<float>(error.spread_m * at);
    }
  }
}

/// Near-normal errors with correlation exp(−distance/range) in every direction: a sum of plane waves whose
/// lengths and directions follow that correlation's spectrum in the plane, k L² / (1 + k² L²)^(3/2).
inline void add_round_error(Ground& ground, const HeightError& error) {
  constexpr int kWaves = 150;
  const GridFrame& f = ground.frame;
  Chance chance(error.seed);
  const double height = error.spread_m * std::sqrt(2.0 / kWaves);
  for (int w = 0; w < kWaves; ++w) {
    const double rest = 1.0 - chance.share();
    const double k = std::sqrt(1.0 / (rest * rest) - 1.0) / error.range_m;
    const double turn = 2.0 * std::numbers::pi * chance.share();
    const double kx = k * std::cos(turn) * f.cell_m;
    const double ky = k * std::sin(turn) * f.cell_m;
    const double phase = 2.0 * std::numbers::pi * chance.share();
    for (std::int64_t row = 0; row < f.rows; ++row) {
      // cos(a + n·kx) by turning on from cell to cell.
      const double start = phase + ky * static_cast<double>(row);
      double c = std::cos(start);
      double s = std::sin(start);
      const double dc = std::cos(kx);
      const double ds = std::sin(kx);
      for (std::int64_t col = 0; col < f.cols; ++col) {
        ground.height_m.at(row, col) += static_cast<float>(height * c);
        const double next = c * dc - s * ds;
        s = s * dc + c * ds;
        c = next;
      }
    }
  }
}

/// Walkers on a plane, against the straight fall line, after `way_m` down it.
struct Drift {
  double mean_m = 0.0;
  double worst_m = 0.0;
};
inline Drift drift_on_plane(const DirectionRule& rule, double bearing_deg, double way_m, double cell_m,
                            const HeightError& error = {}) {
  constexpr double kGrade = 0.02;
  constexpr int kWalkers = 400;
  DrawnStreet axes;  // s runs down the plane, t to its left
  axes.bearing_deg = bearing_deg;
  const base::Point down = axes.down();
  const double along = way_m + 50.0;
  const double across = 0.9 * way_m + 50.0;  // the steepest neighbour drifts up to 0.41 m a metre
  const auto cells = [&](double a, double b) {
    return static_cast<std::int64_t>((std::abs(a) * along + std::abs(b) * across) / cell_m);
  };
  Ground ground = ground_by(cells(down.y_m, down.x_m), cells(down.x_m, down.y_m), cell_m,
                            [&](base::Point p) { return 100.0 - kGrade * axes.s_of(p); });
  add_error(ground, error);
  const Grid<float> levels = terrain::water_levels(ground, {}, {}, {});
  const Grid<std::uint8_t> directions = rule(ground, levels, {}, {});
  Drift drift;
  Chance chance(7);
  for (int i = 0; i < kWalkers; ++i) {
    const double s = -0.5 * way_m + 20.0 * (chance.share() - 0.5);
    std::int64_t cell = ground.frame.cell_at(axes.at(s, 20.0 * (chance.share() - 0.5)));
    const base::Point from = ground.frame.centre(cell);
    base::Point at = from;
    while (axes.s_of(at) - axes.s_of(from) < way_m) {
      cell = terrain::next_cell(directions, cell);
      if (cell < 0) break;  // off the raster: counts with its drift up to there
      at = ground.frame.centre(cell);
    }
    const double off = std::abs(axes.t_of(at) - axes.t_of(from));
    drift.mean_m += off / kWalkers;
    drift.worst_m = std::max(drift.worst_m, off);
  }
  return drift;
}

/// Shares of the true area: too much or too little, and in the wrong place (symmetric difference).
struct AreaError {
  double area = 0.0;
  double place = 0.0;
};
struct FoundArea {
  double true_m2 = 0.0;
  double area_m2 = 0.0;
  double difference_m2 = 0.0;  ///< symmetric, by cell centres

  AreaError error() const { return {std::abs(area_m2 / true_m2 - 1.0), difference_m2 / true_m2}; }
};
inline FoundArea compare_area(const GridFrame& frame, const Grid<std::int32_t>& receivers,
                              std::int32_t receiver, const std::vector<base::Polygon>& wanted) {
  FoundArea found;
  for (const base::Polygon& polygon : wanted) found.true_m2 += base::area_m2(polygon);
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    const bool in = receivers[cell] == receiver;
    if (in) found.area_m2 += frame.cell_area_m2();
    if (in != in_any(wanted, frame.centre(cell))) found.difference_m2 += frame.cell_area_m2();
  }
  return found;
}

/// A lot of 40 m by 40 m on a plane: what arrives at a line across its foot from below a line across its
/// head.
inline FoundArea lot_on_plane(const DirectionRule& rule, double bearing_deg, const HeightError& error = {}) {
  DrawnStreet axes;
  axes.bearing_deg = bearing_deg;
  Ground ground = ground_by(300, 300, 0.5, [&](base::Point p) { return 100.0 - 0.02 * axes.s_of(p); });
  add_error(ground, error);
  constexpr double kWay = 40.0;
  constexpr double kWidth = 40.0;
  Grid<std::int32_t> at(300, 300, -1);
  for (std::int64_t cell = 0; cell < ground.frame.cells(); ++cell) {
    const base::Point p = ground.frame.centre(cell);
    const double s = axes.s_of(p);
    const bool wide = std::abs(axes.t_of(p)) < 0.5 * kWidth;
    if (s >= -0.5 * kWay && s < -0.5 * kWay + 0.75) at[cell] = 0;
    if (s >= 0.5 * kWay && s < 0.5 * kWay + 0.75 && wide) at[cell] = 1;
  }
  const Grid<float> levels = terrain::water_levels(ground, {}, {}, {});
  const Grid<std::int32_t> receivers = terrain::first_receivers(rule(ground, levels, {}, {}), at, {});
  // A receiver takes in its own cells and not those of the one above: 0.75 m of each.
  base::Polyline ring;
  for (const auto& [s, t] : {std::pair(-1.0, -1.0), {1.0, -1.0}, {1.0, 1.0}, {-1.0, 1.0}, {-1.0, -1.0}}) {
    ring.push_back(axes.at(0.5 * kWay * s + 0.75, 0.5 * kWidth * t));
  }
  return compare_area(ground.frame, receivers, 1, {{{ring}}});
}

/// Areas of sectors or stretches against the closed forms: share that is wrong.
struct PartsError {
  double mean = 0.0;
  double worst = 0.0;
};
inline PartsError parts_error(const std::vector<double>& found, const std::vector<double>& wanted) {
  PartsError error;
  for (std::size_t i = 0; i < found.size(); ++i) {
    const double off = std::abs(found[i] / wanted[i] - 1.0);
    error.mean += off / static_cast<double>(found.size());
    error.worst = std::max(error.worst, off);
  }
  return error;
}

/// 24 sectors of a cone of 2 %, at a ring of 25 m; an inward cone's rim is at 50 m.
inline PartsError cone_error(const DirectionRule& rule, bool outward, const HeightError& height_error = {}) {
  constexpr int kSectors = 24;
  constexpr double kRing = 25.0;
  constexpr double kRim = 50.0;
  constexpr double kCell = 0.5;
  const double fall = outward ? -0.02 : 0.02;
  Ground ground =
      ground_by(220, 220, kCell, [&](base::Point p) { return 100.0 + fall * std::hypot(p.x_m, p.y_m); });
  add_error(ground, height_error);
  Grid<std::uint8_t> drains(220, 220, 0);
  Grid<std::int32_t> at(220, 220, -1);
  for (std::int64_t cell = 0; cell < ground.frame.cells(); ++cell) {
    const base::Point p = ground.frame.centre(cell);
    const double r = std::hypot(p.x_m, p.y_m);
    if (!outward && r < 2.0) drains[cell] = 1;
    const bool on_ring =
        outward ? r >= kRing && r < kRing + 1.5 * kCell : r <= kRing && r > kRing - 1.5 * kCell;
    if (!on_ring) continue;
    const double turn = std::atan2(p.y_m, p.x_m) / (2.0 * std::numbers::pi) + 0.5;
    at[cell] = static_cast<std::int32_t>(turn * kSectors) % kSectors;
  }
  const Grid<float> levels = terrain::water_levels(ground, {}, drains, {});
  const Grid<std::int32_t> receivers = terrain::first_receivers(rule(ground, levels, {}, drains), at, {});
  std::vector<double> area(kSectors, 0.0);
  for (std::int64_t cell = 0; cell < ground.frame.cells(); ++cell) {
    const base::Point p = ground.frame.centre(cell);
    const double r = std::hypot(p.x_m, p.y_m);
    const bool counted = outward ? r < kRing : r > kRing && r < kRim;
    if (counted && receivers[cell] >= 0)
      area[static_cast<std::size_t>(receivers[cell])] += ground.frame.cell_area_m2();
  }
  // Specific area r/2 on the outward cone, (R² − r²)/(2r) on the inward one, times the sector's arc (Gallant
  // & Hutchinson 2011, Water Resour. Res. 47, W05535; the forms follow from da/dl = 1 − κ a with κ = ±1/r).
  const double arc = 2.0 * std::numbers::pi * kRing / kSectors;
  const double wanted = arc * (outward ? kRing / 2.0 : (kRim * kRim - kRing * kRing) / (2.0 * kRing));
  return parts_error(area, std::vector<double>(kSectors, wanted));
}

/// A saddle z = k (x² − y²) with inflow from |x| = 50 m, at the lines y = ±25 m: 20 stretches of 5 m.
inline PartsError saddle_error(const DirectionRule& rule, const HeightError& height_error = {}) {
  constexpr double kInflow = 50.0;
  constexpr double kLine = 25.0;
  constexpr double kStretch = 5.0;
  constexpr double kCell = 0.5;
  constexpr int kEach = 5;
  constexpr std::int64_t kSize = 220;
  Ground ground = ground_by(kSize, kSize, kCell, [](base::Point p) {
    return 100.0 + 4e-4 * (p.x_m * p.x_m - p.y_m * p.y_m);  // 4 % at the inflow
  });
  add_error(ground, height_error);
  Grid<std::int32_t> at(kSize, kSize, -1);
  const GridFrame& frame = ground.frame;
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    const base::Point p = frame.centre(cell);
    const auto stretch = static_cast<std::int32_t>(std::abs(p.x_m) / kStretch);
    const double beyond = std::abs(p.y_m) - kLine;
    if (beyond < 0.0 || beyond >= 1.5 * kCell || stretch >= kEach) continue;
    at[cell] = stretch + kEach * ((p.x_m > 0.0 ? 1 : 0) + (p.y_m > 0.0 ? 2 : 0));
  }
  const Grid<float> levels = terrain::water_levels(ground, {}, {}, {});
  const Grid<std::int32_t> receivers = terrain::first_receivers(rule(ground, levels, {}, {}), at, {});
  std::vector<double> area(4 * kEach, 0.0);
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    const base::Point p = frame.centre(cell);
    if (std::abs(p.y_m) < kLine && std::abs(p.x_m) < kInflow && receivers[cell] >= 0)
      area[static_cast<std::size_t>(receivers[cell])] += frame.cell_area_m2();
  }
  // Fall lines keep c = x·y and a = √(x² + y²) ln(X/|x|) (Gallant & Hutchinson 2011, as above); a times the
  // width dc / √(x² + y²) adds up to ∫ ln(X·Y/c) dc = c ln(X·Y/c) + c.
  const auto up_to = [](double x) {
    const double c = x * kLine;
    return c > 0.0 ? c * std::log(kInflow * kLine / c) + c : 0.0;
  };
  std::vector<double> wanted;
  for (int i = 0; i < 4 * kEach; ++i) {
    const double x = kStretch * (i % kEach);
    wanted.push_back(up_to(x + kStretch) - up_to(x));
  }
  return parts_error(area, wanted);
}

/// A street with its stations along both gutters, and where the water of its cells arrives.
struct StreetBands {
  std::vector<FoundArea> bands;
  double on_own_side =
      0.0;  ///< of the cells of crowned pavement and lots that arrive at a station: on their side
};
/// Bands between stations `band_m` apart, two on each side; as many cells of gutter as the way needs.
inline StreetBands street_bands(const DirectionRule& rule, const DrawnStreet& street, double band_m,
                                const HeightError& error = {}) {
  DrawnStreetWorld world = draw_street(street);
  add_error(world.ground, error);
  const GridFrame& frame = world.ground.frame;
  const double stations[] = {-band_m, 0.0, band_m};
  Grid<std::int32_t> at(frame.rows, frame.cols, -1);
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    if (world.gutter[cell] == 0) continue;
    for (int i = 0; i < 3; ++i) {
      const double beyond = street.s_of(frame.centre(cell)) - stations[i];
      if (beyond >= 0.0 && beyond < 1.5 * frame.cell_m) at[cell] = 3 * world.gutter[cell] + i;
    }
  }
  const Grid<float> levels = terrain::water_levels(world.ground, world.walls, {}, {});
  const Grid<std::int32_t> receivers =
      terrain::first_receivers(rule(world.ground, levels, world.walls, {}), at, {});
  StreetBands found;
  for (const bool left : {true, false}) {
    if ((left ? street.left : street.right).crossfall < 0.0) continue;
    for (int i = 1; i < 3; ++i) {
      found.bands.push_back(compare_area(frame, receivers, (left ? 3 : 6) + i,
                                         true_area(street, left, stations[i - 1], stations[i])));
    }
  }
  std::int64_t own = 0;
  std::int64_t all = 0;
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    const double t = street.t_of(frame.centre(cell));
    const StreetSideShape& side = street.side(t);
    if (receivers[cell] < 3 || std::abs(t) > side.width_m + side.lot_m) continue;
    ++all;
    own += receivers[cell] / 3 == (t >= 0.0 ? 1 : 2) ? 1 : 0;
  }
  found.on_own_side = static_cast<double>(own) / static_cast<double>(all);
  return found;
}

}  // namespace curbshed::testing
