#include "street/corner_ways.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/base/names.hpp"
#include "curbshed/terrain/ways.hpp"

#include "street/sags.hpp"
#include "street/snapping.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include <fmt/format.h>

namespace curbshed::street::detail {

namespace {

constexpr double kFollow = 80.0;      // m of way after the fork
constexpr double kOwnCurb = 40.0;     // m along the own curb to each side
constexpr double kPastCorner = 25.0;  // m of gutter past the corner that count as turned
constexpr double kNearCorner = 12.0;  // m from a corner within which a user's line decides it
constexpr double kAll = 0.9;          // share of the water that makes a way the way

struct Traced {
  CornerWay way = CornerWay::Turns;
  double turns_share = 1.0;
  std::int64_t turned_at = kNowhere;   ///< first gutter cell past the corner that was met …
  std::int64_t crossed_at = kNowhere;  ///< … or on another curb
};

/// Cells that a fork's water is followed from: across its gutter where that ends.
std::vector<std::int64_t> fork_cells(const Scene& scene, const CornerFork& fork) {
  return transect(scene, fork.end);
}

/// The gutter above the corner does lead to it.
bool water_comes(const Scene& scene, const CornerFork& fork, const CornerWater& water,
                 const std::vector<std::int64_t>& at_fork) {
  double gone = 0.0;
  for (std::int64_t cell = scene.station(fork.look).gutter_cell; cell >= 0 && gone < kFollow;
       cell = terrain::next_cell(water.directions, cell)) {
    if (std::find(at_fork.begin(), at_fork.end(), cell) != at_fork.end()) return true;
    gone += terrain::step_m(water.directions[cell], scene.cell_m());
  }
  return false;
}

class Followed {
 public:
  Followed(const Scene& scene, const CornerFork& fork, const CornerWater& water)
      : scene_(scene), water_(water), at_fork_(fork_cells(scene, fork)) {
    for (const std::int32_t s : stations_around(scene, fork.end, kOwnCurb)) own_.insert(s);
    // Past the corner: from `beyond` on, away from the fork.
    const std::vector<WalkStep> ahead = scene.walk.walk(fork.beyond, true, kPastCorner);
    const bool fork_ahead = std::any_of(ahead.begin(), ahead.end(),
                                        [&](const WalkStep& step) { return step.station == fork.end; });
    turned_.insert(fork.beyond);
    for (const WalkStep& step : scene.walk.walk(fork.beyond, !fork_ahead, kPastCorner))
      turned_.insert(step.station);
  }

  Traced trace() {
    Traced out;
    std::int64_t turned = 0;
    std::int64_t all = 0;
    for (const std::int64_t cell : at_fork_) {
      std::int64_t met = kNowhere;
      const int outcome = follow(cell, met);
      if (outcome == kThroughAnother) continue;
      all += water_.arriving[cell];
      if (outcome == kTurned) turned += water_.arriving[cell];
      std::int64_t& first = outcome == kTurned ? out.turned_at : out.crossed_at;
      if (first < 0) first = met;
    }
    out.turns_share = all > 0 ? static_cast<double>(turned) / static_cast<double>(all) : 1.0;
    out.way = out.turns_share >= kAll         ? CornerWay::Turns
              : out.turns_share <= 1.0 - kAll ? CornerWay::Crosses
                                              : CornerWay::Splits;
    return out;
  }

 private:
  static constexpr int kThroughAnother = 0;
  static constexpr int kTurned = 1;
  static constexpr int kCrossed = 2;

  int follow(std::int64_t from, std::int64_t& met) const {
    double gone = 0.0;
    met = from;
    for (std::int64_t cell = from;;) {
      gone += terrain::step_m(water_.directions[cell], scene_.cell_m());
      cell = terrain::next_cell(water_.directions, cell);
      if (cell < 0 || gone > kFollow) return kCrossed;
      met = cell;
      if (std::find(at_fork_.begin(), at_fork_.end(), cell) != at_fork_.end()) return kThroughAnother;
      if (scene_.field.gutter[cell] == 0) continue;
      const std::int32_t curb = scene_.stations.nearest(scene_.frame().centre(cell), 3.0 * scene_.cell_m());
      if (curb < 0) continue;
      if (turned_.count(curb) != 0) return kTurned;
      if (own_.count(curb) == 0) return kCrossed;
    }
  }

