#include "street/reaches.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/terrain/ways.hpp"

#include "street/asked_ways.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace curbshed::street::detail {

namespace {

/// Length of a way over cells, by chords of 8 steps: the zigzag of the eight directions is not walked by
/// water.
class ChordLength {
 public:
  ChordLength(const terrain::GridFrame& frame, std::int64_t start)
      : frame_(frame), from_(start), last_(start) {}
  void step(std::int64_t cell) {
    last_ = cell;
    if (++steps_ == kChord) close();
  }
  double finish() {
    close();
    return sum_m_;
  }

 private:
  static constexpr int kChord = 8;
  void close() {
    sum_m_ += base::distance_m(frame_.centre(from_), frame_.centre(last_));
    from_ = last_;
    steps_ = 0;
  }
  const terrain::GridFrame& frame_;
  std::int64_t from_;
  std::int64_t last_;
  int steps_ = 0;
  double sum_m_ = 0.0;
};

/// Along one curb the curb line itself is the measure; the way over cells only tells whether it was followed.
double reach_length(const Network& net, std::size_t n, std::int32_t next, double way_m) {
  constexpr double kSameWay_m = 3.0;
  constexpr double kSameWayShare = 0.1;
  if (next < 0) return way_m;
  const auto to = static_cast<std::size_t>(next);
  if (net.curb[n] < 0 || net.curb[n] != net.curb[to]) return way_m;
  const double along = std::fabs(net.along_curb_m[n] - net.along_curb_m[to]);
  return std::fabs(along - way_m) <= std::max(kSameWay_m, kSameWayShare * along) ? along : way_m;
}

}  // namespace

double chord_length_m(const terrain::GridFrame& frame, const std::vector<std::int64_t>& cells) {
  if (cells.empty()) return 0.0;
  ChordLength way(frame, cells.front());
  for (std::size_t i = 1; i < cells.size(); ++i) way.step(cells[i]);
  return way.finish();
}

terrain::Grid<std::int32_t> paint_receivers(const Scene& scene, const Draft& draft,
                                            const terrain::Depressions& hollows,
                                            const std::vector<std::int32_t>& node_of_hollow) {
  const terrain::GridFrame& f = scene.frame();
  terrain::Grid<std::int32_t> at(f.rows, f.cols, -1);
  for (std::int64_t cell = 0; cell < f.cells(); ++cell) {
    const std::int32_t label = hollows.label[cell];
    if (label >= 0) at[cell] = node_of_hollow[static_cast<std::size_t>(label)];
  }
  const auto stands_alone = [&](std::size_t n) { return !draft.cells[n].empty() && draft.net.in_sag[n] < 0; };
  for (std::size_t n = 0; n < draft.cells.size(); ++n) {
    if (stands_alone(n)) at[draft.cell[n]] = static_cast<std::int32_t>(n);
  }
  struct Claim {
    std::int64_t cell;
    double away_m;
    std::int32_t node;  // provisional numbers follow the cells: the lower gutter cell comes first
  };
  std::vector<Claim> claims;
  for (std::size_t n = 0; n < draft.cells.size(); ++n) {
    if (!stands_alone(n)) continue;
    for (const std::int64_t cell : draft.cells[n]) {
      if (at[cell] < 0)
        claims.push_back(
            {cell, base::distance_m(f.centre(cell), draft.net.at[n]), static_cast<std::int32_t>(n)});
    }
  }
  std::sort(claims.begin(), claims.end(), [](const Claim& a, const Claim& b) {
    return std::tie(a.cell, a.away_m, a.node) < std::tie(b.cell, b.away_m, b.node);
  });
  for (const Claim& claim : claims) {
    if (at[claim.cell] < 0) at[claim.cell] = claim.node;
  }
  return at;
}

namespace {

/// Outfall whose transect each cell is part of, whoever catches water there first: its ways end in all of
/// them. −1 elsewhere.
terrain::Grid<std::int32_t> outfall_at(const Scene& scene, const Draft& draft) {
  terrain::Grid<std::int32_t> at(scene.frame().rows, scene.frame().cols, -1);
  for (std::size_t n = 0; n < draft.cells.size(); ++n) {
    if (draft.net.kind[n] != NodeKind::Outfall) continue;
    for (const std::int64_t cell : draft.cells[n]) {
      if (at[cell] < 0 || cell == draft.cell[n]) at[cell] = static_cast<std::int32_t>(n);
    }
  }
  return at;
}

}  // namespace

