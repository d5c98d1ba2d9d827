// Corners where the user says what share of the water turns: nodes with two ways down.
#pragma once

#include "street/flow_lines.hpp"

namespace curbshed::street::detail {

/// A fork whose water is shared as a corner point says.
struct SharedCorner {
  const CornerFork* fork = nullptr;
  std::size_t point = 0;
  std::int64_t cell = kNowhere;  ///< gutter cell in which it stands
  std::int32_t node = -1;
};

/// Forks of the points with a share between 0 and 1, for gutters that fall to the corner; by corner. Throws
/// InputError for a point whose corner has no such fork.
std::vector<SharedCorner> shared_corners(const Scene& scene, const CornerPlaces& places,
                                         const std::vector<CornerPoint>& points,
                                         const std::vector<std::int32_t>& corners_of_points);

/// Adds a place without a site for each. Throws InputError where a site stands in the same gutter cell.
void stand_shared_corners(const Scene& scene, const std::vector<CornerPoint>& points,
                          std::vector<SharedCorner>& shared, std::vector<Place>& places);

/// Finds their nodes. Throws InputError where a pond covers one: then the pond decides.
void find_shared_nodes(const std::vector<CornerPoint>& points, const Draft& draft,
                       std::vector<SharedCorner>& shared);

/// Follows both ways of each to the next node: `downstream` round the corner, a second way across. Throws
/// InputError where a way leads back to the corner.
void join_shared_corners(const Scene& scene, const terrain::Grid<std::uint8_t>& directions,
                         const terrain::Grid<std::int32_t>& receiver_at,
                         const std::vector<CornerPoint>& points, const std::vector<SharedCorner>& shared,
                         Draft& draft);

/// What the user said of it, and where both ways lead.
void fill_shared(const SharedCorner& shared, const std::vector<CornerPoint>& points, const Network& net,
                 Corner& corner);

/// A shared corner among the list of all corners.
struct SharedEntry {
  std::size_t corner = 0;
  std::int32_t node = -1;
};
/// Cells and nodes whose water comes to the shared corners.
void count_shared(const Network& net, const terrain::Grid<std::int32_t>& first_receiver,
                  const std::vector<SharedEntry>& shared, std::vector<Corner>& corners);

}  // namespace curbshed::street::detail
