// Two crowned streets that cross at a right angle, with curb returns and lots on the four blocks.
#pragma once

#include "support/direction_bias.hpp"
#include "support/drawn_block.hpp"

#include <numbers>

namespace curbshed::testing {

/// Kiln Street runs along x, Lantern Street along y. Both fall with the axis, so the gutter on the north side
/// of Kiln Street comes to the corner in the north-west and may turn north or cross to the east.
struct Crossing {
  double half_m = 70.0;
  double half_width_m = 5.0;
  double radius_m = 4.5;
  double crossfall = 0.02;
  double east_fall = 0.005;
  double north_fall = 0.005;
  double crown_m = 0.10;  ///< of Lantern Street where Kiln Street's gutters cross it; 0.10 is the whole crown
  double lot_slope = 0.02;
  double cell_m = 0.5;

  double corner_m() const { return half_width_m + radius_m; }
  bool paved(base::Point p) const {
    const double x = std::abs(p.x_m);
    const double y = std::abs(p.y_m);
    if (x < half_width_m || y < half_width_m) return true;
    return x < corner_m() && y < corner_m() && std::hypot(corner_m() - x, corner_m() - y) > radius_m;
  }
  double height_m(base::Point p) const {
    const double x = std::abs(p.x_m);
    const double y = std::abs(p.y_m);
    const double plane = 100.0 - east_fall * p.x_m - north_fall * p.y_m;
    const double gutter = crossfall * half_width_m;
    if (paved(p)) {
      const double drop = crossfall * std::min({x, y, half_width_m});
      // Lantern Street's crown fades toward the crossing.
      const double fades = x < half_width_m ? std::clamp((y - corner_m()) / 10.0, 0.0, 1.0) : 1.0;
      const double lantern = gutter - (gutter - drop) * (crown_m / gutter);
      return plane - (y >= 0.5 * half_width_m ? fades * drop + (1.0 - fades) * lantern : drop);
    }
    const bool by_return = x < corner_m() && y < corner_m();
    const double away =
        by_return ? radius_m - std::hypot(corner_m() - x, corner_m() - y) : std::min(x, y) - half_width_m;
    return plane - gutter + 0.15 + lot_slope * std::min(away, 25.0);
  }
};

/// Curbs "nw-kiln", "nw-return", "nw-lantern" and so on for the four blocks.
inline DrawnBlock draw_crossing(const Crossing& crossing, const HeightError& error = {}) {
  DrawnBlock block;
  const auto n = static_cast<std::int64_t>(2.0 * crossing.half_m / crossing.cell_m);
  block.ground = ground_by(n, n, crossing.cell_m, [&](base::Point p) { return crossing.height_m(p); });
  add_error(block.ground, error);
  block.pavement = Grid<std::uint8_t>(n, n, 0);
  for (std::int64_t cell = 0; cell < n * n; ++cell)
    block.pavement[cell] = crossing.paved(block.ground.frame.centre(cell)) ? 1 : 0;
  const double end = crossing.half_m + 2.0;
  const double c = crossing.corner_m();
  const double w = crossing.half_width_m;
  for (const double ns : {1.0, -1.0}) {
    for (const double ew : {-1.0, 1.0}) {
      const std::string name = std::string(ns > 0.0 ? "n" : "s") + (ew > 0.0 ? "e" : "w");
      block.curbs.push_back(curb_line(name + "-kiln", "Kiln Street", ns > 0.0 ? "north" : "south",
                                      {{ew * end, ns * w}, {ew * c, ns * w}}));
      base::Polyline arc;
      for (int i = 0; i <= 12; ++i) {
        const double a = 0.5 * std::numbers::pi * i / 12.0;
        arc.push_back(
            {ew * (c - crossing.radius_m * std::sin(a)), ns * (c - crossing.radius_m * std::cos(a))});
      }
      block.curbs.push_back(curb_line(name + "-return", "", "", arc));
      block.curbs.push_back(curb_line(name + "-lantern", "Lantern Street", ew > 0.0 ? "east" : "west",
                                      {{ew * w, ns * c}, {ew * w, ns * end}}));
    }
  }
  return block;
}

}  // namespace curbshed::testing
