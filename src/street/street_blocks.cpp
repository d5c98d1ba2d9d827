#include "street/street_blocks.hpp"

#include "curbshed/shapes/polygons.hpp"

#include "street/line_index.hpp"
#include "street/plane.hpp"

#include <map>
#include <numeric>
#include <tuple>

namespace curbshed::street::detail {

namespace {

using base::Point;
using base::Polyline;

constexpr double kSamePlace_m = 1.5;  ///< ends and cuts this near each other are one place
constexpr double kShortest_m = 1.0;
constexpr double kBeyond_m = 60.0;  ///< what is kept of a line outside the elevation
constexpr double kRunOn_m = 20.0;   ///< a street that ends at the edge of the data goes on
constexpr double kLookAhead_m = 3.0;
constexpr double kFarthest_m = 1e9;
constexpr double kBin_m = 50.0;

/// A line that can be used, with what it brings.
struct Drawn {
  const Centreline* from = nullptr;
  Polyline line;
};

bool lines_before(const Polyline& a, const Polyline& b) {
  return std::lexicographical_compare(a.begin(), a.end(), b.begin(), b.end(), before);
}

void turn_to_west(Polyline& line) {
  if (before(line.back(), line.front())) {
    std::reverse(line.begin(), line.end());
  } else if (line.front() == line.back()) {
    Polyline other(line.rbegin(), line.rend());
    if (lines_before(other, line)) line = std::move(other);
  }
}

bool has_ground(const terrain::Ground& ground, Point p) {
  const std::int64_t cell = ground.frame.cell_at(p);
  return cell >= 0 && ground.valid[cell] != 0;
}

bool touches_ground(const terrain::Ground& ground, const Polyline& line) {
  const double length = base::length_m(line);
  const auto steps = static_cast<std::int64_t>(std::ceil(length / ground.frame.cell_m));
  for (std::int64_t k = 0; k <= steps; ++k) {
    const double along =
        length * static_cast<double>(k) / static_cast<double>(std::max<std::int64_t>(steps, 1));
    if (has_ground(ground, base::point_along(line, along))) return true;
  }
  return false;
}

base::Polygon frame_box(const terrain::GridFrame& frame, double grown_m) {
  const double west = frame.west_m - grown_m;
  const double east = frame.west_m + static_cast<double>(frame.cols) * frame.cell_m + grown_m;
  const double north = frame.north_m + grown_m;
  const double south = frame.north_m - static_cast<double>(frame.rows) * frame.cell_m - grown_m;
  return {{{{west, south}, {east, south}, {east, north}, {west, north}, {west, south}}}};
}

/// The parts of a line near the elevation; `reason` when there is none.
std::vector<Polyline> usable_parts(const Polyline& given, const terrain::Ground& ground,
                                   std::string& reason) {
  Polyline line;
  for (const Point& p : given) {
    if (!(std::abs(p.x_m) < kFarthest_m && std::abs(p.y_m) < kFarthest_m)) {
      reason = "a coordinate is not a number";
      return {};
    }
    if (line.empty() || base::distance_m(line.back(), p) > 1e-3) line.push_back(p);
  }
  if (line.size() < 2 || base::length_m(line) < kShortest_m) {
    reason = "the line is shorter than 1 m";
    return {};
  }
  std::vector<Polyline> parts;
  for (Polyline& part : shapes::clip(line, {frame_box(ground.frame, kBeyond_m)})) {
    if (base::length_m(part) >= kShortest_m && touches_ground(ground, part)) parts.push_back(std::move(part));
  }
  if (parts.empty()) reason = "outside the elevation";
  return parts;
}

std::vector<Drawn> usable_lines(const std::vector<Centreline>& lines, const terrain::Ground& ground,
                                std::vector<UnusedLine>& unused) {
  std::vector<Drawn> drawn;
  for (const Centreline& one : lines) {
    std::string reason;
    for (Polyline& part : usable_parts(one.line, ground, reason)) {
      turn_to_west(part);
      drawn.push_back({&one, std::move(part)});
    }
    if (!reason.empty()) unused.push_back({one.id, reason});
  }
  const auto rank = [](const Drawn& d) {
    return std::tie(d.from->street, d.from->street_class, d.from->width_m, d.from->kind, d.from->id);
  };
  std::sort(drawn.begin(), drawn.end(), [&](const Drawn& a, const Drawn& b) {
    if (a.line != b.line) return lines_before(a.line, b.line);
    return rank(a) < rank(b);
  });
  drawn.erase(std::unique(drawn.begin(), drawn.end(),
                          [](const Drawn& a, const Drawn& b) { return a.line == b.line; }),
              drawn.end());
  return drawn;
}

std::vector<double> distances(const Polyline& line) {
  std::vector<double> along(line.size(), 0.0);
  for (std::size_t i = 1; i < line.size(); ++i) {
    along[i] = along[i - 1] + base::distance_m(line[i - 1], line[i]);
  }
  return along;
}

/// Where lines cross or an end touches another line, as distances along each.
class CutFinder {
 public:
  explicit CutFinder(const std::vector<Drawn>& drawn) : drawn_(drawn), index_(pointers(drawn), kBin_m) {
    for (const Drawn& d : drawn_) along_.push_back(distances(d.line));
    cuts_.resize(drawn.size());
  }

