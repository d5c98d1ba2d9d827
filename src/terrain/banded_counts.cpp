#include "terrain/banded_counts.hpp"

#include "curbshed/terrain/ways.hpp"

namespace curbshed::terrain {

namespace {

/// Ends the ways at the rims of a band, so that it is a raster of its own.
void cut_ways(Grid<std::uint8_t>& directions) {
  for (const bool top : {true, false}) {
    std::uint8_t* row = &directions.at(top ? 0 : directions.rows() - 1, 0);
    for (std::int64_t c = 0; c < directions.cols(); ++c) {
      if (row[c] < kStops && kRowStep[row[c]] == (top ? -1 : 1)) row[c] = kStops;
    }
  }
}

/// The exits of one band and of all above it in a row: up exits, exits of what lies above, down exits. Each
/// leads to at most one other.
class ExitGraph {
 public:
  ExitGraph(const FlowAbove& above, const BandFlow& band)
      : cols_(static_cast<std::int32_t>(band.down.size())) {
    const auto n = static_cast<std::size_t>(cols_);
    next_.assign(3 * n, kEnds);
    cells_.assign(3 * n, 0);
    for (std::size_t c = 0; c < n; ++c) {
      if (!above.down.empty()) {
        const std::int32_t to = band.up[c].to;
        const std::int32_t exit = to < 0 ? -1 : above.from_last[static_cast<std::size_t>(to)];
        if (exit >= 0) next_[c] = cols_ + exit;
        const std::int32_t into = above.down[c].to;
        if (into >= 0) next_[n + c] = exit_of(band.from_first[static_cast<std::size_t>(into)]);
        cells_[n + c] = above.down[c].cells;
      }
      cells_[c] = band.up[c].cells;
      cells_[2 * n + c] = band.down[c].cells;
    }
    put_in_order();
  }

  void add(std::int32_t code, std::int64_t cells) {
    if (code >= 0) cells_[static_cast<std::size_t>(exit_of(code))] += cells;
  }
  void run() {
    for (const std::int32_t exit : order_) {
      const std::int32_t next = next_[static_cast<std::size_t>(exit)];
      if (next != kEnds) cells_[static_cast<std::size_t>(next)] += cells_[static_cast<std::size_t>(exit)];
    }
  }
  std::int64_t up_cells(std::size_t c) const { return cells_[c]; }
  std::int64_t above_cells(std::size_t c) const { return cells_[static_cast<std::size_t>(cols_) + c]; }
  std::int64_t down_cells(std::size_t c) const { return cells_[2 * static_cast<std::size_t>(cols_) + c]; }

  /// The down exit at which water leaves that reaches an exit; −1 none.
  std::vector<std::int32_t> ends() const {
    std::vector<std::int32_t> end(next_.size(), -1);
    for (std::int32_t c = 0; c < cols_; ++c) end[static_cast<std::size_t>(2 * cols_ + c)] = c;
    for (auto exit = order_.rbegin(); exit != order_.rend(); ++exit) {
      const std::int32_t next = next_[static_cast<std::size_t>(*exit)];
      if (next != kEnds) end[static_cast<std::size_t>(*exit)] = end[static_cast<std::size_t>(next)];
    }
    return end;
  }
  std::int32_t exit_of(std::int32_t code) const {
    if (code < 0) return kEnds;
    return code < cols_ ? code : code + cols_;
  }

 private:
  static constexpr std::int32_t kEnds = -1;

  void put_in_order() {
    std::vector<std::int32_t> count(next_.size(), 0);
    for (const std::int32_t next : next_) {
      if (next != kEnds) ++count[static_cast<std::size_t>(next)];
    }
    for (std::size_t exit = 0; exit < next_.size(); ++exit) {
      if (count[exit] == 0) order_.push_back(static_cast<std::int32_t>(exit));
    }
    for (std::size_t i = 0; i < order_.size(); ++i) {
      const std::int32_t next = next_[static_cast<std::size_t>(order_[i])];
      if (next != kEnds && --count[static_cast<std::size_t>(next)] == 0) order_.push_back(next);
    }
    if (order_.size() != next_.size()) throw base::BugError("water never runs in a circle");
  }

