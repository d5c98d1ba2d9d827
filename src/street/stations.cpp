#include "street/stations.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace curbshed::street::detail {

namespace {

double squared(base::Point a, base::Point b) {
  const double dx = a.x_m - b.x_m;
  const double dy = a.y_m - b.y_m;
  return dx * dx + dy * dy;
}

}  // namespace

std::vector<std::uint8_t> usable_stations(const terrain::Ground& ground,
                                          const std::vector<terrain::CurbLine>& curbs,
                                          const terrain::CurbField& field) {
  std::vector<std::uint8_t> usable(field.stations.size(), 0);
  for (std::size_t i = 0; i < usable.size(); ++i) {
    const terrain::CurbStation& s = field.stations[i];
    const bool wall = curbs[static_cast<std::size_t>(s.curb)].kind != terrain::CurbKind::None;
    usable[i] = wall && s.gutter_cell >= 0 && ground.valid[s.gutter_cell] != 0 ? 1 : 0;
  }
  return usable;
}

StationIndex::StationIndex(const terrain::CurbField& field, const std::vector<terrain::CurbLine>& curbs,
                           const std::vector<std::uint8_t>& usable, double bin_m)
    : field_(field), curbs_(curbs), bin_m_(bin_m) {
  for (std::size_t i = 0; i < usable.size(); ++i) {
    if (usable[i] != 0) bins_[bin_of(field.stations[i].at)].push_back(static_cast<std::int32_t>(i));
  }
}

std::pair<std::int64_t, std::int64_t> StationIndex::bin_of(base::Point p) const {
  return {static_cast<std::int64_t>(std::floor(p.y_m / bin_m_)),
          static_cast<std::int64_t>(std::floor(p.x_m / bin_m_))};
}

bool StationIndex::before(std::int32_t a, std::int32_t b) const {
  const terrain::CurbStation& sa = field_.stations[static_cast<std::size_t>(a)];
  const terrain::CurbStation& sb = field_.stations[static_cast<std::size_t>(b)];
  if (sa.gutter_cell != sb.gutter_cell) return sa.gutter_cell < sb.gutter_cell;
  const std::string& ia = curbs_[static_cast<std::size_t>(sa.curb)].id;
  const std::string& ib = curbs_[static_cast<std::size_t>(sb.curb)].id;
  if (ia != ib) return ia < ib;
  return sa.along_m < sb.along_m;
}

std::int32_t StationIndex::nearest(base::Point p, double reach_m,
                                   const std::function<bool(std::int32_t)>& accept) const {
  const auto [row, col] = bin_of(p);
  const auto steps = static_cast<std::int64_t>(std::ceil(reach_m / bin_m_));
  std::int32_t best = -1;
  double best_squared = reach_m * reach_m;
  for (std::int64_t r = row - steps; r <= row + steps; ++r) {
    for (std::int64_t c = col - steps; c <= col + steps; ++c) {
      const auto found = bins_.find({r, c});
      if (found == bins_.end()) continue;
      for (const std::int32_t i : found->second) {
        const double d = squared(p, field_.stations[static_cast<std::size_t>(i)].at);
        if (d > best_squared || (accept && !accept(i))) continue;
        if (best < 0 || d < best_squared || before(i, best)) {
          best = i;
          best_squared = d;
        }
      }
    }
  }
  return best;
}

double StationIndex::distance_m(base::Point p, double reach_m) const {
  const std::int32_t i = nearest(p, reach_m);
  if (i < 0) return std::numeric_limits<double>::infinity();
  return std::sqrt(squared(p, field_.stations[static_cast<std::size_t>(i)].at));
}

CurbWalk::CurbWalk(const terrain::CurbField& field, const std::vector<terrain::CurbLine>& curbs,
                   double cell_m)
    : field_(field), join_m_(1.5 * cell_m) {
  ranges_.assign(curbs.size(), {0, 0});
  left_.assign(curbs.size(), 0);
  length_m_.assign(curbs.size(), 0.0);
  const auto count = static_cast<std::int32_t>(field.stations.size());
  for (std::int32_t i = 0; i < count;) {
    const std::int32_t curb = field.stations[static_cast<std::size_t>(i)].curb;
    std::int32_t end = i + 1;
    while (end < count && field.stations[static_cast<std::size_t>(end)].curb == curb) ++end;
    ranges_[static_cast<std::size_t>(curb)] = {i, end};
    i = end;
  }
  for (std::size_t c = 0; c < curbs.size(); ++c) {
    length_m_[c] = base::length_m(curbs[c].line);
    if (ranges_[c].first == ranges_[c].second) continue;
    const terrain::CurbStation& s = field.stations[static_cast<std::size_t>(ranges_[c].first)];
    const base::Point a = base::point_along(curbs[c].line, std::max(0.0, s.along_m - 0.01));
    const base::Point b = base::point_along(curbs[c].line, std::min(length_m_[c], s.along_m + 0.01));
    const double cross = (b.x_m - a.x_m) * s.to_street.y_m - (b.y_m - a.y_m) * s.to_street.x_m;
    left_[c] = cross > 0.0 ? 1 : 0;
  }
  join_ends(curbs);
}

