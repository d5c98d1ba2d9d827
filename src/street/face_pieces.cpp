#include "street/face_pieces.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace curbshed::street::detail {

namespace {

using base::Point;
using terrain::CurbLine;

constexpr double kGap_m = 12.0;

bool named(const CurbLine& curb) { return !curb.street.empty() && !curb.line.empty(); }

/// An end of a piece: 2 · curb, + 1 at its last point.
using End = std::int32_t;

std::size_t curb_of(End end) { return static_cast<std::size_t>(end / 2); }

/// What tells pieces apart whatever their order: two with the same key are the same line.
auto key_of(const CurbLine& curb) {
  return std::tuple(curb.id, curb.line.front().x_m, curb.line.front().y_m, curb.line.back().x_m,
                    curb.line.back().y_m);
}

class Joiner {
 public:
  Joiner(const std::vector<CurbLine>& curbs, const CurbBins& near)
      : curbs_(curbs), near_(near), joined_(2 * curbs.size(), -1) {}

  /// Joins free ends of one street and side, the nearest first.
  void join(const std::vector<std::int32_t>& group, double reach_m, bool over_gaps) {
    std::vector<End> ends;
    for (const std::int32_t curb : group) {
      for (const End end : {2 * curb, 2 * curb + 1}) {
        if (joined_[static_cast<std::size_t>(end)] < 0) ends.push_back(end);
      }
    }
    struct Offer {
      double distance_m;
      End a, b;
    };
    std::vector<Offer> offers;
    std::sort(ends.begin(), ends.end(), [this](End a, End b) { return at(a).x_m < at(b).x_m; });
    for (std::size_t i = 0; i < ends.size(); ++i) {
      for (std::size_t k = i + 1; k < ends.size() && at(ends[k]).x_m - at(ends[i]).x_m <= reach_m; ++k) {
        if (curb_of(ends[i]) == curb_of(ends[k])) continue;
        const double d = base::distance_m(at(ends[i]), at(ends[k]));
        if (d > reach_m || (over_gaps && !runs_on(ends[i], ends[k], d))) continue;
        const bool turned = key(ends[k]) < key(ends[i]);
        offers.push_back({d, turned ? ends[k] : ends[i], turned ? ends[i] : ends[k]});
      }
    }
    std::sort(offers.begin(), offers.end(), [this](const Offer& x, const Offer& y) {
      if (x.distance_m != y.distance_m) return x.distance_m < y.distance_m;
      const auto first = key(x.a);
      const auto second = key(y.a);
      return first != second ? first < second : key(x.b) < key(y.b);
    });
    for (const Offer& offer : offers) {
      std::int32_t& a = joined_[static_cast<std::size_t>(offer.a)];
      std::int32_t& b = joined_[static_cast<std::size_t>(offer.b)];
      if (a >= 0 || b >= 0) continue;
      a = offer.b;
      b = offer.a;
    }
  }

  /// One face for each chain of a group.
  void collect(const std::vector<std::int32_t>& group, std::vector<BlockFace>& faces) {
    std::vector<End> starts;
    for (const std::int32_t curb : group) {
      starts.push_back(2 * curb);
      starts.push_back(2 * curb + 1);
    }
    // Free ends before joints, so that only rings start at a joint.
    std::sort(starts.begin(), starts.end(), [this](End a, End b) { return rank(a) < rank(b); });
    std::vector<std::uint8_t> used(curbs_.size(), 0);
    for (const End start : starts) {
      if (used[curb_of(start)] == 0) faces.push_back(walk(start, used));
    }
  }

 private:
  Point at(End end) const {
    const base::Polyline& line = curbs_[curb_of(end)].line;
    return (end & 1) == 0 ? line.front() : line.back();
  }
  using Key = std::tuple<std::tuple<std::string, double, double, double, double>, int>;
  Key key(End end) const { return {key_of(curbs_[curb_of(end)]), end & 1}; }
  std::tuple<bool, double, double, Key> rank(End end) const {
    return {joined_[static_cast<std::size_t>(end)] >= 0, at(end).x_m, at(end).y_m, key(end)};
  }
  /// Unit vector out of the piece at an end.
  Point out_of(End end) const {
    constexpr double kBack = 3.0;
    const base::Polyline& line = curbs_[curb_of(end)].line;
    const double length = base::length_m(line);
    const double back = std::min(kBack, length);
    const Point inner = base::point_along(line, (end & 1) == 0 ? back : length - back);
    const double d = base::distance_m(inner, at(end));
    if (!(d > 0.0)) return {};
    return {(at(end).x_m - inner.x_m) / d, (at(end).y_m - inner.y_m) / d};
  }
  bool runs_on(End a, End b, double distance_m) const {
    const double kStraight = std::cos(20.0 * 3.14159265358979323846 / 180.0);
    if (!(distance_m > 0.0)) return true;
    const Point step{(at(b).x_m - at(a).x_m) / distance_m, (at(b).y_m - at(a).y_m) / distance_m};
    const Point from_a = out_of(a);
    const Point from_b = out_of(b);
    if (from_a.x_m * step.x_m + from_a.y_m * step.y_m < kStraight) return false;
    if (from_b.x_m * step.x_m + from_b.y_m * step.y_m > -kStraight) return false;
    const Point middle{0.5 * (at(a).x_m + at(b).x_m), 0.5 * (at(a).y_m + at(b).y_m)};
    return near_.other_street(middle, curbs_[curb_of(a)].street, distance_m).curb < 0;
  }

