// A straight crowned street at any bearing, with lots on both sides, its pavement and its two curbs.
#pragma once

#include "curbshed/terrain/curbs.hpp"
#include "curbshed/terrain/directions.hpp"
#include "curbshed/terrain/levels.hpp"

#include "support/drawn_ground.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <vector>

namespace curbshed::testing {

struct StreetShape {
  double cell_m = 1.0;
  std::int64_t cells = 120;   ///< rows and columns
  double bearing_deg = 0.0;   ///< the way along the street, clockwise from north; it rises that way
  double half_width_m = 5.0;  ///< crown to curb face
  double cross_slope = 0.02;  ///< falls from the crown to both curbs
  double grade = 0.01;
  double lot_step_m = 0.15;  ///< lot above the gutter at the curb
  double lot_slope = 0.02;   ///< rise a metre away from the street
  double base_m = 100.0;
  double noise_m = 0.0;
  std::uint64_t seed = 1;
  double curb_half_length_m = 1e9;  ///< curbs end this far from the middle (1e9: past the raster)
};

struct CrownedStreet {
  StreetShape shape;
  Ground ground;
  Grid<std::uint8_t> pavement;
  std::vector<terrain::CurbLine>
      curbs;  ///< left and right of the way along the street; their side is not given

  base::Point along() const {
    const double angle = shape.bearing_deg * std::numbers::pi / 180.0;
    return {std::sin(angle), std::cos(angle)};
  }
  double along_m(base::Point p) const { return p.x_m * along().x_m + p.y_m * along().y_m; }
  /// To the left of the crown, looking up the street.
  double left_m(base::Point p) const { return -p.x_m * along().y_m + p.y_m * along().x_m; }
  base::Point at(double along_m, double left_m) const {
    const base::Point a = along();
    return {along_m * a.x_m - left_m * a.y_m, along_m * a.y_m + left_m * a.x_m};
  }
  /// Of the pavement carried to the curb face.
  double gutter_m(double along_m) const {
    return shape.base_m + shape.grade * along_m - shape.cross_slope * shape.half_width_m;
  }
};

inline CrownedStreet crowned_street(const StreetShape& shape) {
  CrownedStreet street;
  street.shape = shape;
  street.ground = ground_by(shape.cells, shape.cells, shape.cell_m, [&](base::Point p) {
    const double off = std::abs(street.left_m(p));
    const double way = street.along_m(p);
    if (off <= shape.half_width_m) return shape.base_m + shape.grade * way - shape.cross_slope * off;
    return street.gutter_m(way) + shape.lot_step_m + shape.lot_slope * (off - shape.half_width_m);
  });
  if (shape.noise_m > 0.0) add_noise(street.ground, shape.noise_m, shape.seed);
  street.pavement = Grid<std::uint8_t>(shape.cells, shape.cells, 0);
  for (std::int64_t cell = 0; cell < street.ground.frame.cells(); ++cell) {
    street.pavement[cell] =
        std::abs(street.left_m(street.ground.frame.centre(cell))) <= shape.half_width_m ? 1 : 0;
  }
  const double reach = std::min(shape.curb_half_length_m, static_cast<double>(shape.cells) * shape.cell_m);
  for (const double side : {1.0, -1.0}) {
    terrain::CurbLine curb;
    curb.id = side > 0.0 ? "left" : "right";
    curb.line = {street.at(-reach, side * shape.half_width_m), street.at(reach, side * shape.half_width_m)};
    curb.height_m = 0.15;
    street.curbs.push_back(curb);
  }
  return street;
}

/// Where the water goes: on the lowered ground with the walls, no drains but the edge.
inline Grid<std::uint8_t> street_directions(const Ground& ground, const terrain::CurbField& field) {
  const Ground low = terrain::lowered(ground, field.lowering_m);
  const Grid<float> levels = terrain::water_levels(low, field.walls, {}, WorkPlan{});
  return terrain::flow_directions(low, levels, field.walls, {}, WorkPlan{});
}

}  // namespace curbshed::testing