  const Scene& scene_;
  const CornerWater& water_;
  std::vector<std::int64_t> at_fork_;
  std::set<std::int32_t> own_;
  std::set<std::int32_t> turned_;
};

bool line_near(const std::vector<FlowLine>& lines, base::Point p) {
  return std::any_of(lines.begin(), lines.end(), [&](const FlowLine& line) {
    return base::nearest_place(line.line, p).offset_m <= kNearCorner;
  });
}

/// "Kiln Street, north side, at Lantern Street"; "" where the streets have no names.
std::string words_of(const Scene& scene, const CornerFork& fork) {
  const terrain::CurbLine& own = scene.curbs[static_cast<std::size_t>(scene.station(fork.look).curb)];
  const terrain::CurbLine& other = scene.curbs[static_cast<std::size_t>(scene.station(fork.other_look).curb)];
  if (own.street.empty()) return {};
  std::string words = own.street;
  if (!own.side.empty()) words += fmt::format(", {} side", own.side);
  if (!other.street.empty() && other.street != own.street) words += fmt::format(", at {}", other.street);
  return words;
}

/// "corner-kiln-street-north-at-lantern-street-west"; by coordinates where the streets have no names.
std::string id_of(const Scene& scene, const CornerFork& fork) {
  const terrain::CurbLine& own = scene.curbs[static_cast<std::size_t>(scene.station(fork.look).curb)];
  const terrain::CurbLine& other = scene.curbs[static_cast<std::size_t>(scene.station(fork.other_look).curb)];
  if (own.street.empty() || other.street.empty())
    return fmt::format("corner-x{:.0f}-y{:.0f}", scene.station(fork.end).at.x_m,
                       scene.station(fork.end).at.y_m);
  const auto name = [](const terrain::CurbLine& curb) {
    return base::slug(curb.side.empty() ? curb.street : curb.street + " " + curb.side);
  };
  return fmt::format("corner-{}-at-{}", name(own), name(other));
}

/// What drains through each fork, and which nodes' water does.
class ForkWater {
 public:
  ForkWater(const Scene& scene, const CornerWater& water, const std::vector<std::vector<std::int64_t>>& forks)
      : water_(water), at_(scene.frame().rows, scene.frame().cols, -1) {
    for (std::size_t i = 0; i < forks.size(); ++i) {
      for (const std::int64_t cell : forks[i]) {
        if (at_[cell] < 0 && water.receiver_at[cell] < 0) at_[cell] = static_cast<std::int32_t>(i);
      }
    }
  }

  /// Forks met from a cell (excluded) down to the next receiver.
  std::vector<std::int32_t> met_from(std::int64_t cell) const {
    std::vector<std::int32_t> met;
    while ((cell = terrain::next_cell(water_.directions, cell)) >= 0 && water_.receiver_at[cell] < 0) {
      if (at_[cell] >= 0 && std::find(met.begin(), met.end(), at_[cell]) == met.end())
        met.push_back(at_[cell]);
    }
    return met;
  }

  void count(std::vector<Corner>& corners, const std::vector<std::vector<std::int64_t>>& forks) const {
    // What comes through a fork's cells, less what a receiver or fork further up caught before.
    std::vector<std::int64_t> own(corners.size(), 0);
    for (std::int64_t cell = 0; cell < at_.cells(); ++cell) {
      const bool caught = water_.receiver_at[cell] >= 0;
      if ((!caught && at_[cell] < 0) || water_.directions[cell] == terrain::kNoGround) continue;
      if (!caught) own[static_cast<std::size_t>(at_[cell])] += water_.arriving[cell];
      std::int64_t next = terrain::next_cell(water_.directions, cell);
      while (next >= 0 && at_[next] < 0 && water_.receiver_at[next] < 0) {
        next = terrain::next_cell(water_.directions, next);
      }
      if (next >= 0 && water_.receiver_at[next] < 0) {
        own[static_cast<std::size_t>(at_[next])] -= water_.arriving[cell];
      }
    }
    for (std::size_t i = 0; i < corners.size(); ++i) {
      corners[i].cells += own[i];
      const auto strongest = std::max_element(
          forks[i].begin(), forks[i].end(),
          [&](std::int64_t a, std::int64_t b) { return water_.arriving[a] < water_.arriving[b]; });
      for (const std::int32_t later : met_from(*strongest)) {
        if (later != static_cast<std::int32_t>(i)) corners[static_cast<std::size_t>(later)].cells += own[i];
      }
    }
  }