  BlockFace walk(End start, std::vector<std::uint8_t>& used) const {
    BlockFace face;
    face.street = curbs_[curb_of(start)].street;
    face.side = curbs_[curb_of(start)].side;
    for (End end = start; end >= 0 && used[curb_of(end)] == 0;
         end = joined_[static_cast<std::size_t>(end ^ 1)]) {
      used[curb_of(end)] = 1;
      base::Polyline line = curbs_[curb_of(end)].line;
      const bool backwards = (end & 1) != 0;
      if (backwards) std::reverse(line.begin(), line.end());
      if (!face.line.empty()) face.length_m += base::distance_m(face.line.back(), line.front());
      face.pieces.push_back({end / 2, backwards, face.length_m});
      face.length_m += base::length_m(line);
      if (!face.line.empty() && face.line.back() == line.front()) line.erase(line.begin());
      face.line.insert(face.line.end(), line.begin(), line.end());
    }
    return face;
  }

  const std::vector<CurbLine>& curbs_;
  const CurbBins& near_;
  std::vector<End> joined_;
};

}  // namespace

CurbBins::CurbBins(const std::vector<CurbLine>& curbs, double bin_m) : curbs_(curbs), bin_m_(bin_m) {
  for (std::size_t i = 0; i < curbs.size(); ++i) {
    if (!named(curbs[i])) continue;
    const base::Polyline& line = curbs[i].line;
    for (std::size_t k = 0; k < line.size(); ++k) {
      const Point a = line[k];
      const Point b = line[std::min(k + 1, line.size() - 1)];
      for (std::int64_t r = bin(std::min(a.y_m, b.y_m)); r <= bin(std::max(a.y_m, b.y_m)); ++r) {
        for (std::int64_t c = bin(std::min(a.x_m, b.x_m)); c <= bin(std::max(a.x_m, b.x_m)); ++c) {
          std::vector<std::int32_t>& list = bins_[{r, c}];
          const auto index = static_cast<std::int32_t>(i);
          if (list.empty() || list.back() != index) list.push_back(index);
        }
      }
    }
  }
}

std::int64_t CurbBins::bin(double v) const { return static_cast<std::int64_t>(std::floor(v / bin_m_)); }

NearCurb CurbBins::other_street(Point p, const std::string& own, double reach_m,
                                std::optional<Point> not_at) const {
  NearCurb best;
  for (std::int64_t r = bin(p.y_m - reach_m); r <= bin(p.y_m + reach_m); ++r) {
    for (std::int64_t c = bin(p.x_m - reach_m); c <= bin(p.x_m + reach_m); ++c) {
      const auto found = bins_.find({r, c});
      if (found == bins_.end()) continue;
      for (const std::int32_t i : found->second) {
        const CurbLine& curb = curbs_[static_cast<std::size_t>(i)];
        if (curb.street == own) continue;
        const base::LinePlace place = base::nearest_place(curb.line, p);
        const double offset = place.offset_m;
        if (offset > reach_m || (not_at && base::distance_m(place.at, *not_at) < offset)) continue;
        const auto offer = std::tuple(offset, curb.street, key_of(curb));
        if (best.curb < 0 ||
            offer < std::tuple(best.offset_m, curbs_[static_cast<std::size_t>(best.curb)].street,
                               key_of(curbs_[static_cast<std::size_t>(best.curb)]))) {
          best = {i, -1, offset};
        }
      }
    }
  }
  return best;
}

std::vector<BlockFace> join_faces(const std::vector<CurbLine>& curbs, double meet_m, const CurbBins& near) {
  std::map<std::pair<std::string, std::string>, std::vector<std::int32_t>> groups;
  for (std::size_t i = 0; i < curbs.size(); ++i) {
    if (named(curbs[i])) groups[{curbs[i].street, curbs[i].side}].push_back(static_cast<std::int32_t>(i));
  }
  Joiner joiner(curbs, near);
  std::vector<BlockFace> faces;
  for (const auto& group : groups) {
    joiner.join(group.second, meet_m, false);
    joiner.join(group.second, kGap_m, true);
    joiner.collect(group.second, faces);
  }
  std::stable_sort(faces.begin(), faces.end(), [](const BlockFace& a, const BlockFace& b) {
    const auto order = [](const BlockFace& f) {
      return std::tie(f.street, f.side, f.line.front().x_m, f.line.front().y_m, f.line.back().x_m,
                      f.line.back().y_m);
    };
    return order(a) < order(b);
  });
  return faces;
}

}  // namespace curbshed::street::detail
