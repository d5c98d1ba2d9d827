#include "curbshed/terrain/curbs.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include <fmt/format.h>

namespace curbshed::terrain {

namespace {

// Corners are snapped to whole millimetres; integers make "the same point" exact.
struct Corner {
  std::int64_t x_mm = 0;
  std::int64_t y_mm = 0;
  friend auto operator<=>(const Corner&, const Corner&) = default;
};

struct Edge {
  Corner from;
  Corner to;  ///< pavement lies to the left
  friend auto operator<=>(const Edge&, const Edge&) = default;
};

constexpr double kPerMetre = 1000.0;
constexpr double kOnEdge_mm = 1.5;      ///< 1 mm and the rounding of three snapped points
constexpr std::int64_t kBin_mm = 5000;  ///< of the corner index
constexpr double kFarthest_m = 1e9;

Corner snapped(base::Point p) { return {std::llround(p.x_m * kPerMetre), std::llround(p.y_m * kPerMetre)}; }

base::Point point_of(Corner c) {
  return {static_cast<double>(c.x_mm) / kPerMetre, static_cast<double>(c.y_mm) / kPerMetre};
}

/// Twice the signed area, about the first corner (so that large coordinates do not matter).
double signed_area(const std::vector<Corner>& ring) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    const auto ax = static_cast<double>(ring[i].x_mm - ring[0].x_mm);
    const auto ay = static_cast<double>(ring[i].y_mm - ring[0].y_mm);
    const auto bx = static_cast<double>(ring[i + 1].x_mm - ring[0].x_mm);
    const auto by = static_cast<double>(ring[i + 1].y_mm - ring[0].y_mm);
    sum += ax * by - ay * bx;
  }
  return sum;
}

/// Ring edges with the polygon to the left. A ring with a coordinate that is no place on earth gives none.
void add_ring(const base::Polyline& ring, bool hole, std::vector<Edge>& edges) {
  std::vector<Corner> corners;
  for (const base::Point& p : ring) {
    if (!(std::abs(p.x_m) < kFarthest_m && std::abs(p.y_m) < kFarthest_m)) return;
    const Corner c = snapped(p);
    if (corners.empty() || corners.back() != c) corners.push_back(c);
  }
  if (corners.size() > 1 && corners.front() != corners.back()) corners.push_back(corners.front());
  if (corners.size() < 4) return;
  const bool counter_clockwise = signed_area(corners) > 0.0;
  if (counter_clockwise == hole) std::reverse(corners.begin(), corners.end());
  for (std::size_t i = 0; i + 1 < corners.size(); ++i) edges.push_back({corners[i], corners[i + 1]});
}

/// Corners by bin, for the question which of them lie on an edge.
class CornerIndex {
 public:
  explicit CornerIndex(const std::vector<Edge>& edges) {
    for (const Edge& e : edges) bins_[bin(e.from)].push_back(e.from);
    for (auto& entry : bins_) {
      std::sort(entry.second.begin(), entry.second.end());
      entry.second.erase(std::unique(entry.second.begin(), entry.second.end()), entry.second.end());
    }
  }

  /// Corners strictly inside the edge, in its order.
  std::vector<Corner> on(const Edge& e) const {
    const auto dx = static_cast<double>(e.to.x_mm - e.from.x_mm);
    const auto dy = static_cast<double>(e.to.y_mm - e.from.y_mm);
    const double length = std::hypot(dx, dy);
    std::vector<std::pair<double, Corner>> found;
    const auto look = [&](const Corner& c) {
      if (c == e.from || c == e.to) return;
      const auto px = static_cast<double>(c.x_mm - e.from.x_mm);
      const auto py = static_cast<double>(c.y_mm - e.from.y_mm);
      const double along = (px * dx + py * dy) / length;
      if (along <= 0.0 || along >= length || std::abs(px * dy - py * dx) / length > kOnEdge_mm) return;
      found.emplace_back(along, c);
    };
    const Corner low = bin({std::min(e.from.x_mm, e.to.x_mm) - 2, std::min(e.from.y_mm, e.to.y_mm) - 2});
    const Corner high = bin({std::max(e.from.x_mm, e.to.x_mm) + 2, std::max(e.from.y_mm, e.to.y_mm) + 2});
    for (std::int64_t bx = low.x_mm; bx <= high.x_mm; ++bx) {
      // Bins are ordered by x, then y: one column of them is a range.
      for (auto it = bins_.lower_bound({bx, low.y_mm});
           it != bins_.end() && it->first <= Corner{bx, high.y_mm}; ++it) {
        for (const Corner& c : it->second) look(c);
      }
    }
    std::sort(found.begin(), found.end());
    std::vector<Corner> corners;
    for (const auto& entry : found) corners.push_back(entry.second);
    return corners;
  }

