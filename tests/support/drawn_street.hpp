// A straight street at any bearing: pavement, curbs as walls, lots; and the exact polygons that drain to its
// gutters.
#pragma once

#include "support/drawn_ground.hpp"

#include <cmath>
#include <numbers>

namespace curbshed::testing {

/// One side of a street, from its crown outward.
struct StreetSideShape {
  double width_m = 5.0;     ///< crown to curb face
  double crossfall = 0.02;  ///< toward the curb; negative: the pavement rises to the curb
  bool curb = true;      ///< a wall with a crest of 0.15 m, and a lowered gutter if the pavement falls to it
  double rise_m = 0.15;  ///< of the ground behind the curb face above the pavement's edge
  double lot_m = 40.0;   ///< depth of the lot
  double lot_slope = 0.02;  ///< toward the street; negative: the lot falls away
};

/// s runs down the street, t to its left. Behind the lots the ground falls away.
struct DrawnStreet {
  double bearing_deg = 90.0;  ///< of the way down
  double grade = 0.01;
  double cell_m = 0.5;
  double half_m = 130.0;     ///< of the raster
  double lowering_m = 0.10;  ///< of the gutters on sides whose pavement falls to the curb
  StreetSideShape left;
  StreetSideShape right;

  base::Point down() const {
    const double a = bearing_deg * std::numbers::pi / 180.0;
    return {std::sin(a), std::cos(a)};
  }
  double s_of(base::Point p) const { return p.x_m * down().x_m + p.y_m * down().y_m; }
  double t_of(base::Point p) const { return p.y_m * down().x_m - p.x_m * down().y_m; }
  base::Point at(double s, double t) const {
    const base::Point d = down();
    return {s * d.x_m - t * d.y_m, s * d.y_m + t * d.x_m};
  }
  const StreetSideShape& side(double t) const { return t >= 0.0 ? left : right; }

  double height_m(base::Point p) const {
    constexpr double kBase = 100.0;
    constexpr double kBehind = 0.02;
    const StreetSideShape& shape = side(t_of(p));
    const double t = std::abs(t_of(p));
    double z = kBase - grade * s_of(p) - shape.crossfall * std::min(t, shape.width_m);
    if (t >= shape.width_m) {
      z += shape.rise_m + shape.lot_slope * std::min(t - shape.width_m, shape.lot_m) -
           kBehind * std::max(0.0, t - shape.width_m - shape.lot_m);
    }
    return z;
  }
};

struct DrawnStreetWorld {
  Ground ground;  ///< lowered in the gutters
  Walls walls;
  Grid<std::uint8_t> gutter;  ///< 1 left, 2 right
};

/// Every step from a cell centre on the street side of a curb to one behind it is walled; cells beside such a
/// step are gutter.
inline DrawnStreetWorld draw_street(const DrawnStreet& street) {
  constexpr double kCrest = 0.15;
  const auto n = static_cast<std::int64_t>(2.0 * street.half_m / street.cell_m);
  DrawnStreetWorld world{
      ground_by(n, n, street.cell_m, [&](base::Point p) { return street.height_m(p); }), {}, {}};
  world.gutter = Grid<std::uint8_t>(n, n, 0);
  std::vector<Crest> crests;
  const GridFrame& f = world.ground.frame;
  for (std::int64_t cell = 0; cell < f.cells(); ++cell) {
    const double t = street.t_of(f.centre(cell));
    const StreetSideShape& side = street.side(t);
    if (std::abs(t) >= side.width_m) continue;
    bool at_curb = false;
    for (std::uint8_t k = 0; k < terrain::kBearings; ++k) {
      const std::int64_t r = cell / f.cols + terrain::kRowStep[k];
      const std::int64_t c = cell % f.cols + terrain::kColStep[k];
      const base::Point beyond = f.centre(r, c);
      if (!f.inside(r, c) || std::abs(street.t_of(beyond)) < street.side(street.t_of(beyond)).width_m)
        continue;
      at_curb = true;
      if (!side.curb) continue;
      const base::Point here = f.centre(cell);
      const double face_s = 0.5 * (street.s_of(here) + street.s_of(beyond));
      crests.push_back(
          {cell, k,
           static_cast<float>(street.height_m(street.at(face_s, std::copysign(side.width_m - 1e-9, t))) +
                              kCrest)});
    }
    if (at_curb && side.crossfall > 0.0) {
      world.gutter[cell] = t >= 0.0 ? 1 : 2;
      if (side.curb) world.ground.height_m[cell] -= static_cast<float>(street.lowering_m);
    }
  }
  world.walls = terrain::make_walls(n, n, std::move(crests));
  return world;
}

/// What drains straight down the fall lines to the gutter on one side between two stations: polygons of
/// pavement and lots. `left_side` names the gutter. Water of a side whose pavement rises to its curb crosses
/// the crown to the other gutter.
inline std::vector<base::Polygon> true_area(const DrawnStreet& street, bool left_side, double from_s,
                                            double to_s) {
  std::vector<base::Polygon> area;
  const double out = left_side ? 1.0 : -1.0;
  // A strip between two lines along the street: the fall line shifts by grade / slope for each metre across.
  double shift = 0.0;
  const auto strip = [&](double near_t, double far_t, double slope) {
    const double next = shift - street.grade / slope * std::abs(far_t - near_t);
    base::Polyline ring = {street.at(from_s + shift, near_t), street.at(to_s + shift, near_t),
                           street.at(to_s + next, far_t), street.at(from_s + next, far_t)};
    ring.push_back(ring.front());
    area.push_back({{ring}});
    shift = next;
  };
  const StreetSideShape& near = left_side ? street.left : street.right;
  const StreetSideShape& far = left_side ? street.right : street.left;
  if (near.lot_slope > 0.0) strip(out * near.width_m, out * (near.width_m + near.lot_m), near.lot_slope);
  shift = 0.0;
  strip(out * near.width_m, 0.0, near.crossfall);
  if (far.crossfall < 0.0) {
    strip(0.0, -out * far.width_m, -far.crossfall);
    if (far.lot_slope > 0.0) strip(-out * far.width_m, -out * (far.width_m + far.lot_m), far.lot_slope);
  }
  return area;
}

inline bool in_any(const std::vector<base::Polygon>& area, base::Point p) {
  for (const base::Polygon& polygon : area) {
    if (base::contains(polygon, p)) return true;
  }
  return false;
}

}  // namespace curbshed::testing