  std::vector<std::vector<double>> find() {
    for (std::size_t i = 0; i < drawn_.size(); ++i) {
      const Polyline& line = drawn_[i].line;
      for (std::size_t k = 0; k + 1 < line.size(); ++k) cross_segment(i, k);
      touch(i, line.front());
      touch(i, line.back());
    }
    return cuts_;
  }

 private:
  static std::vector<const Polyline*> pointers(const std::vector<Drawn>& drawn) {
    std::vector<const Polyline*> out;
    for (const Drawn& d : drawn) out.push_back(&d.line);
    return out;
  }

  void cross_segment(std::size_t i, std::size_t k) {
    const Point a = drawn_[i].line[k];
    const Point d = minus(drawn_[i].line[k + 1], a);
    base::Box box;
    box.add(a);
    box.add(drawn_[i].line[k + 1]);
    for (const LineIndex::Segment& s : index_.near(box, 0.0)) {
      const auto j = static_cast<std::size_t>(s.line);
      const auto part = static_cast<std::size_t>(s.part);
      if (j < i || (j == i && part < k + 2)) continue;
      const Point b = drawn_[j].line[part];
      const Point e = minus(drawn_[j].line[part + 1], b);
      const double det = cross(d, e);
      if (std::abs(det) < 1e-9) continue;
      const double t = cross(minus(b, a), e) / det;
      const double u = cross(minus(b, a), d) / det;
      if (t < 0.0 || t > 1.0 || u < 0.0 || u > 1.0) continue;
      cuts_[i].push_back(along_[i][k] + t * (along_[i][k + 1] - along_[i][k]));
      cuts_[j].push_back(along_[j][part] + u * (along_[j][part + 1] - along_[j][part]));
    }
  }

  void touch(std::size_t i, Point end) {
    for (const std::int32_t near : index_.lines_near(end, kTouch_m)) {
      const auto j = static_cast<std::size_t>(near);
      if (j == i) continue;
      const base::LinePlace place = base::nearest_place(drawn_[j].line, end);
      if (place.offset_m <= kTouch_m) cuts_[j].push_back(place.along_m);
    }
  }

