#include "street/shared_corners.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/terrain/ways.hpp"

#include "street/reaches.hpp"
#include "street/snapping.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::street::detail {

namespace {

[[noreturn]] void refuse(const CornerPoint& point, const std::string& what, const std::string& allowed,
                         const std::string& next) {
  throw base::InputError(
      where_of(point.source, point.id),
      fmt::format("corner point {} shares the water (share {:g}), but {}", point.id, point.turns, what),
      allowed, next);
}

struct Followed {
  std::int64_t leaves = kNowhere;
  std::int32_t to = -1;  ///< −1: off the data
  double length_m = 0.0;
};

/// Along the fork's cells and from their end down to the next node.
Followed follow(const Scene& scene, const terrain::Grid<std::uint8_t>& directions,
                const terrain::Grid<std::int32_t>& receiver_at, std::int32_t node,
                const std::vector<std::int64_t>& cells) {
  std::size_t i = 0;
  for (std::size_t k = 0; k < cells.size(); ++k) {
    if (receiver_at[cells[k]] == node) i = k;
  }
  Followed way;
  way.leaves = cells[i];
  std::vector<std::int64_t> gone = {cells[i]};
  /// True at the next node.
  const auto step = [&](std::int64_t cell) {
    if (gone.back() != cell) gone.push_back(cell);
    if (receiver_at[cell] < 0) {
      // The first cell beyond the corner's own: directions there go this way.
      if (way.leaves == cells[i]) way.leaves = cell;
      return false;
    }
    way.to = receiver_at[cell];
    return true;
  };
  bool there = false;
  for (std::size_t k = i + 1; k < cells.size() && !there; ++k) there = step(cells[k]);
  for (std::int64_t cell = cells.back(); cell >= 0 && !there; cell = terrain::next_cell(directions, cell))
    there = step(cell);
  way.length_m = chord_length_m(scene.frame(), gone);
  return way;
}

}  // namespace

std::vector<SharedCorner> shared_corners(const Scene& scene, const CornerPlaces& places,
                                         const std::vector<CornerPoint>& points,
                                         const std::vector<std::int32_t>& corners_of_points) {
  std::vector<SharedCorner> shared;
  for (const CornerFork& fork : places.forks) {
    const auto asked = std::find(corners_of_points.begin(), corners_of_points.end(), fork.corner);
    if (asked == corners_of_points.end()) continue;
    const auto point = static_cast<std::size_t>(asked - corners_of_points.begin());
    if (points[point].turns <= 0.0 || points[point].turns >= 1.0 || !falls_to_corner(scene, fork)) continue;
    shared.push_back({&fork, point, scene.station(fork.end).gutter_cell, -1});
  }
  for (std::size_t p = 0; p < points.size(); ++p) {
    if (points[p].turns <= 0.0 || points[p].turns >= 1.0) continue;
    if (std::any_of(shared.begin(), shared.end(), [&](const SharedCorner& s) { return s.point == p; }))
      continue;
    refuse(points[p], "its corner has only one way: no gutter falls to it that could turn and cross",
           "a corner of which a gutter falls to a side street with a gutter beyond",
           "move the point to the corner where the water comes from, or take it out");
  }
  return shared;
}

void stand_shared_corners(const Scene& scene, const std::vector<CornerPoint>& points,
                          std::vector<SharedCorner>& shared, std::vector<Place>& places) {
  const std::size_t sites = places.size();
  for (SharedCorner& one : shared) {
    for (std::size_t p = 0; p < sites; ++p) {
      if (places[p].cell != one.cell) continue;
      refuse(points[one.point],
             fmt::format("{} stands where the water parts",
                         scene.sites[static_cast<std::size_t>(places[p].site)].id),
             "no cut, inlet or outfall in the gutter cell at which the straight gutter ends",
             "move that place up the street, or past the corner");
    }
    Place place;
    place.station = one.fork->end;
    place.cell = one.cell;
    place.at = scene.station(one.fork->end).at;
    place.cells = transect(scene, one.fork->end);
    places.push_back(std::move(place));
  }
}

