// Block faces: one side of one street between two corners, whatever pieces its curb is drawn in, and the tape
// along it.
#pragma once

#include "curbshed/terrain/curbs.hpp"

#include <array>
#include <cstdint>
#include <map>
#include <string>
#include <vector>

namespace curbshed::street {

/// Curb ends this near each other, in cells, are one curb, as for the walls.
inline constexpr double kMeetCells = 1.5;

/// One end of a block face. The tape starts where the straight curb of the cross street, carried on, meets
/// the straight curb of this street, carried on: a person finds it by looking along the cross street's curb.
/// Where there is no such place (no cross street, no straight 5 m, lines that meet at under 20° or more than
/// 40 m off) it starts at the end of the curb itself.
struct FaceEnd {
  base::Point at;            ///< end of the curb as drawn
  std::string cross;         ///< street whose curb comes within 30 m; "" = none
  std::string name;          ///< what the corner is called: `cross`, else "west end", …
  std::string heading;       ///< north, east, south, west: the way that the face runs from this end
  bool at_crossing = false;  ///< the tape starts where the two curb lines meet
  base::Point tape_start;
  double reading_m = 0.0;  ///< what the tape reads at `at`; below 0 where the curb runs on round the corner
};

struct FacePiece {
  std::int32_t curb = -1;
  bool backwards = false;
  double start_m = 0.0;  ///< from the face's first end to where this piece begins
};

/// The first end is the western, then the southern one.
struct BlockFace {
  std::string street;
  std::string side;
  std::vector<FacePiece> pieces;  ///< in order, joined by straight lines
  base::Polyline line;
  double length_m = 0.0;
  std::array<FaceEnd, 2> ends;
};

/// Where a place stands on its block face.
struct FacePlace {
  std::int32_t face = -1;   ///< −1: the curb has no street name
  double along_m = 0.0;     ///< along the curb from the face's first end
  double distance_m = 0.0;  ///< on a tape from the nearer end, along the curb, round bends and through gaps
  std::string from;         ///< that end's street; "" = no cross street at either end
  std::string toward;       ///< street at the other end; "" = none
  int end = 0;              ///< that end: 0 first, 1 second
};

/// All block faces of a set of curbs. They do not depend on the order or the direction of the pieces.
///
/// Pieces of one street and side belong together where their ends meet within `meet_m`, and across gaps of up
/// to 12 m (a driveway that was not drawn) where both run straight on (20°) and no other street's curb is as
/// near as the gap is wide. The street with the nearest curb at an end is its cross street (within 30 m, and
/// not nearer to the other end), ties to the first name. Curbs without a street's name have no face.
class BlockFaces {
 public:
  BlockFaces() = default;
  BlockFaces(const std::vector<terrain::CurbLine>& curbs, double meet_m);

  const std::vector<BlockFace>& faces() const { return faces_; }  ///< by street, side and first end
  /// Faces of a street, whatever its capitals and blanks; empty when there is none.
  const std::vector<std::int32_t>& of_street(const std::string& street) const;
  /// along_m: from that curb's first point, clamped. The nearer end that has a cross street counts.
  FacePlace place(std::size_t curb, double along_m) const;
  /// On a face, at `along_m` from its first end (clamped).
  FacePlace place_at(std::int32_t face, double along_m) const;
  base::Point point(std::int32_t face, double along_m) const;

 private:
  std::vector<BlockFace> faces_;
  struct Spot {
    std::int32_t face = -1;
    std::int32_t piece = -1;
  };
  std::vector<Spot> spot_of_curb_;
  std::vector<double> length_m_;
  std::map<std::string, std::vector<std::int32_t>> of_street_;
};

}  // namespace curbshed::street