  const std::vector<Drawn>& drawn_;
  LineIndex index_;
  std::vector<std::vector<double>> along_;
  std::vector<std::vector<double>> cuts_;
};

Polyline part_of(const Polyline& line, const std::vector<double>& along, double from, double to) {
  Polyline part = {base::point_along(line, from)};
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (along[i] > from + 1e-3 && along[i] < to - 1e-3) part.push_back(line[i]);
  }
  part.push_back(base::point_along(line, to));
  return part;
}

std::vector<BlockDraft> split(const std::vector<Drawn>& drawn) {
  std::vector<std::vector<double>> cuts = CutFinder(drawn).find();
  std::vector<BlockDraft> blocks;
  for (std::size_t i = 0; i < drawn.size(); ++i) {
    const Polyline& line = drawn[i].line;
    const std::vector<double> along = distances(line);
    std::sort(cuts[i].begin(), cuts[i].end());
    std::vector<double> at = {0.0};
    for (const double cut : cuts[i]) {
      if (cut - at.back() > kSamePlace_m && along.back() - cut > kSamePlace_m) at.push_back(cut);
    }
    at.push_back(along.back());
    for (std::size_t k = 0; k + 1 < at.size(); ++k) {
      BlockDraft draft;
      draft.block.street = drawn[i].from->street;
      draft.block.street_class = drawn[i].from->street_class;
      draft.block.lines = {drawn[i].from->id};
      draft.block.drawn = part_of(line, along, at[k], at[k + 1]);
      draft.width_m = drawn[i].from->width_m;
      draft.kind = drawn[i].from->kind;
      blocks.push_back(std::move(draft));
    }
  }
  return blocks;
}

Point& end_point(BlockDraft& draft, int end) {
  return end == 0 ? draft.block.drawn.front() : draft.block.drawn.back();
}

/// Ends within kSamePlace_m of each other, over any number of steps, make a node.
std::vector<Junction> meet(std::vector<BlockDraft>& blocks) {
  struct End {
    Point at;
    BlockEnd end;
  };
  std::vector<End> ends;
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    for (int e = 0; e < 2; ++e) ends.push_back({end_point(blocks[b], e), {static_cast<std::int32_t>(b), e}});
  }
  std::sort(ends.begin(), ends.end(),
            [](const End& a, const End& b) { return a.at == b.at ? a.end < b.end : before(a.at, b.at); });
  std::vector<std::size_t> root(ends.size());
  std::iota(root.begin(), root.end(), std::size_t{0});
  const auto find = [&](std::size_t i) {
    while (root[i] != i) i = root[i] = root[root[i]];
    return i;
  };
  for (std::size_t i = 0; i < ends.size(); ++i) {
    for (std::size_t j = i + 1; j < ends.size() && ends[j].at.x_m - ends[i].at.x_m <= kSamePlace_m; ++j) {
      if (base::distance_m(ends[i].at, ends[j].at) > kSamePlace_m) continue;
      const std::size_t a = find(i);
      const std::size_t b = find(j);
      root[std::max(a, b)] = std::min(a, b);
    }
  }
  std::map<std::size_t, std::size_t> number;
  std::vector<Junction> nodes;
  for (std::size_t i = 0; i < ends.size(); ++i) {
    const auto [it, fresh] = number.try_emplace(find(i), nodes.size());
    if (fresh) nodes.emplace_back();
    Junction& node = nodes[it->second];
    node.at = plus(node.at, ends[i].at);
    node.ends.push_back(ends[i].end);
  }
  for (std::size_t n = 0; n < nodes.size(); ++n) {
    nodes[n].at = times(1.0 / static_cast<double>(nodes[n].ends.size()), nodes[n].at);
    std::sort(nodes[n].ends.begin(), nodes[n].ends.end());
    for (const BlockEnd& e : nodes[n].ends) {
      BlockDraft& draft = blocks[static_cast<std::size_t>(e.block)];
      draft.node[static_cast<std::size_t>(e.end)] = static_cast<std::int32_t>(n);
      end_point(draft, e.end) = nodes[n].at;
    }
  }
  return nodes;
}

/// Nodes, with blocks so short that both their ends are one place taken out.
std::vector<Junction> settle(std::vector<BlockDraft>& blocks) {
  constexpr double kLeastLoop_m = 5.0;
  for (;;) {
    std::vector<Junction> nodes = meet(blocks);
    const std::size_t count = blocks.size();
    blocks.erase(std::remove_if(blocks.begin(), blocks.end(),
                                [](const BlockDraft& draft) {
                                  return draft.node[0] == draft.node[1] &&
                                         base::length_m(draft.block.drawn) < kLeastLoop_m;
                                }),
                 blocks.end());
    if (blocks.size() == count) return nodes;
  }
}

bool alike(const BlockDraft& a, const BlockDraft& b) {
  return a.block.street == b.block.street && a.block.street_class == b.block.street_class &&
         a.width_m == b.width_m && a.kind == b.kind;
}

