#include "curbshed/siting/candidates_strip.hpp"

#include <algorithm>
#include <cmath>

namespace curbshed::siting {
namespace {

using base::Point;

constexpr double kBin_m = 8.0;
constexpr double kSliver_m = 0.05;     // gaps and overlaps of drawing
constexpr double kBesideWalk_m = 0.3;  // a walk and its lot share an edge to within this
constexpr double kGutterPan_m = 0.7;   // a parking lane may begin beyond the gutter

std::int64_t bin(double v) { return static_cast<std::int64_t>(std::floor(v / kBin_m)); }

double turn(const base::Polyline& ring) {
  double twice = 0.0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    twice += (ring[i].x_m - ring[0].x_m) * (ring[i + 1].y_m - ring[0].y_m) -
             (ring[i + 1].x_m - ring[0].x_m) * (ring[i].y_m - ring[0].y_m);
  }
  return twice;
}

using Stretch = StripLook::Stretch;

/// Joined where they overlap or meet.
std::vector<Stretch> joined(const std::vector<Stretch>& all) {
  std::vector<Stretch> out;
  for (const Stretch& one : all) {
    if (one.to_m - one.from_m < kSliver_m) continue;
    if (!out.empty() && one.from_m <= out.back().to_m + kSliver_m) {
      out.back().to_m = std::max(out.back().to_m, one.to_m);
    } else {
      out.push_back(one);
    }
  }
  return out;
}

/// Where the first one begins that is not over before `from_m`.
std::optional<double> next_from(const std::vector<Stretch>& list, double from_m) {
  for (const Stretch& one : list) {
    if (one.to_m > from_m + kSliver_m) return std::max(one.from_m, from_m);
  }
  return std::nullopt;
}

bool covers(const std::vector<Stretch>& list, double at_m) {
  return std::any_of(list.begin(), list.end(),
                     [&](const Stretch& one) { return one.from_m <= at_m && one.to_m >= at_m; });
}

void take_least(std::optional<double>& least, const std::optional<double>& value) {
  if (value && (!least || *value < *least)) least = value;
}

}  // namespace

StripLook::StripLook(const BesideShapes& shapes) {
  for (std::size_t kind = 0; kind < kBesideKinds; ++kind) {
    Index& index = index_[kind];
    for (std::size_t i = 0; i < shapes.of[kind].size(); ++i) {
      add(shapes.of[kind][i], static_cast<std::int32_t>(i), index);
    }
    std::sort(index.entries.begin(), index.entries.end());
  }
}

void StripLook::add(const base::Polygon& polygon, std::int32_t number, Index& index) {
  for (std::size_t r = 0; r < polygon.rings.size(); ++r) {
    const base::Polyline& ring = polygon.rings[r];
    const bool left = (turn(ring) > 0.0) == (r == 0);
    for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
      const Point a = left ? ring[i] : ring[i + 1];
      const Point b = left ? ring[i + 1] : ring[i];
      const auto side = static_cast<std::int32_t>(index.sides.size());
      index.sides.push_back({a, b, number});
      // Bins of pieces no longer than a bin, so that a long side is not entered all over its box.
      const double length_m = base::distance_m(a, b);
      const auto pieces = static_cast<std::int64_t>(std::ceil(std::max(1.0, length_m / kBin_m)));
      std::vector<Entry> own;
      for (std::int64_t k = 0; k < pieces; ++k) {
        const auto on = [&](std::int64_t n) {
          const double share = static_cast<double>(n) / static_cast<double>(pieces);
          return Point{a.x_m + share * (b.x_m - a.x_m), a.y_m + share * (b.y_m - a.y_m)};
        };
        const Point p = on(k);
        const Point q = on(k + 1);
        for (std::int64_t row = bin(std::min(p.y_m, q.y_m)); row <= bin(std::max(p.y_m, q.y_m)); ++row) {
          for (std::int64_t col = bin(std::min(p.x_m, q.x_m)); col <= bin(std::max(p.x_m, q.x_m)); ++col) {
            own.push_back({row, col, side});
          }
        }
      }
      std::sort(own.begin(), own.end());
      own.erase(std::unique(own.begin(), own.end()), own.end());
      index.entries.insert(index.entries.end(), own.begin(), own.end());
    }
  }
}