bool CurbWalk::same_hand(std::int32_t end_a, std::int32_t end_b) const {
  // Leaving by the same kind of end that is entered turns the line round, and the hand with it.
  const bool turned = (end_a & 1) == (end_b & 1);
  const bool left_a = left_[static_cast<std::size_t>(end_a / 2)] != 0;
  const bool left_b = left_[static_cast<std::size_t>(end_b / 2)] != 0;
  return (left_a == left_b) != turned;
}

void CurbWalk::join_ends(const std::vector<terrain::CurbLine>& curbs) {
  using Bin = std::pair<std::int64_t, std::int64_t>;
  const auto bin_of = [this](base::Point p) {
    return Bin{static_cast<std::int64_t>(std::floor(p.y_m / join_m_)),
               static_cast<std::int64_t>(std::floor(p.x_m / join_m_))};
  };
  std::vector<base::Point> ends;
  std::map<Bin, std::vector<std::int32_t>> bins;
  for (std::size_t c = 0; c < curbs.size(); ++c) {
    const bool used = ranges_[c].first != ranges_[c].second;
    for (int e = 0; e < 2; ++e) {
      ends.push_back(curbs[c].line.empty() ? base::Point{}
                                           : (e == 0 ? curbs[c].line.front() : curbs[c].line.back()));
      if (used) bins[bin_of(ends.back())].push_back(static_cast<std::int32_t>(2 * c) + e);
    }
  }
  joined_.assign(ends.size(), -1);
  for (const auto& entry : bins) {
    for (const std::int32_t e : entry.second) {
      double best_squared = join_m_ * join_m_;
      std::int32_t best = -1;
      for (std::int64_t r = entry.first.first - 1; r <= entry.first.first + 1; ++r) {
        for (std::int64_t k = entry.first.second - 1; k <= entry.first.second + 1; ++k) {
          const auto found = bins.find({r, k});
          if (found == bins.end()) continue;
          for (const std::int32_t other : found->second) {
            if (other == e || !same_hand(e, other)) continue;
            const double d =
                squared(ends[static_cast<std::size_t>(e)], ends[static_cast<std::size_t>(other)]);
            if (d > best_squared) continue;
            const bool tie = best >= 0 && !(d < best_squared);
            if (tie && !(curbs[static_cast<std::size_t>(other / 2)].id <
                         curbs[static_cast<std::size_t>(best / 2)].id))
              continue;
            best = other;
            best_squared = d;
          }
        }
      }
      joined_[static_cast<std::size_t>(e)] = best;
    }
  }
}

std::vector<WalkStep> CurbWalk::walk(std::int32_t station, bool forward, double limit_m) const {
  std::vector<WalkStep> steps;
  const terrain::CurbStation* last = &field_.stations[static_cast<std::size_t>(station)];
  std::int32_t i = station;
  double s = 0.0;
  for (;;) {
    const std::int32_t curb = last->curb;
    const auto [begin, end] = range(curb);
    i += forward ? 1 : -1;
    if (i >= begin && i < end) {
      const terrain::CurbStation& here = field_.stations[static_cast<std::size_t>(i)];
      s += std::fabs(here.along_m - last->along_m);
      last = &here;
    } else {
      const std::int32_t left_by = 2 * curb + (forward ? 1 : 0);
      const std::int32_t entered = joined_[static_cast<std::size_t>(left_by)];
      if (entered < 0) return steps;
      const auto next = static_cast<std::size_t>(entered / 2);
      s += forward ? length_m_[static_cast<std::size_t>(curb)] - last->along_m : last->along_m;
      forward = (entered & 1) == 0;
      i = forward ? ranges_[next].first : ranges_[next].second - 1;
      last = &field_.stations[static_cast<std::size_t>(i)];
      s += forward ? last->along_m : length_m_[next] - last->along_m;
    }
    if (s > limit_m || i == station) return steps;
    steps.push_back({i, s});
  }
}

}  // namespace curbshed::street::detail
