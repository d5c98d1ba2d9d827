// Centrelines cut into blocks, and the junctions that they meet at.
#pragma once

#include "curbshed/street/centrelines.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace curbshed::street::detail {

inline constexpr double kTouch_m = 1.0;  ///< an end this near another line meets it

/// A block before it is measured. `block.drawn` runs from its western (then southern) end.
struct BlockDraft {
  StreetBlock block;
  std::optional<double> width_m;          ///< attribute
  std::optional<terrain::CurbKind> kind;  ///< attribute
  std::array<std::int32_t, 2> node{-1, -1};
  std::array<std::optional<double>, 2> beside_m;  ///< left, right: the other line of a divided street
};

struct BlockEnd {
  std::int32_t block = 0;
  int end = 0;  ///< 0 first point, 1 last point
  friend auto operator<=>(const BlockEnd&, const BlockEnd&) = default;
};

struct Junction {
  base::Point at;
  std::vector<BlockEnd> ends;  ///< sorted
  bool leaves_data = false;    ///< one end only, and the street goes on where no ground is known
  bool corner() const { return ends.size() >= 3; }
  bool dead_end() const { return ends.size() == 1 && !leaves_data; }
};

struct BlockNet {
  std::vector<BlockDraft> blocks;
  std::vector<Junction> nodes;
  std::vector<UnusedLine> unused;
};

/// Blocks sorted by street and place, named sides and cross streets, divided streets found. Lines that leave
/// the elevation run on 60 m beyond it at most; those that end at its edge run on 20 m.
BlockNet cut_into_blocks(const std::vector<Centreline>& lines, const terrain::Ground& ground);

/// Direction of a block at one of its ends, pointing out of the block.
base::Point outward(const base::Polyline& line, int end);

}  // namespace curbshed::street::detail
