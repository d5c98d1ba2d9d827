// A basin as it is dug: rim, water line and floor on the map, and what comes out of the hole.
#pragma once

#include "curbshed/base/geometry.hpp"

namespace curbshed::siting {

/// A rectangular basin. Water line at the cut's invert; the rim of its slopes lies `drop_m` above it, the top
/// of the mulch `ponding_m` below it, the bottom of the hole `mulch_m` below that, with upright sides.
struct DugBasin {
  double length_m = 0.0;  ///< of the water line, along the curb
  double width_m = 0.0;   ///< of the water line, square to it
  double side_slope = 0.0;
  double ponding_m = 0.0;
  double drop_m = 0.0;
  double mulch_m = 0.0;
  double ground_above_water_m = 0.0;  ///< ground as it is above the water line: the curb's height
};

struct DugFigures {
  double rim_length_m = 0.0;
  double rim_width_m = 0.0;
  double floor_length_m = 0.0;
  double floor_width_m = 0.0;
  double rim_m2 = 0.0;
  double water_m2 = 0.0;
  double floor_m2 = 0.0;
  double held_m3 = 0.0;     ///< water, from the mulch up to the water line
  double frustum_m3 = 0.0;  ///< from the rim down to the top of the mulch
  double mulch_m3 = 0.0;    ///< floor × depth of the mulch
  double above_m3 = 0.0;    ///< ground over the rim, up to where the ground is now: rim area × height
  double dug_m3() const { return frustum_m3 + mulch_m3 + above_m3; }  ///< in the ground, before it loosens
};

/// Exact for the frustum with one slope on all sides: V = l w h + z (l + w) h² + 4/3 z² h³ over the floor l ×
/// w (Simpson's rule on a quadratic area, which is exact). BugError where there is no floor.
DugFigures figures_of(const DugBasin& basin);

/// The rectangle `ring` (five points, the first again at the end) with all sides moved out by `out_m`, in
/// where it is negative. The corners keep their order. BugError where nothing is left.
base::Polygon rectangle_grown(const base::Polygon& ring, double out_m);

struct BasinOutline {
  base::Polygon rim;
  base::Polygon water_line;
  base::Polygon floor;
};
/// From the water line on the map.
BasinOutline outline_of(const base::Polygon& water_line, const DugBasin& basin);

}  // namespace curbshed::siting