 private:
  static std::int64_t floor_div(std::int64_t a) {
    return a >= 0 ? a / kBin_mm : -((-a + kBin_mm - 1) / kBin_mm);
  }
  static Corner bin(Corner c) { return {floor_div(c.x_mm), floor_div(c.y_mm)}; }

  std::map<Corner, std::vector<Corner>> bins_;
};

std::vector<Edge> split_at_corners(const std::vector<Edge>& edges) {
  const CornerIndex index(edges);
  std::vector<Edge> pieces;
  for (const Edge& e : edges) {
    Corner from = e.from;
    for (const Corner& c : index.on(e)) {
      pieces.push_back({from, c});
      from = c;
    }
    pieces.push_back({from, e.to});
  }
  return pieces;
}

/// Edges that pavement has on one side only, each once, sorted.
std::vector<Edge> outer_edges(std::vector<Edge> edges) {
  std::sort(edges.begin(), edges.end());
  edges.erase(std::unique(edges.begin(), edges.end()), edges.end());
  std::vector<Edge> outer;
  for (const Edge& e : edges) {
    if (!std::binary_search(edges.begin(), edges.end(), Edge{e.to, e.from})) outer.push_back(e);
  }
  return outer;
}

/// Turn from one edge into the next, in (−180°, 180°]; positive is left.
double turn(const Edge& in, const Edge& out) {
  const auto ax = static_cast<double>(in.to.x_mm - in.from.x_mm);
  const auto ay = static_cast<double>(in.to.y_mm - in.from.y_mm);
  const auto bx = static_cast<double>(out.to.x_mm - out.from.x_mm);
  const auto by = static_cast<double>(out.to.y_mm - out.from.y_mm);
  return std::atan2(ax * by - ay * bx, ax * bx + ay * by);
}

/// Joins sorted edges to lines and rings. Where several go on, the sharpest left turn keeps to the same piece
/// of pavement.
class Joiner {
 public:
  explicit Joiner(std::vector<Edge> edges) : edges_(std::move(edges)), used_(edges_.size(), false) {
    for (const Edge& e : edges_) {
      ++surplus_[e.from];
      --surplus_[e.to];
    }
  }

  std::vector<std::vector<Corner>> lines() {
    std::vector<std::vector<Corner>> found;
    for (std::size_t i = 0; i < edges_.size(); ++i) {  // lines begin where more edges leave than arrive
      if (used_[i] || surplus_[edges_[i].from] <= 0) continue;
      --surplus_[edges_[i].from];
      found.push_back(follow(i));
    }
    for (std::size_t i = 0; i < edges_.size(); ++i) {
      if (!used_[i]) found.push_back(follow(i));
    }
    return found;
  }

 private:
  std::vector<Corner> follow(std::size_t i) {
    const Corner start = edges_[i].from;
    std::vector<Corner> line{start};
    while (true) {
      used_[i] = true;
      line.push_back(edges_[i].to);
      if (edges_[i].to == start) return line;
      const std::size_t next = next_after(i);
      if (next == edges_.size()) return line;
      i = next;
    }
  }

  std::size_t next_after(std::size_t i) const {
    const Corner at = edges_[i].to;
    auto it = std::lower_bound(edges_.begin(), edges_.end(), at,
                               [](const Edge& e, const Corner& c) { return e.from < c; });
    std::size_t best = edges_.size();
    double sharpest = 0.0;
    for (; it != edges_.end() && it->from == at; ++it) {
      const auto k = static_cast<std::size_t>(it - edges_.begin());
      if (used_[k]) continue;
      const double angle = turn(edges_[i], *it);
      if (best == edges_.size() || angle > sharpest) {
        best = k;
        sharpest = angle;
      }
    }
    return best;
  }

  std::vector<Edge> edges_;
  std::vector<bool> used_;
  std::map<Corner, int> surplus_;
};

}  // namespace

std::vector<CurbLine> curbs_from_pavement(const std::vector<base::Polygon>& pavement, double height_m) {
  std::vector<Edge> edges;
  for (const base::Polygon& polygon : pavement) {
    for (std::size_t r = 0; r < polygon.rings.size(); ++r) add_ring(polygon.rings[r], r > 0, edges);
  }
  std::vector<CurbLine> curbs;
  for (const std::vector<Corner>& line : Joiner(outer_edges(split_at_corners(edges))).lines()) {
    CurbLine curb;
    curb.id = fmt::format("pavement-edge-{}", curbs.size() + 1);
    curb.height_m = height_m;
    curb.street_side = StreetSide::Left;
    for (const Corner& c : line) curb.line.push_back(point_of(c));
    curbs.push_back(std::move(curb));
  }
  return curbs;
}

}  // namespace curbshed::terrain