void join_chains(const Scene& scene, const terrain::Grid<std::uint8_t>& directions,
                 const terrain::Grid<float>& levels_m, const terrain::Grid<std::int32_t>& receiver_at,
                 Draft& draft) {
  Network& net = draft.net;
  // Steps from a cell to the end of its way: only ponds have cells at one level.
  AskedWays left(
      directions,
      [&](std::int64_t cell) -> std::int64_t {
        if (directions[cell] == terrain::kNoGround) return 0;
        return directions[cell] >= terrain::kStops ? 1 : -1;
      },
      [](std::int64_t) { return std::int64_t{1}; });
  const terrain::Grid<std::int32_t> outfall = outfall_at(scene, draft);
  draft.leaves_at.assign(net.size(), kNowhere);
  for (std::int64_t cell = 0; cell < receiver_at.cells(); ++cell) {
    if (receiver_at[cell] < 0) continue;
    std::int64_t& best = draft.leaves_at[static_cast<std::size_t>(receiver_at[cell])];
    if (best < 0 || levels_m[cell] < levels_m[best] ||
        (!(levels_m[best] < levels_m[cell]) && left.at(cell) < left.at(best)))
      best = cell;
  }
  for (std::size_t n = 0; n < net.size(); ++n) {
    if (net.kind[n] == NodeKind::DataEdge || net.kind[n] == NodeKind::Outfall || net.in_sag[n] >= 0) continue;
    const std::int64_t start = draft.leaves_at[n];
    base::ensure(start >= 0, "every receiver owns at least one cell");
    ChordLength way(scene.frame(), start);
    std::int32_t next = -1;
    std::int64_t last = start;
    for (std::int64_t cell = terrain::next_cell(directions, start); cell >= 0;
         cell = terrain::next_cell(directions, cell)) {
      way.step(cell);
      last = cell;
      const std::int32_t there = receiver_at[cell];
      if (there < 0 || there == static_cast<std::int32_t>(n)) continue;
      next = there;
      break;
    }
    if (next < 0) next = outfall[last];
    net.downstream[n] = next >= 0 ? next : draft.edge();
    net.reach_length_m[n] = reach_length(net, n, next, way.finish());
  }
  for (std::size_t n = 0; n < net.size(); ++n) {
    if (net.in_sag[n] < 0) continue;
    const auto sag = static_cast<std::size_t>(net.in_sag[n]);
    net.downstream[n] = net.downstream[sag];
    net.reach_length_m[n] = net.reach_length_m[sag];
    draft.leaves_at[n] = draft.leaves_at[sag];
  }
}

void measure_gutters(const Scene& scene, const terrain::Grid<std::uint8_t>& directions,
                     const terrain::Grid<std::int32_t>& receiver_at,
                     const terrain::Grid<std::int32_t>& first_receiver, Network& net) {
  constexpr double kParts = 1024.0;
  const terrain::GridFrame& f = scene.frame();
  AskedWays way(
      directions,
      [&](std::int64_t cell) -> std::int64_t {
        return receiver_at[cell] >= 0 || directions[cell] >= terrain::kBearings ? 0 : -1;
      },
      [&](std::int64_t cell) -> std::int64_t {
        if (scene.field.gutter[cell] == 0) return 0;
        return std::lround(terrain::step_m(directions[cell], f.cell_m) * kParts);
      });
  std::vector<std::int64_t> longest(net.size(), 0);
  for (std::int64_t cell = 0; cell < f.cells(); ++cell) {
    if (scene.field.gutter[cell] == 0 || first_receiver[cell] < 0) continue;
    std::int64_t& most = longest[static_cast<std::size_t>(first_receiver[cell])];
    most = std::max(most, way.at(cell));
  }
  for (std::size_t n = 0; n < net.size(); ++n)
    net.upstream_gutter_m[n] = static_cast<double>(longest[n]) / kParts;
}

bool leads_to(const Network& net, std::int32_t node, std::int32_t target) {
  std::vector<std::int32_t> open = {node};
  std::vector<std::int32_t> split;  // nodes whose second way was followed
  while (!open.empty()) {
    node = open.back();
    open.pop_back();
    for (std::size_t guard = 0; node >= 0 && guard <= net.size(); ++guard) {
      if (node == target) return true;
      const SecondWay* second = second_way(net, static_cast<std::size_t>(node));
      if (second != nullptr) {
        if (std::find(split.begin(), split.end(), node) != split.end()) break;
        split.push_back(node);
        open.push_back(second->to);
      }
      node = net.downstream[static_cast<std::size_t>(node)];
    }
  }
  return false;
}

}  // namespace curbshed::street::detail
