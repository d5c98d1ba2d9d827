// A place on the street in words, as a person with a tape would say it, and back to a point.
#pragma once

#include "curbshed/street/faces.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace curbshed::street {

/// What a person writes down: "Kiln Street", "north", 17.3 m from "Lantern Street" (toward "Adobe Lane").
struct TapePlace {
  std::string street;
  std::string side;    ///< may be empty where only one side has a name
  std::string corner;  ///< cross street, or "west end"
  std::string toward;  ///< street at the other end; needed only where two blocks meet at the corner
  double distance_m = 0.0;
};

enum class TapeUnit : std::uint8_t { Metre, Foot };

/// "17.3 m"; "56 ft 9 in". `finer`: 0 = 0.1 m or whole inches, 1 = "17.28 m" or "56.69 ft" (1 cm, 0.01 ft),
/// 2 = one more digit.
std::string tape_text(double distance_m, TapeUnit unit, int finer = 0);

/// "Kiln Street, north side, 17.3 m from Lantern Street toward Adobe Lane".
std::string place_text(const BlockFaces& faces, const FacePlace& place, TapeUnit unit, int finer = 0);

/// Reads what place_text writes, with or without blanks and capitals, and "(…)" after it. Throws InputError
/// (no place: the caller adds it) that shows how it is written.
TapePlace parse_place(std::string_view text);

/// The place on the curb. Names are compared without regard to capitals; a "side" after the side is fine.
/// Throws InputError (no place: the caller adds it): no such street (the nearest names that exist), no such
/// side, no such corner (those that the street has), several blocks fit (what `toward` may say), distance
/// beyond the block (how long it is) or before its curb begins. 0.1 m beyond either end is still the end.
struct FoundPlace {
  std::int32_t face = -1;
  double along_m = 0.0;
  base::Point at;
};
FoundPlace find_place(const BlockFaces& faces, const TapePlace& asked);

/// "kiln-street-north-lantern-street-west-17": street, side, corner, the way from it, whole metres. "" where
/// the curb has no street name.
std::string place_id(const BlockFaces& faces, const FacePlace& place);

}  // namespace curbshed::street
