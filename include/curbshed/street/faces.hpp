// One side of one street between two corners, whatever pieces its curb is drawn in.
#pragma once

#include "curbshed/terrain/curbs.hpp"

#include <string>
#include <vector>

namespace curbshed::street {

/// Where a place stands on its block face: the way along the curb to the nearer end at which another street
/// is found.
struct FacePlace {
  double distance_m =
      0.0;             ///< along the curb, through driveways and other pieces of the same street and side
  std::string from;    ///< street at that end; "" = none near either end: distance from the face's first end
  std::string toward;  ///< street at the other end, so that a tape is laid the right way; "" = none
};

/// Pieces belong together when street and side are equal and their ends meet within `meet_m`. Another street
/// counts as the cross street when its curb comes within 30 m of the face's end; the nearest does, ties to
/// the first name. The answer does not depend on the order or the direction of the pieces. curb: index;
/// along_m: from that piece's first point, clamped.
FacePlace place_on_face(const std::vector<terrain::CurbLine>& curbs, std::size_t curb, double along_m,
                        double meet_m);

}  // namespace curbshed::street