  std::int32_t cols_;
  std::vector<std::int32_t> next_;
  std::vector<std::int64_t> cells_;
  std::vector<std::int32_t> order_;
};

}  // namespace

JoinedFlow join_flows(const FlowAbove& above, const BandFlow& band,
                      const std::vector<std::int64_t>& from_below) {
  const std::size_t cols = band.down.size();
  ExitGraph exits(above, band);
  for (std::size_t c = 0; c < from_below.size(); ++c) exits.add(band.from_last[c], from_below[c]);
  exits.run();
  JoinedFlow joined;
  joined.flow.down = band.down;
  joined.into_first.assign(cols, 0);
  joined.into_last_above.assign(cols, 0);
  const std::vector<std::int32_t> ends = exits.ends();
  for (std::size_t c = 0; c < cols; ++c) {
    joined.flow.down[c].cells = exits.down_cells(c);
    const std::int32_t exit = exits.exit_of(band.from_last[c]);
    joined.flow.from_last.push_back(exit < 0 ? -1 : ends[static_cast<std::size_t>(exit)]);
    if (band.up[c].to >= 0)
      joined.into_last_above[static_cast<std::size_t>(band.up[c].to)] += exits.up_cells(c);
    if (!above.down.empty() && above.down[c].to >= 0) {
      joined.into_first[static_cast<std::size_t>(above.down[c].to)] += exits.above_cells(c);
    }
  }
  return joined;
}

BandedCounts::BandedCounts(const Bands& bands, ByteStore& directions, ByteStore& counts, Notes& notes,
                           int threads)
    : bands_(bands),
      directions_(directions),
      counts_(counts),
      notes_(notes),
      threads_(threads),
      kept_(static_cast<std::size_t>(bands.count())) {
  base::ensure(bands.frame.cols < (std::int64_t{1} << 29), "32 bits count the exits of a band");
}

Grid<std::uint8_t> BandedCounts::read(std::int64_t band) {
  Grid<std::uint8_t> directions(bands_.rows(band), bands_.frame.cols);
  directions_.read(bands_.cell0(band), directions.data(), directions.cells());
  return directions;
}

BandFlow BandedCounts::flow_through(std::int64_t band) {
  const auto cols = static_cast<std::int32_t>(bands_.frame.cols);
  Grid<std::uint8_t> directions = read(band);
  const std::int64_t last = directions.rows() - 1;
  BandFlow flow;
  flow.up.resize(static_cast<std::size_t>(cols));
  flow.down.resize(static_cast<std::size_t>(cols));
  for (std::int32_t c = 0; c < cols; ++c) {
    const std::uint8_t first_d = directions.at(0, c);
    const std::uint8_t last_d = directions.at(last, c);
    const auto n = static_cast<std::size_t>(c);
    if (first_d < kStops && kRowStep[first_d] < 0) flow.up[n].to = c + kColStep[first_d];
    if (last_d < kStops && kRowStep[last_d] > 0) flow.down[n].to = c + kColStep[last_d];
  }
  cut_ways(directions);
  const WorkPlan plan{threads_, 0, 0};
  {
    const Grid<std::int64_t> counts = cells_arriving(directions, plan);
    for (std::int32_t c = 0; c < cols; ++c) {
      const auto n = static_cast<std::size_t>(c);
      if (flow.up[n].to >= 0) flow.up[n].cells = counts.at(0, c);
      if (flow.down[n].to >= 0) flow.down[n].cells = counts.at(last, c);
    }
  }
  Grid<std::int32_t> exit_at(directions.rows(), cols, -1);
  for (std::int32_t c = 0; c < cols; ++c) {
    const auto n = static_cast<std::size_t>(c);
    if (flow.up[n].to >= 0) exit_at.at(0, c) = c;
    if (flow.down[n].to >= 0) exit_at.at(last, c) = cols + c;
  }
  const Grid<std::int32_t> exit_of = first_receivers(directions, exit_at, plan);
  flow.from_first.assign(&exit_of.at(0, 0), &exit_of.at(0, 0) + cols);
  flow.from_last.assign(&exit_of.at(last, 0), &exit_of.at(last, 0) + cols);
  return flow;
}

void BandedCounts::down(std::int64_t band) {
  if (bands_.count() == 1) return;  // nothing crosses a rim
  const BandFlow flow = flow_through(band);
  kept_[static_cast<std::size_t>(band)] = {notes_.keep(flow.up),         notes_.keep(flow.down),
                                           notes_.keep(flow.from_first), notes_.keep(flow.from_last),
                                           notes_.keep(above_.down),     notes_.keep(above_.from_last)};
  above_ = join_flows(above_, flow, {}).flow;
}

void BandedCounts::up(std::int64_t band) {
  const std::int64_t cols = bands_.frame.cols;
  const Kept& kept = kept_[static_cast<std::size_t>(band)];
  const FlowAbove above{notes_.read<BandFlow::Exit>(kept.above_down),
                        notes_.read<std::int32_t>(kept.above_from_last)};
  const BandFlow flow{notes_.read<BandFlow::Exit>(kept.up), notes_.read<BandFlow::Exit>(kept.down),
                      notes_.read<std::int32_t>(kept.from_first), notes_.read<std::int32_t>(kept.from_last)};
  const bool alone = bands_.count() == 1;
  JoinedFlow joined;
  if (!alone) joined = join_flows(above, flow, from_below_);
  Grid<std::uint8_t> directions = read(band);
  cut_ways(directions);
  std::vector<Inflow> inflows;
  const std::int64_t last = (directions.rows() - 1) * cols;
  for (std::int64_t c = 0; c < (alone ? 0 : cols); ++c) {
    const auto n = static_cast<std::size_t>(c);
    if (joined.into_first[n] != 0) inflows.push_back({c, joined.into_first[n]});
    if (!from_below_.empty() && from_below_[n] != 0) inflows.push_back({last + c, from_below_[n]});
  }
  const Grid<std::int64_t> counts = cells_arriving(directions, inflows, {threads_, 0, 0});
  from_below_ = std::move(joined.into_last_above);
  const int width = bytes_a_count(bands_.frame);
  if (width == 8) {
    counts_.write(8 * bands_.cell0(band), counts.data(), 8 * counts.cells());
    return;
  }
  std::vector<std::uint32_t> row(static_cast<std::size_t>(cols));
  for (std::int64_t r = 0; r < counts.rows(); ++r) {
    for (std::int64_t c = 0; c < cols; ++c) {
      row[static_cast<std::size_t>(c)] = static_cast<std::uint32_t>(counts.at(r, c));
    }
    counts_.write(4 * (bands_.cell0(band) + r * cols), row.data(), 4 * cols);
  }
}

}  // namespace curbshed::terrain
