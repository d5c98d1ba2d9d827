#include "terrain/curb_lines.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

namespace curbshed::terrain::detail {

namespace {

constexpr double kTallestCurb_m = 1.0;
constexpr double kClearShare =
    1.0 / 3.0;  ///< stations with pavement on one side only that settle the street side

base::Polyline local_line(const GridFrame& frame, const base::Polyline& line) {
  base::Polyline local;
  for (const base::Point& p : line) {
    const base::Point q{p.x_m - frame.west_m, p.y_m - frame.north_m};
    if (local.empty() || norm(q - local.back()) > 1e-6 * frame.cell_m) local.push_back(q);
  }
  return local;
}

std::vector<double> distances(const base::Polyline& line) {
  std::vector<double> along(line.size(), 0.0);
  for (std::size_t i = 1; i < line.size(); ++i) along[i] = along[i - 1] + norm(line[i] - line[i - 1]);
  return along;
}

std::int64_t local_cell(const GridFrame& frame, base::Point p) {
  const auto col = static_cast<std::int64_t>(std::floor(p.x_m / frame.cell_m));
  const auto row = static_cast<std::int64_t>(std::floor(-p.y_m / frame.cell_m));
  return frame.inside(row, col) ? frame.index(row, col) : -1;
}

/// A line far outside the raster has coordinates that no cell number holds.
bool near_frame(const GridFrame& frame, base::Point p) {
  const double reach = 4.0 * frame.cell_m;
  return p.x_m > -reach && p.x_m < static_cast<double>(frame.cols) * frame.cell_m + reach && p.y_m < reach &&
         p.y_m > -static_cast<double>(frame.rows) * frame.cell_m - reach;
}

/// Calls visit(point, direction) about every cell where the line is near the raster.
template <class Visit>
void along_line(const GridFrame& frame, const base::Polyline& line, const Visit& visit) {
  const double width = static_cast<double>(frame.cols) * frame.cell_m;
  const double height = static_cast<double>(frame.rows) * frame.cell_m;
  for (std::size_t i = 1; i < line.size(); ++i) {
    const base::Point step = line[i] - line[i - 1];
    const double length = norm(step);
    // The part of the segment that can be near the raster.
    const base::Point middle{0.5 * width, -0.5 * height};
    const double reach = 0.5 * std::hypot(width, height) + 4.0 * frame.cell_m;
    const double foot = dot(middle - line[i - 1], step) / length;
    const double first = std::max(0.0, foot - reach);
    const double last = std::min(length, foot + reach);
    if (first > last) continue;
    const double count = std::max(1.0, std::ceil((last - first) / frame.cell_m));
    for (double k = 0.5; k < count; k += 1.0) {
      const base::Point p = line[i - 1] + ((first + (last - first) * k / count) / length) * step;
      if (near_frame(frame, p)) visit(p, (1.0 / length) * step);
    }
  }
}

bool touches_ground(const Ground& ground, const base::Polyline& line) {
  bool touches = false;
  along_line(ground.frame, line, [&](base::Point p, base::Point) {
    const std::int64_t cell = local_cell(ground.frame, p);
    touches = touches || (cell >= 0 && ground.valid[cell] != 0);
  });
  return touches;
}

struct SideCount {
  std::int64_t left = 0;
  std::int64_t right = 0;
  std::int64_t both = 0;
  std::int64_t neither = 0;
};

SideCount count_sides(const GridFrame& frame, const Grid<std::uint8_t>& pavement,
                      const base::Polyline& line) {
  SideCount count;
  along_line(frame, line, [&](base::Point p, base::Point direction) {
    const auto paved = [&](double side) {
      int hits = 0;
      for (const double cells : {1.0, 1.5, 2.0}) {
        const std::int64_t cell = local_cell(frame, p + (side * cells * frame.cell_m) * left_of(direction));
        if (cell >= 0 && pavement[cell] != 0) ++hits;
      }
      return hits >= 2;
    };
    const bool left = paved(1.0);
    const bool right = paved(-1.0);
    ++(left && right ? count.both : left ? count.left : right ? count.right : count.neither);
  });
  return count;
}

/// Unknown with `reason` filled when the side cannot be told.
StreetSide street_side(const GridFrame& frame, const Grid<std::uint8_t>& pavement, const base::Polyline& line,
                       StreetSide given, std::string& reason) {
  if (pavement.empty()) {
    if (given == StreetSide::Unknown)
      reason = "no pavement layer and no street_side: the street side is not known";
    return given;
  }
  const SideCount count = count_sides(frame, pavement, line);
  const auto all = static_cast<double>(count.left + count.right + count.both + count.neither);
  const auto clear = static_cast<double>(std::max(count.left, count.right));
  if (count.left != count.right && clear >= kClearShare * all) {
    return count.left > count.right ? StreetSide::Left : StreetSide::Right;
  }
  if (given == StreetSide::Unknown) {
    reason = count.left == count.right && count.left > 0
                 ? "pavement lies to the left as often as to the right, and there is no street_side"
             : count.both >= count.neither ? "pavement on both sides, and there is no street_side"
                                           : "pavement on neither side, and there is no street_side";
  }
  return given;
}

double default_rise_m(CurbKind kind, const CurbSettings& settings) {
  switch (kind) {
    case CurbKind::Vertical:
      return settings.vertical_height_m;
    case CurbKind::Rolled:
      return settings.rolled_height_m;
    case CurbKind::Gap:
      return settings.lip_m;
    case CurbKind::Flush:
    case CurbKind::None:
      break;
  }
  return 0.0;
}

/// Why a curb's own values cannot be used; empty when they can.
std::string bad_values(const CurbLine& curb) {
  for (const base::Point& p : curb.line) {
    if (!std::isfinite(p.x_m) || !std::isfinite(p.y_m)) return "a coordinate is not a number";
  }
  if (curb.height_m && !(*curb.height_m >= 0.0 && *curb.height_m <= kTallestCurb_m)) {
    return fmt::format("height {} m is not within 0 to {} m", *curb.height_m, kTallestCurb_m);
  }
  return {};
}

std::optional<RunningCurb> running_curb(const Ground& ground, const Grid<std::uint8_t>& pavement,
                                        const CurbLine& curb, const CurbSettings& settings,
                                        std::string& reason, base::Notes& notes) {
  reason = bad_values(curb);
  if (!reason.empty()) return std::nullopt;
  RunningCurb running;
  running.line = local_line(ground.frame, curb.line);
  if (running.line.size() < 2) {
    reason = "the line has no length";
    return std::nullopt;
  }
  if (!touches_ground(ground, running.line)) {
    reason = "outside the elevation";
    return std::nullopt;
  }
  const StreetSide side = street_side(ground.frame, pavement, running.line, curb.street_side, reason);
  if (side == StreetSide::Unknown) {
    notes.add(base::NoteId::CurbSideUnknown, 0.0, curb.id);
    return std::nullopt;
  }
  running.kind = curb.kind;
  running.rise_m = curb.height_m.value_or(default_rise_m(curb.kind, settings));
  if (curb.kind == CurbKind::None) running.rise_m = 0.0;
  if (!curb.height_m && (curb.kind == CurbKind::Vertical || curb.kind == CurbKind::Rolled)) {
    notes.add(base::NoteId::CurbHeightAssumed, running.rise_m, curb.id);
  }
  running.reversed = side == StreetSide::Right;
  if (running.reversed) std::reverse(running.line.begin(), running.line.end());
  running.along_m = distances(running.line);
  for (std::size_t end = 0; end < 2; ++end) {
    const base::Point p = end == 0 ? running.line.front() : running.line.back();
    const std::int64_t cell = near_frame(ground.frame, p) ? local_cell(ground.frame, p) : -1;
    running.in_data[end] = cell >= 0 && ground.valid[cell] != 0;
  }
  return running;
}

base::Point end_point(const RunningCurb& curb, int end) {
  return end == 0 ? curb.line.front() : curb.line.back();
}

struct EndPair {
  bool against = false;  ///< street sides that do not run on
  double distance_m = 0.0;
  std::size_t a = 0;  ///< indices of ends: 2 · curb + end
  std::size_t b = 0;
};

std::vector<EndPair> near_ends(const std::vector<RunningCurb>& curbs, double reach_m) {
  struct End {
    base::Point at;
    std::size_t id;
  };
  std::vector<End> ends;
  for (std::size_t i = 0; i < curbs.size(); ++i) {
    if (curbs[i].kind == CurbKind::None) continue;
    for (int end = 0; end < 2; ++end)
      ends.push_back({end_point(curbs[i], end), 2 * i + static_cast<std::size_t>(end)});
  }
  std::sort(ends.begin(), ends.end(), [](const End& a, const End& b) {
    return a.at.x_m != b.at.x_m ? a.at.x_m < b.at.x_m : a.id < b.id;
  });
  std::vector<EndPair> pairs;
  for (std::size_t i = 0; i < ends.size(); ++i) {
    for (std::size_t j = i + 1; j < ends.size() && ends[j].at.x_m - ends[i].at.x_m <= reach_m; ++j) {
      const double distance = norm(ends[j].at - ends[i].at);
      if (distance > reach_m) continue;
      const std::size_t a = std::min(ends[i].id, ends[j].id);
      const std::size_t b = std::max(ends[i].id, ends[j].id);
      if (a / 2 == b / 2 && curbs[a / 2].length_m() < 3.0 * reach_m) continue;  // a stub is not a ring
      pairs.push_back({a % 2 == b % 2, distance, a, b});
    }
  }
  std::sort(pairs.begin(), pairs.end(), [](const EndPair& p, const EndPair& q) {
    if (p.against != q.against) return q.against;
    if (p.distance_m != q.distance_m) return p.distance_m < q.distance_m;
    return p.a != q.a ? p.a < q.a : p.b < q.b;
  });
  return pairs;
}

EndRef end_ref(std::size_t id) { return {static_cast<std::int32_t>(id / 2), static_cast<int>(id % 2)}; }

/// The connector belongs to the curb of `from`: its walk goes on to the other end's point.
void connect(std::vector<RunningCurb>& curbs, EndRef from, EndRef to) {
  RunningCurb& curb = curbs[static_cast<std::size_t>(from.curb)];
  const base::Point target = end_point(curbs[static_cast<std::size_t>(to.curb)], to.end);
  const double gap = norm(target - end_point(curb, from.end));
  if (gap == 0.0) return;
  if (from.end == 1) {
    curb.walk.push_back(target);
    curb.walk_along_m.push_back(curb.length_m() + gap);
  } else {
    curb.walk.insert(curb.walk.begin(), target);
    curb.walk_along_m.insert(curb.walk_along_m.begin(), -gap);
  }
}

bool low_crest(const RunningCurb& curb) { return curb.kind == CurbKind::Gap || curb.kind == CurbKind::Flush; }

void set_joined_directions(std::vector<RunningCurb>& curbs) {
  for (RunningCurb& curb : curbs) {
    for (std::size_t end = 0; end < 2; ++end) {
      const EndRef other = curb.meets[end];
      if (other.curb < 0 || other.end == static_cast<int>(end)) continue;
      const base::Polyline& walk = curbs[static_cast<std::size_t>(other.curb)].walk;
      const std::size_t n = walk.size();
      curb.joined_direction[end] = end == 1 ? unit(walk[1] - walk[0]) : unit(walk[n - 1] - walk[n - 2]);
    }
  }
}

struct Extension {
  base::Polyline points;
  std::vector<double> way_m;  ///< from the curb's end
};

/// From one end of `curbs[k]` on over what it meets.
Extension beyond(const std::vector<RunningCurb>& curbs, std::size_t k, std::size_t end, double reach_m) {
  constexpr double kSameWayCosine = 0.8660254037844386;  // 30°
  const base::Polyline& own = curbs[k].line;
  const std::size_t n = own.size();
  const base::Point heading = end == 1 ? unit(own[n - 1] - own[n - 2]) : unit(own[0] - own[1]);
  Extension out;
  base::Point last = end == 1 ? own[n - 1] : own[0];
  double way_m = 0.0;
  std::size_t at = k;
  while (way_m < reach_m) {
    const EndRef next = curbs[at].meets[end];
    if (next.curb < 0 || next.end == static_cast<int>(end) || static_cast<std::size_t>(next.curb) == k) break;
    at = static_cast<std::size_t>(next.curb);
    const base::Polyline& line = curbs[at].line;
    for (std::size_t i = 0; i < line.size() && way_m < reach_m; ++i) {
      const base::Point to = end == 1 ? line[i] : line[line.size() - 1 - i];
      const double step_m = norm(to - last);
      if (step_m == 0.0) continue;
      // A connector between two ends may point anywhere.
      if (i > 0 && dot(unit(to - last), heading) < kSameWayCosine) return out;
      const double kept_m = std::min(step_m, reach_m - way_m);
      way_m += kept_m;
      out.points.push_back(last + (kept_m / step_m) * (to - last));
      out.way_m.push_back(way_m);
      last = to;
    }
  }
  return out;
}

}  // namespace

RunningCurb with_neighbours(const std::vector<RunningCurb>& curbs, std::size_t k, double reach_m) {
  RunningCurb out = curbs[k];
  if (out.closed) return out;
  const Extension before = beyond(curbs, k, 0, reach_m);
  const Extension after = beyond(curbs, k, 1, reach_m);
  const double length_m = curbs[k].length_m();
  for (std::size_t i = 0; i < after.points.size(); ++i) {
    out.line.push_back(after.points[i]);
    out.along_m.push_back(length_m + after.way_m[i]);
  }
  out.line.insert(out.line.begin(), before.points.rbegin(), before.points.rend());
  std::vector<double> along_m(before.way_m.rbegin(), before.way_m.rend());
  for (double& along : along_m) along = -along;
  out.along_m.insert(out.along_m.begin(), along_m.begin(), along_m.end());
  return out;
}

double norm(base::Point a) { return std::hypot(a.x_m, a.y_m); }

base::Point unit(base::Point a) {
  const double length = norm(a);
  return length > 0.0 ? (1.0 / length) * a : a;
}

std::vector<RunningCurb> running_curbs(const Ground& ground, const Grid<std::uint8_t>& pavement,
                                       const std::vector<CurbLine>& curbs, const CurbSettings& settings,
                                       std::vector<SetAside>& set_aside, base::Notes& notes) {
  std::vector<RunningCurb> running;
  for (std::size_t i = 0; i < curbs.size(); ++i) {
    std::string reason;
    std::optional<RunningCurb> curb = running_curb(ground, pavement, curbs[i], settings, reason, notes);
    if (curb) {
      curb->curb = static_cast<std::int32_t>(i);
      running.push_back(std::move(*curb));
    } else {
      set_aside.push_back({static_cast<std::int32_t>(i), reason});
    }
  }
  return running;
}

void join_ends(std::vector<RunningCurb>& curbs, double cell_m) {
  for (RunningCurb& curb : curbs) {
    curb.walk = curb.line;
    curb.walk_along_m = curb.along_m;
  }
  const std::vector<EndPair> pairs = near_ends(curbs, kJoinCells * cell_m);
  const auto meets = [&](std::size_t id) -> EndRef& { return curbs[id / 2].meets[id % 2]; };
  for (const EndPair& pair : pairs) {
    if (meets(pair.a).curb >= 0 || meets(pair.b).curb >= 0) continue;
    meets(pair.a) = end_ref(pair.b);
    meets(pair.b) = end_ref(pair.a);
    if (pair.a / 2 == pair.b / 2) curbs[pair.a / 2].closed = true;
    const bool by_b = low_crest(curbs[pair.a / 2]) && !low_crest(curbs[pair.b / 2]);
    connect(curbs, end_ref(by_b ? pair.b : pair.a), end_ref(by_b ? pair.a : pair.b));
  }
  for (const EndPair& pair : pairs) {  // a third end at the same place
    for (const std::size_t id : {pair.a, pair.b}) {
      if (meets(id).curb >= 0) continue;
      const EndRef other = end_ref(id == pair.a ? pair.b : pair.a);
      meets(id) = other;
      connect(curbs, end_ref(id), other);
    }
  }
  set_joined_directions(curbs);
}

CurbPlace place_at(const RunningCurb& curb, double along_m, double cell_m) {
  const auto at = [&](double s) {
    if (curb.closed) s = std::fmod(std::fmod(s, curb.length_m()) + curb.length_m(), curb.length_m());
    s = std::clamp(s, 0.0, curb.length_m());
    const auto next = std::upper_bound(curb.along_m.begin() + 1, curb.along_m.end() - 1, s);
    const auto i = static_cast<std::size_t>(next - curb.along_m.begin());
    const double t = (s - curb.along_m[i - 1]) / (curb.along_m[i] - curb.along_m[i - 1]);
    return curb.line[i - 1] + t * (curb.line[i] - curb.line[i - 1]);
  };
  CurbPlace place{at(along_m), unit(at(along_m + cell_m) - at(along_m - cell_m))};
  if (norm(place.direction) == 0.0) place.direction = unit(curb.line[1] - curb.line[0]);
  return place;
}

}  // namespace curbshed::terrain::detail