 private:
  const CornerWater& water_;
  terrain::Grid<std::int32_t> at_;
};

void require_obeyed(const CornerPoint& point, const Corner& corner) {
  const CornerWay wanted = point.turns >= 0.5 ? CornerWay::Turns : CornerWay::Crosses;
  if (corner.way == wanted) return;
  throw base::InputError(
      where_of(point.source, point.id),
      fmt::format(
          "corner point {} says that the water {}, but the ground does not let it: {} lies higher", point.id,
          wanted == CornerWay::Turns ? "turns" : "crosses",
          wanted == CornerWay::Turns ? "the gutter round the corner" : "the gutter on the other side"),
      "turns or crosses, where that way falls",
      "look at the corner in the rain or with a level; draw a flow line that shows where the water runs");
}

}  // namespace

std::vector<Corner> decide_corners(const Scene& scene, const CornerPlaces& places, const CornerWater& water,
                                   const std::vector<FlowLine>& lines, const std::vector<CornerPoint>& points,
                                   const std::vector<std::int32_t>& corners_of_points,
                                   const std::vector<SharedCorner>& shared, const Draft& draft,
                                   base::Notes& notes) {
  std::vector<Corner> corners;
  std::vector<std::vector<std::int64_t>> forks;
  std::map<std::string, int> seen;
  std::vector<SharedEntry> shared_at;
  for (const CornerFork& fork : places.forks) {
    const std::vector<std::int64_t> cells = fork_cells(scene, fork);
    const auto share =
        std::find_if(shared.begin(), shared.end(), [&](const SharedCorner& s) { return s.fork == &fork; });
    const bool is_shared = share != shared.end();
    if (!is_shared && !water_comes(scene, fork, water, cells)) continue;
    const Traced traced = is_shared ? Traced{} : Followed(scene, fork, water).trace();
    const auto receiver = [&](std::int64_t met, std::int32_t station) {
      return water.first_receiver[met >= 0 ? met : scene.station(station).gutter_cell];
    };
    Corner corner;
    corner.id = id_of(scene, fork);
    corner.words = words_of(scene, fork);
    const int before = seen[corner.id]++;
    if (before > 0) corner.id = fmt::format("{}-{}", corner.id, before + 1);
    corner.at = scene.station(fork.end).at;
    corner.difference_m = fork.difference_m;
    corner.doubt_m = fork.doubt_m;
    if (is_shared) {
      fill_shared(*share, points, draft.net, corner);
      shared_at.push_back({corners.size(), share->node});
      corners.push_back(std::move(corner));
      forks.push_back(cells);
      continue;
    }
    corner.way = traced.way;
    corner.turns_share = traced.turns_share;
    corner.to_turn = receiver(traced.turned_at, fork.beyond);
    corner.to_cross = receiver(traced.crossed_at, fork.opposite);
    const auto point = std::find(corners_of_points.begin(), corners_of_points.end(), fork.corner);
    if (point != corners_of_points.end()) {
      corner.origin = CornerOrigin::CornerPoint;
      if (falls_to_corner(scene, fork))
        require_obeyed(points[static_cast<std::size_t>(point - corners_of_points.begin())], corner);
    } else if (line_near(lines, corner.at)) {
      corner.origin = CornerOrigin::FlowLine;
    } else {
      const bool agrees = corner.way == CornerWay::Turns
                              ? corner.difference_m > 0.0
                              : corner.way == CornerWay::Crosses && corner.difference_m < 0.0;
      corner.uncertain = !agrees || std::fabs(corner.difference_m) < corner.doubt_m;
      if (corner.uncertain)
        notes.add(base::NoteId::CornerUncertain, std::fabs(corner.difference_m), corner.id);
    }
    corners.push_back(std::move(corner));
    forks.push_back(cells);
  }
  if (corners.empty()) return corners;
  const ForkWater passing(scene, water, forks);
  passing.count(corners, forks);
  for (std::size_t n = 0; n < draft.leaves_at.size(); ++n) {
    if (draft.leaves_at[n] < 0 || draft.net.in_sag[n] >= 0) continue;
    const SecondWay* second = second_way(draft.net, n);
    for (const std::int32_t c : passing.met_from(draft.leaves_at[n]))
      corners[static_cast<std::size_t>(c)].passed.push_back(
          {static_cast<std::int32_t>(n), second == nullptr ? 1.0 : 1.0 - second->share});
  }
  for (std::size_t i = 0; i < draft.net.second_ways.size(); ++i) {
    const SecondWay& second = draft.net.second_ways[i];
    for (const std::int32_t c : passing.met_from(draft.second_leaves_at[i]))
      corners[static_cast<std::size_t>(c)].passed.push_back({second.from, second.share});
  }
  count_shared(draft.net, water.first_receiver, shared_at, corners);
  return corners;
}

}  // namespace curbshed::street::detail
