#include "curbshed/study/overflow_paths.hpp"

#include "curbshed/base/error.hpp"

#include "study/basin_sites.hpp"

#include <algorithm>
#include <limits>

namespace curbshed::study {
namespace {

using base::Point;
using street::NodeKind;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

bool near_gap(const StudyInputs& inputs, const StationBins& stations, Point p) {
  const double reach_m = 3.0 * inputs.ground.frame.cell_m;
  const terrain::CurbStation* best = nullptr;
  for (const terrain::CurbStation* one : stations.near(p, reach_m)) {
    if (best == nullptr || base::distance_m(one->at, p) < base::distance_m(best->at, p)) {
      best = one;
    }
  }
  return best != nullptr && inputs.curbs[at(best->curb)].kind == terrain::CurbKind::Gap;
}

RimKind rim_kind(const StudyInputs& inputs, const StationBins& stations, const Preparation& made,
                 std::size_t node) {
  const Point cut = made.model.network.at[node];
  const Point behind = made.model.network.behind[node];
  const auto behind_m = [&](Point p) {
    return (p.x_m - cut.x_m) * behind.x_m + (p.y_m - cut.y_m) * behind.y_m;
  };
  double near_m = std::numeric_limits<double>::infinity();
  for (const Point p : made.maps.basins[node].rings.front()) {
    near_m = std::min(near_m, behind_m(p));
  }
  const Point rim_at = made.model.params[node].basin.rim_at;
  if (behind_m(rim_at) >= near_m) {
    return RimKind::Ground;
  }
  return near_gap(inputs, stations, rim_at) ? RimKind::Gap : RimKind::Street;
}

void trace(const StudyInputs& inputs, const Preparation& made, OverflowPath& path) {
  const terrain::Ground& ground = inputs.ground;
  const street::StreetModel& street = made.maps.street;
  const Point start = made.model.params[at(path.node)].basin.rim_at;
  std::int64_t cell = ground.frame.index(ground.frame.row_of(start.y_m), ground.frame.col_of(start.x_m));
  path.lowest_m = static_cast<double>(ground.height_m[cell]);
  path.lowest_at = start;
  std::uint8_t last = terrain::kNoGround;
  for (bool first = true;; first = false) {
    const Point centre = ground.frame.centre(cell);
    const double height_m = static_cast<double>(ground.height_m[cell]);
    if (height_m < path.lowest_m) {
      path.lowest_m = height_m;
      path.lowest_at = centre;
    }
    const std::int32_t here = street.receiver_at[cell];
    const std::int64_t next = terrain::next_cell(street.directions, cell);
    const bool there = here >= 0 && here != path.node;
    const std::uint8_t direction = street.directions[cell];
    if (first || there || next < 0 || direction != last) {
      path.line.push_back(centre);
    }
    last = direction;
    if (there) {
      path.into = made.model.network.kind[at(here)] == NodeKind::DataEdge ? -1 : here;
      break;
    }
    if (next < 0) {
      break;
    }
    cell = next;
  }
  path.length_m = base::length_m(path.line);
}

}  // namespace

std::string_view word_of(RimKind kind) {
  switch (kind) {
    case RimKind::Street:
      return "its side toward the street";
    case RimKind::Gap:
      return "a gap of the curb";
    case RimKind::Ground:
      break;
  }
  return "the ground beside it";
}

std::vector<OverflowPath> overflow_paths(const StudyInputs& inputs, const Preparation& preparation) {
  const street::Network& network = preparation.model.network;
  const StationBins stations(preparation.maps.curbs);
  std::vector<OverflowPath> paths;
  for (std::size_t node = 0; node < network.size(); ++node) {
    if (network.kind[node] != NodeKind::Cut || preparation.maps.basins[node].rings.empty()) {
      continue;
    }
    OverflowPath path;
    path.node = static_cast<std::int32_t>(node);
    path.over = rim_kind(inputs, stations, preparation, node);
    trace(inputs, preparation, path);
    paths.push_back(std::move(path));
  }
  return paths;
}

}  // namespace curbshed::study