/// Joins blocks where only the drawing was cut.
std::vector<BlockDraft> joined(std::vector<BlockDraft> blocks, std::vector<Junction> nodes) {
  std::vector<std::uint8_t> gone(blocks.size(), 0);
  for (std::size_t n = 0; n < nodes.size(); ++n) {
    if (nodes[n].ends.size() != 2 || nodes[n].ends[0].block == nodes[n].ends[1].block) continue;
    const BlockEnd first = nodes[n].ends[0];
    const BlockEnd second = nodes[n].ends[1];
    BlockDraft& a = blocks[static_cast<std::size_t>(first.block)];
    BlockDraft& b = blocks[static_cast<std::size_t>(second.block)];
    if (!alike(a, b)) continue;
    Polyline one = a.block.drawn;
    Polyline other = b.block.drawn;
    if (first.end == 0) std::reverse(one.begin(), one.end());
    if (second.end == 1) std::reverse(other.begin(), other.end());
    one.insert(one.end(), other.begin() + 1, other.end());
    a.block.drawn = std::move(one);
    a.block.lines.insert(a.block.lines.end(), b.block.lines.begin(), b.block.lines.end());
    const std::int32_t near_node = a.node[first.end == 0 ? 1 : 0];
    const std::int32_t far_node = b.node[second.end == 0 ? 1 : 0];
    for (BlockEnd& e : nodes[static_cast<std::size_t>(near_node)].ends) {
      if (e.block == first.block && e.end != first.end) e.end = 0;
    }
    for (BlockEnd& e : nodes[static_cast<std::size_t>(far_node)].ends) {
      if (e.block == second.block && e.end != second.end) e = {first.block, 1};
    }
    a.node = {near_node, far_node};
    gone[static_cast<std::size_t>(second.block)] = 1;
    nodes[n].ends.clear();
  }
  std::vector<BlockDraft> rest;
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    if (gone[b] == 0) rest.push_back(std::move(blocks[b]));
  }
  return rest;
}

void put_in_order(std::vector<BlockDraft>& blocks) {
  for (BlockDraft& draft : blocks) {
    turn_to_west(draft.block.drawn);
    std::sort(draft.block.lines.begin(), draft.block.lines.end());
    draft.block.lines.erase(std::unique(draft.block.lines.begin(), draft.block.lines.end()),
                            draft.block.lines.end());
  }
  std::sort(blocks.begin(), blocks.end(), [](const BlockDraft& a, const BlockDraft& b) {
    if (a.block.street != b.block.street) return a.block.street < b.block.street;
    return lines_before(a.block.drawn, b.block.drawn);
  });
}

/// Single ends beyond which no ground is known: the street runs on.
void run_on(std::vector<BlockDraft>& blocks, std::vector<Junction>& nodes, const terrain::Ground& ground) {
  for (Junction& node : nodes) {
    if (node.ends.size() != 1) continue;
    BlockDraft& draft = blocks[static_cast<std::size_t>(node.ends[0].block)];
    const int end = node.ends[0].end;
    const Point way = outward(draft.block.drawn, end);
    for (double ahead = 0.0; ahead <= kLookAhead_m + 1e-9; ahead += 0.5 * ground.frame.cell_m) {
      node.leaves_data = node.leaves_data || !has_ground(ground, plus(node.at, times(ahead, way)));
    }
    if (!node.leaves_data) continue;
    node.at = plus(node.at, times(kRunOn_m, way));
    end_point(draft, end) = node.at;
  }
}

/// Distance to the other line of a divided street, by side: found along at least 70 % of the block.
void find_divided(std::vector<BlockDraft>& blocks) {
  constexpr double kStep_m = 10.0;
  constexpr double kNearest_m = 4.0;
  constexpr double kFarthestBeside_m = 40.0;
  std::vector<const Polyline*> lines;
  for (const BlockDraft& draft : blocks) lines.push_back(&draft.block.drawn);
  const LineIndex index(lines, kBin_m);
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    BlockDraft& draft = blocks[b];
    if (draft.block.street.empty()) continue;
    const double length = base::length_m(draft.block.drawn);
    const auto steps = static_cast<int>(std::max(1.0, std::ceil(length / kStep_m)));
    std::array<std::vector<double>, 2> beside;
    for (int k = 0; k < steps; ++k) {
      const double along = length * (k + 0.5) / steps;
      const Point p = base::point_along(draft.block.drawn, along);
      const Point way = unit(minus(base::point_along(draft.block.drawn, along + 1.0),
                                   base::point_along(draft.block.drawn, along - 1.0)));
      std::array<double, 2> nearest{kFarthestBeside_m, kFarthestBeside_m};
      for (const std::int32_t o : index.lines_near(p, kFarthestBeside_m)) {
        const auto other = static_cast<std::size_t>(o);
        if (other == b || blocks[other].block.street != draft.block.street) continue;
        const base::LinePlace place = base::nearest_place(*lines[other], p);
        const Point across = minus(place.at, p);
        const bool square = std::abs(dot(across, way)) < 0.25 * place.offset_m;
        const std::size_t side = cross(way, across) > 0.0 ? 0 : 1;
        if (square && place.offset_m > kNearest_m) nearest[side] = std::min(nearest[side], place.offset_m);
      }
      for (std::size_t side = 0; side < 2; ++side) {
        if (nearest[side] < kFarthestBeside_m) beside[side].push_back(nearest[side]);
      }
    }
    for (std::size_t side = 0; side < 2; ++side) {
      if (static_cast<double>(beside[side].size()) < 0.7 * steps) continue;
      draft.beside_m[side] = median_of(beside[side]);
      draft.block.divided = true;
    }
  }
}

