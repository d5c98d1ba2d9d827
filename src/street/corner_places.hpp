// Where curbs turn round the corner of a block, and the two ways of the water there.
#pragma once

#include "street/draft.hpp"

#include <array>
#include <vector>

namespace curbshed::street::detail {

/// One gutter at a corner and the two ways of its water.
struct CornerFork {
  std::int32_t corner = -1;         ///< index into the corners
  std::int32_t end = -1;            ///< station at which the straight gutter ends
  std::int32_t look = -1;           ///< station up that gutter
  std::int32_t other_look = -1;     ///< station down the other gutter of the corner
  std::int32_t beyond = -1;         ///< station past the corner on the same curb
  std::int32_t opposite = -1;       ///< station on the other side of the side street
  std::vector<std::int64_t> turn;   ///< gutter cells from the end round the corner
  std::vector<std::int64_t> cross;  ///< cells from the end to the other side
  double difference_m = 0.0;        ///< see Corner
  double doubt_m = 0.0;
};

struct CornerPlaces {
  std::vector<base::Point> middles;  ///< one a corner
  std::vector<CornerFork> forks;     ///< by corner; only where there is another side
};

/// Corners of blocks: where the curb turns by 60° or more within 16 m, away from the street. Their order does
/// not change with the order of the curbs.
CornerPlaces find_corners(const Scene& scene);

/// Stations along a curb from a station (first) on, both ways up to `limit_m`.
std::vector<std::int32_t> stations_around(const Scene& scene, std::int32_t station, double limit_m);

}  // namespace curbshed::street::detail