std::vector<Stretch> StripLook::covered(BesideKind kind, Point from, Point direction) const {
  const Index& index = index_[static_cast<std::size_t>(kind)];
  const Point end{from.x_m + kFar_m * direction.x_m, from.y_m + kFar_m * direction.y_m};
  std::vector<std::int32_t> sides;
  for (std::int64_t row = bin(std::min(from.y_m, end.y_m)); row <= bin(std::max(from.y_m, end.y_m)); ++row) {
    for (std::int64_t col = bin(std::min(from.x_m, end.x_m)); col <= bin(std::max(from.x_m, end.x_m));
         ++col) {
      const Entry low{row, col, -1};
      for (auto it = std::lower_bound(index.entries.begin(), index.entries.end(), low);
           it != index.entries.end() && it->row == row && it->col == col; ++it) {
        sides.push_back(it->side);
      }
    }
  }
  std::sort(sides.begin(), sides.end());
  sides.erase(std::unique(sides.begin(), sides.end()), sides.end());
  struct Hit {
    std::int32_t polygon;
    double at_m;
    bool out;
    bool operator<(const Hit& o) const {
      return polygon != o.polygon ? polygon < o.polygon : at_m != o.at_m ? at_m < o.at_m : out < o.out;
    }
  };
  std::vector<Hit> hits;
  for (const std::int32_t s : sides) {
    const Side& side = index.sides[static_cast<std::size_t>(s)];
    const auto off = [&](Point p) {  // of the ray, to its left
      return direction.x_m * (p.y_m - from.y_m) - direction.y_m * (p.x_m - from.x_m);
    };
    const double a = off(side.a);
    const double b = off(side.b);
    if ((a < 0.0) == (b < 0.0)) continue;
    const double share = a / (a - b);
    const Point at{side.a.x_m + share * (side.b.x_m - side.a.x_m),
                   side.a.y_m + share * (side.b.y_m - side.a.y_m)};
    const double at_m = direction.x_m * (at.x_m - from.x_m) + direction.y_m * (at.y_m - from.y_m);
    if (at_m >= 0.0 && at_m <= kFar_m) hits.push_back({side.polygon, at_m, a < b});
  }
  std::sort(hits.begin(), hits.end());
  std::vector<Stretch> out;
  for (std::size_t i = 0; i < hits.size();) {
    const std::int32_t polygon = hits[i].polygon;
    if (hits[i].out) out.push_back({0.0, hits[i++].at_m});  // it began inside
    for (; i < hits.size() && hits[i].polygon == polygon; ++i) {
      if (hits[i].out) continue;
      const bool ends = i + 1 < hits.size() && hits[i + 1].polygon == polygon;
      out.push_back({hits[i].at_m, ends ? hits[i + 1].at_m : kFar_m});
    }
  }
  std::sort(out.begin(), out.end());
  return out;
}

StripProfile StripLook::at(Point curb, Point to_street) const {
  const Point away{-to_street.x_m, -to_street.y_m};
  const auto look = [&](BesideKind kind) { return joined(covered(kind, curb, away)); };
  const std::vector<Stretch> walks = look(BesideKind::Walk);
  const std::vector<Stretch> paved = look(BesideKind::Paved);
  const std::vector<Stretch> buildings = look(BesideKind::Building);
  const std::vector<Stretch> lots = look(BesideKind::Lot);
  StripProfile out;
  for (const std::vector<Stretch>* hard : {&paved, &buildings}) {
    out.blocked = out.blocked || next_from(*hard, 0.0).value_or(kFar_m) <= kTouches_m;
  }
  const std::optional<double> walk = next_from(walks, 0.0);
  out.walk_at_curb = walk && *walk <= kTouches_m;
  if (out.walk_at_curb) {
    out.strip_m = 0.0;
    out.walk = true;
    out.walk_to_m = walks.front().to_m;
    take_least(out.behind_m, next_from(buildings, out.walk_to_m));
    take_least(out.behind_m, next_from(paved, out.walk_to_m));
    take_least(out.behind_m, next_from(walks, out.walk_to_m));
    if (out.behind_m) *out.behind_m -= out.walk_to_m;
    out.behind_on_lot = covers(lots, out.walk_to_m + kBesideWalk_m);
  } else {
    take_least(out.strip_m, walk);
    take_least(out.strip_m, next_from(paved, 0.0));
    take_least(out.strip_m, next_from(buildings, 0.0));
    for (const Stretch& lot : lots) {  // one that covers the curb tells nothing of where the street ends
      if (lot.from_m > kTouches_m) take_least(out.strip_m, lot.from_m);
    }
    out.walk = walk && *walk <= *out.strip_m + kBesideWalk_m;
  }
  const std::vector<Stretch> parking = joined(covered(BesideKind::Parking, curb, to_street));
  if (!parking.empty() && parking.front().from_m <= kGutterPan_m) out.parking_m = parking.front().to_m;
  return out;
}

}  // namespace curbshed::siting