void name_cross_streets(std::vector<BlockDraft>& blocks, const std::vector<Junction>& nodes) {
  for (BlockDraft& draft : blocks) {
    for (std::size_t e = 0; e < 2; ++e) {
      std::string& name = draft.block.cross_streets[e];
      for (const BlockEnd& end : nodes[static_cast<std::size_t>(draft.node[e])].ends) {
        const std::string& other = blocks[static_cast<std::size_t>(end.block)].block.street;
        if (!other.empty() && other != draft.block.street && (name.empty() || other < name)) name = other;
      }
    }
  }
}

/// A street keeps to one pair of names where it bends less than 60° off its main direction.
void name_sides(std::vector<BlockDraft>& blocks) {
  std::map<std::string, Point> axis;  // of the doubled angle, weighted by length
  const auto doubled = [](Point d) { return Point{d.x_m * d.x_m - d.y_m * d.y_m, 2.0 * d.x_m * d.y_m}; };
  const auto span = [](const BlockDraft& draft) {
    return minus(draft.block.drawn.back(), draft.block.drawn.front());
  };
  for (const BlockDraft& draft : blocks) {
    const double length = std::hypot(span(draft).x_m, span(draft).y_m);
    Point& sum = axis[draft.block.street];
    sum = plus(sum, times(length, doubled(unit(span(draft)))));
  }
  for (BlockDraft& draft : blocks) {
    const Point way = unit(span(draft));
    const Point own = doubled(way);
    const Point whole = unit(axis[draft.block.street]);
    constexpr double kFar = -0.5;  // cos(2 · 60°)
    const bool by_street = !draft.block.street.empty() && dot(own, whole) > kFar;
    const bool east_west = (by_street ? whole.x_m : own.x_m) >= -1e-9;
    // Blocks run eastward, or due north.
    const bool left_is_first = east_west ? way.x_m >= 0.0 : way.y_m >= 0.0;
    draft.block.side_names =
        east_west ? std::array<std::string, 2>{"north", "south"} : std::array<std::string, 2>{"west", "east"};
    if (!left_is_first) std::swap(draft.block.side_names[0], draft.block.side_names[1]);
    if (!draft.block.divided) continue;
    for (std::size_t side = 0; side < 2; ++side) {
      if (draft.beside_m[side] && !draft.beside_m[1 - side]) {
        draft.block.side_names[side] = draft.block.side_names[1 - side] + " median";
      }
    }
  }
}

}  // namespace

base::Point outward(const base::Polyline& line, int end) {
  const std::size_t n = line.size();
  return end == 0 ? unit(minus(line[0], line[1])) : unit(minus(line[n - 1], line[n - 2]));
}

BlockNet cut_into_blocks(const std::vector<Centreline>& lines, const terrain::Ground& ground) {
  BlockNet net;
  net.blocks = split(usable_lines(lines, ground, net.unused));
  std::vector<Junction> nodes = settle(net.blocks);
  net.blocks = joined(std::move(net.blocks), std::move(nodes));
  put_in_order(net.blocks);
  net.nodes = settle(net.blocks);
  run_on(net.blocks, net.nodes, ground);
  find_divided(net.blocks);
  name_cross_streets(net.blocks, net.nodes);
  name_sides(net.blocks);
  return net;
}

}  // namespace curbshed::street::detail