void find_shared_nodes(const std::vector<CornerPoint>& points, const Draft& draft,
                       std::vector<SharedCorner>& shared) {
  for (SharedCorner& one : shared) {
    for (std::size_t n = 0; n < draft.cell.size(); ++n) {
      if (draft.net.kind[n] == NodeKind::Corner && draft.cell[n] == one.cell)
        one.node = static_cast<std::int32_t>(n);
    }
    base::ensure(one.node >= 0, "a shared corner has its node");
    const std::int32_t sag = draft.net.in_sag[static_cast<std::size_t>(one.node)];
    if (sag >= 0)
      refuse(points[one.point],
             fmt::format("it lies in the pond {}, which decides where its water goes",
                         draft.net.id[static_cast<std::size_t>(sag)]),
             "a corner that no pond covers", "take the point out, or draw a flow line that drains the pond");
  }
}

void join_shared_corners(const Scene& scene, const terrain::Grid<std::uint8_t>& directions,
                         const terrain::Grid<std::int32_t>& receiver_at,
                         const std::vector<CornerPoint>& points, const std::vector<SharedCorner>& shared,
                         Draft& draft) {
  Network& net = draft.net;
  std::vector<SharedCorner> by_node = shared;
  std::sort(by_node.begin(), by_node.end(),
            [](const SharedCorner& a, const SharedCorner& b) { return a.node < b.node; });
  for (const SharedCorner& one : by_node) {
    const auto n = static_cast<std::size_t>(one.node);
    const Followed turn = follow(scene, directions, receiver_at, one.node, one.fork->turn);
    const Followed cross = follow(scene, directions, receiver_at, one.node, one.fork->cross);
    draft.leaves_at[n] = turn.leaves;
    net.downstream[n] = turn.to >= 0 ? turn.to : draft.edge();
    net.reach_length_m[n] = turn.length_m;
    net.second_ways.push_back(
        {one.node, cross.to >= 0 ? cross.to : draft.edge(), 1.0 - points[one.point].turns, cross.length_m});
    draft.second_leaves_at.push_back(cross.leaves);
  }
  for (const SharedCorner& one : by_node) {
    const std::int32_t turned = net.downstream[static_cast<std::size_t>(one.node)];
    const bool turn_back = leads_to(net, turned, one.node);
    const bool cross_back = leads_to(net, second_way(net, static_cast<std::size_t>(one.node))->to, one.node);
    if (!turn_back && !cross_back) continue;
    refuse(
        points[one.point],
        fmt::format("the water that {} comes back to the corner", turn_back ? "turns" : "crosses"),
        "a corner from which the ground falls both ways",
        "look at the corner in the rain or with a level; draw a flow line that shows where the water runs");
  }
}

void fill_shared(const SharedCorner& shared, const std::vector<CornerPoint>& points, const Network& net,
                 Corner& corner) {
  const auto n = static_cast<std::size_t>(shared.node);
  corner.way = CornerWay::Splits;
  corner.origin = CornerOrigin::CornerPoint;
  corner.turns_share = points[shared.point].turns;
  corner.to_turn = net.downstream[n];
  corner.to_cross = second_way(net, n)->to;
}

void count_shared(const Network& net, const terrain::Grid<std::int32_t>& first_receiver,
                  const std::vector<SharedEntry>& shared, std::vector<Corner>& corners) {
  if (shared.empty()) return;
  std::vector<std::int64_t> cells(net.size(), 0);
  for (std::int64_t cell = 0; cell < first_receiver.cells(); ++cell) {
    if (first_receiver[cell] >= 0) ++cells[static_cast<std::size_t>(first_receiver[cell])];
  }
  for (const SharedEntry& one : shared) {
    Corner& corner = corners[one.corner];
    corner.cells = cells[static_cast<std::size_t>(one.node)];
    corner.passed.clear();
    for (std::size_t n = 0; n < net.size(); ++n) {
      if (net.in_sag[n] >= 0) continue;
      each_way_down(net, n, [&](const WayDown& way) {
        if (way.to == static_cast<std::size_t>(one.node))
          corner.passed.push_back({static_cast<std::int32_t>(n), way.share});
      });
    }
  }
}

}  // namespace curbshed::street::detail
