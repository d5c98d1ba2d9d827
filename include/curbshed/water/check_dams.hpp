// A long basin whose floor falls with the street, with or without check dams.
#pragma once

namespace curbshed::water {

/// Lengths in metres. The floor falls at `grade` along the basin; dams as high as the water line cut it into
/// check_dams + 1 equal cells, each with its own level pool, `ponding_m` deep at its lower end.
struct FallingFloor {
  double floor_length_m = 0.0;   ///< of a level floor at that depth, > 0
  double floor_width_m = 0.0;    ///< > 0
  double side_slope = 0.0;       ///< horizontal to one vertical, of both sides and both ends, ≥ 0
  double ponding_m = 0.0;        ///< ≥ 0
  double grade = 0.0;            ///< ≥ 0
  int check_dams = 0;            ///< ≥ 0
  double dam_thickness_m = 0.0;  ///< along the basin, ≥ 0; upright faces
};

struct FallingFloorHolds {
  double volume_m3 = 0.0;
  double wet_floor_m2 = 0.0;  ///< floor under water when full
};

/// Exact for straight lines. With depth y = ponding − grade · x up a cell and cross-section w y + z y²:
/// a cell holds the integral over its floor where y > 0, (w (p² − y1²)/2 + z (p³ − y1³)/3) / grade, y1 the
/// depth at its upper end (grade 0: length · (w p + z p²)); the sloping ends of the basin add z y² w/2 + 2/3
/// z² y³ each, y the depth there. Without grade and dams this is the frustum of basin.hpp. Source: geometry.
/// BugError outside the ranges; no room left between the dams → nothing is held in the cells.
FallingFloorHolds falling_floor(const FallingFloor& floor);

}  // namespace curbshed::water
