#include "curbshed/study/storm_trials.hpp"

#include "curbshed/base/error.hpp"

#include "study/chain_run.hpp"

#include <algorithm>
#include <functional>
#include <limits>
#include <numeric>
#include <queue>
#include <utility>

namespace curbshed::study {
namespace {

using base::ensure;
using street::NodeKind;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

constexpr double kNoLimit_m3 = std::numeric_limits<double>::infinity();

/// What a group's time loop writes, one node of it.
struct NodeShelf {
  std::size_t node = 0;
  NodeResult result = {};
  base::WaterLedger ledger = {};
  ChainWork::Lost lost = {};
  double basin_m3 = 0.0;
  double sag_m3 = 0.0;
  double aside_m3 = 0.0;
  double most_gutter_m3 = 0.0;
  double most_basin_m3 = 0.0;
  double in_reach_m3 = 0.0;
  double reach_sent_m3 = 0.0;
  double pipe_sent_m3 = 0.0;
  std::vector<double> reach_m3 = {};
  double in_second_m3 = 0.0;
  double second_sent_m3 = 0.0;
  std::vector<double> second_m3 = {};  // of a shared corner
  std::vector<double> pipe_m3 = {};
  std::vector<float> leaving_m3_s = {};
  std::vector<double> way_sent_m3 = {};
  std::vector<std::vector<double>> way_m3 = {};
};

struct Flipped {
  std::size_t node = 0;
  NodeWater water = {};
};

bool all_zero(const std::vector<double>& series) {
  return std::all_of(series.begin(), series.end(), [](double v) { return v == 0.0; });
}

/// A way that nothing took has no series.
bool same_series(const std::vector<double>& a, const std::vector<double>& b) {
  return a == b || (a.empty() && all_zero(b)) || (b.empty() && all_zero(a));
}

}  // namespace

struct StormTrials::Shared {
  const ChainModel& model;
  Storm storm;
  EventReaches reaches;
  LateralInflow lateral;
  ChainState start;                    // all cuts closed
  ChainState start_open;               // all open
  std::vector<std::int32_t> group_of;  // one a node

  Shared(const ChainModel& chain, const Storm& rain, base::Workers workers)
      : model(chain),
        storm(rain),
        reaches(event_reaches(chain, rain, workers)),
        start(start_state(chain, std::vector<std::uint8_t>(chain.network.size(), 0))),
        start_open(start_state(chain, std::vector<std::uint8_t>(chain.network.size(), 1))) {
    // The ground under every basin counts as if it were there: it is a few m² a cut.
    DroppedWater none;
    lateral = lateral_inflow(chain, reaches.join_travel_s, storm, none, workers,
                             open_basins(chain, std::vector<std::uint8_t>(chain.network.size(), 1)));
  }
};

struct StormTrials::Work {
  const Shared& shared;
  ChainWork chain;
  std::vector<double> weights = {};
  std::vector<std::uint8_t> taker_below =
      {};  // one a group: something that takes stands in it or further down

  explicit Work(const Shared& all)
      : shared(all),
        chain(all.model, all.reaches, all.lateral, all.storm,
              std::vector<std::uint8_t>(all.model.network.size(), 0), all.start) {
    chain.keep_series = true;
  }

  std::size_t groups() const { return chain.plan.first_in_group.size() - 1; }

  template <class Use>
  void each_node(std::size_t group, const Use& use) const {
    for (std::int32_t i = chain.plan.first_in_group[group]; i < chain.plan.first_in_group[group + 1]; ++i) {
      use(at(chain.plan.order[at(i)]));
    }
  }

  template <class Use>
  void each_below(std::size_t group, const Use& use) const {
    each_node(group, [&](std::size_t node) {
      street::each_way_down(shared.model.network, node,
                            [&](const street::WayDown& way) { use(at(shared.group_of[way.to])); });
      for (std::int32_t w = chain.plan.first_way[node]; w < chain.plan.first_way[node + 1]; ++w) {
        if (const std::int32_t to = chain.plan.ways[at(w)].to; to >= 0) {
          use(at(shared.group_of[at(to)]));
        }
      }
      if (const std::int32_t to = shared.model.params[node].pipe_to; to >= 0) {
        use(at(shared.group_of[at(to)]));
      }
    });
  }

  void find_takers() {
    taker_below.assign(groups(), 0);
    for (std::size_t group = groups(); group-- > 0;) {
      each_node(group, [&](std::size_t node) {
        if (chain.open[node] != 0 && street::has_basin(shared.model.network.kind[node])) {
          taker_below[group] = 1;
        }
      });
      each_below(group, [&](std::size_t below) { taker_below[group] |= taker_below[below]; });
    }
  }

  void run(std::size_t group) {
    DroppedWater none;
    base::Notes notes;
    ChainRun(chain, group, none, notes).run();
  }

  /// Puts aside what the group wrote, and leaves it as before its run.
  std::vector<NodeShelf> shelve(std::size_t group) {
    std::vector<NodeShelf> shelf;
    each_node(group, [&](std::size_t node) {
      NodeShelf out{.node = node};
      out.result = std::exchange(chain.result.nodes[node], NodeResult{});
      base::WaterLedger fresh;
      const double starts_m3 = (chain.open[node] != 0 ? shared.start_open : shared.start).basin_m3[node];
      fresh.stored_at_start_m3 = starts_m3 + shared.start.sag_m3[node];
      out.ledger = std::exchange(chain.result.node_ledgers[node], fresh);
      out.lost = std::exchange(chain.lost[node], ChainWork::Lost{});
      out.basin_m3 = std::exchange(chain.state.basin_m3[node], starts_m3);
      out.sag_m3 = std::exchange(chain.state.sag_m3[node], shared.start.sag_m3[node]);
      out.aside_m3 = std::exchange(chain.aside_m3[node], 0.0);
      out.most_gutter_m3 = std::exchange(chain.most_gutter_m3[node], 0.0);
      out.most_basin_m3 = std::exchange(chain.most_basin_m3[node], 0.0);
      out.in_reach_m3 = std::exchange(chain.in_reach_m3[node], 0.0);
      out.reach_sent_m3 = std::exchange(chain.reach_sent_m3[node], 0.0);
      out.pipe_sent_m3 = std::exchange(chain.pipe_sent_m3[node], 0.0);
      out.reach_m3 = std::exchange(chain.reach_m3[node], {});
      out.pipe_m3 = std::exchange(chain.pipe_m3[node], {});
      if (chain.second_of[node] >= 0) {
        const std::size_t second = at(chain.second_of[node]);
        out.in_second_m3 = std::exchange(chain.in_second_m3[second], 0.0);
        out.second_sent_m3 = std::exchange(chain.second_sent_m3[second], 0.0);
        out.second_m3 = std::exchange(chain.second_m3[second], {});
      }
      out.leaving_m3_s = std::exchange(chain.result.leaving_m3_s[node],
                                       std::vector<float>(shared.storm.rain_m.size(), 0.0F));
      for (std::int32_t w = chain.plan.first_way[node]; w < chain.plan.first_way[node + 1]; ++w) {
        out.way_sent_m3.push_back(std::exchange(chain.way_sent_m3[at(w)], 0.0));
        out.way_m3.push_back(std::exchange(chain.way_m3[at(w)], {}));
      }
      shelf.push_back(std::move(out));
    });
    return shelf;
  }

  void put_back(std::vector<NodeShelf>& shelf) {
    for (NodeShelf& from : shelf) {
      const std::size_t node = from.node;
      chain.result.nodes[node] = from.result;
      chain.result.node_ledgers[node] = from.ledger;
      chain.lost[node] = from.lost;
      chain.state.basin_m3[node] = from.basin_m3;
      chain.state.sag_m3[node] = from.sag_m3;
      chain.aside_m3[node] = from.aside_m3;
      chain.most_gutter_m3[node] = from.most_gutter_m3;
      chain.most_basin_m3[node] = from.most_basin_m3;
      chain.in_reach_m3[node] = from.in_reach_m3;
      chain.reach_sent_m3[node] = from.reach_sent_m3;
      chain.pipe_sent_m3[node] = from.pipe_sent_m3;
      chain.reach_m3[node] = std::move(from.reach_m3);
      chain.pipe_m3[node] = std::move(from.pipe_m3);
      if (chain.second_of[node] >= 0) {
        const std::size_t second = at(chain.second_of[node]);
        chain.in_second_m3[second] = from.in_second_m3;
        chain.second_sent_m3[second] = from.second_sent_m3;
        chain.second_m3[second] = std::move(from.second_m3);
      }
      chain.result.leaving_m3_s[node] = std::move(from.leaving_m3_s);
      for (std::size_t w = 0; w < from.way_m3.size(); ++w) {
        const std::size_t way = at(chain.plan.first_way[node]) + w;
        chain.way_sent_m3[way] = from.way_sent_m3[w];
        chain.way_m3[way] = std::move(from.way_m3[w]);
      }
    }
  }

  /// Marks the groups that get something else than before.
  template <class Mark>
  void mark_changed(const std::vector<NodeShelf>& before, const Mark& mark) const {
    const auto tell = [&](std::int32_t node) { mark(at(shared.group_of[at(node)])); };
    for (const NodeShelf& old : before) {
      const std::size_t node = old.node;
      const std::int32_t down = shared.model.network.downstream[node];
      if (down >= 0 && old.reach_m3 != chain.reach_m3[node]) {
        tell(down);
      }
      if (const std::int32_t second = chain.second_of[node];
          second >= 0 && old.second_m3 != chain.second_m3[at(second)]) {
        tell(shared.model.network.second_ways[at(second)].to);
      }
      const std::int32_t pipe = shared.model.params[node].pipe_to;
      if (pipe >= 0 && !same_series(old.pipe_m3, chain.pipe_m3[node])) {
        tell(pipe);
      }
      for (std::size_t w = 0; w < old.way_m3.size(); ++w) {
        const std::size_t way = at(chain.plan.first_way[node]) + w;
        if (chain.plan.ways[way].to >= 0 && !same_series(old.way_m3[w], chain.way_m3[way])) {
          tell(chain.plan.ways[way].to);
        }
      }
    }
  }

  /// Runs again what the flipped nodes change, from upstream to downstream. `all`: down to the last node,
  /// else only while something further down takes. Returns what was there before, group by group.
  /// `no_lower`: not below the last of `nodes`.
  std::vector<std::vector<NodeShelf>> rerun(const std::vector<std::int32_t>& nodes, bool all,
                                            bool no_lower = false) {
    std::vector<std::vector<NodeShelf>> shelves;
    std::priority_queue<std::size_t, std::vector<std::size_t>, std::greater<>> waiting;
    std::size_t last_flipped = 0;
    for (const std::int32_t node : nodes) {
      waiting.push(at(shared.group_of[at(node)]));
      last_flipped = std::max(last_flipped, at(shared.group_of[at(node)]));
    }
    while (!waiting.empty()) {
      const std::size_t group = waiting.top();
      while (!waiting.empty() && waiting.top() == group) {
        waiting.pop();
      }
      shelves.push_back(shelve(group));
      run(group);
      mark_changed(shelves.back(), [&](std::size_t below) {
        if (below != group && (below <= last_flipped || (!no_lower && (all || taker_below[below] != 0)))) {
          waiting.push(below);
        }
      });
    }
    return shelves;
  }

  std::vector<Flipped> turn(const std::vector<std::int32_t>& nodes) {
    std::vector<Flipped> before;
    for (const std::int32_t node : nodes) {
      ensure(node >= 0 && at(node) < shared.model.network.size() &&
                 shared.model.network.kind[at(node)] == NodeKind::Cut,
             "only a cut can be opened or closed");
      before.push_back({at(node), chain.water[at(node)]});
      chain.set_open(at(node), chain.asked[at(node)] != 0 ? 0 : 1);
    }
    return before;
  }

  void turn_back(std::vector<Flipped>& before) {
    for (auto old = before.rbegin(); old != before.rend(); ++old) {
      chain.set_open(old->node, chain.asked[old->node] != 0 ? 0 : 1);
      chain.water[old->node] = std::move(old->water);
    }
  }

  double captured_m3(std::size_t node) const {
    return chain.result.nodes[node].entered_m3 - chain.result.nodes[node].returned_m3;
  }

  double captured_m3() const {
    double sum = 0.0;
    for (std::size_t node = 0; node < chain.result.nodes.size(); ++node) {
      sum += captured_m3(node);
    }
    return sum;
  }

  double kept_m3() const {
    double sum = 0.0;
    for (std::size_t node = 0; node < chain.result.nodes.size(); ++node) {
      const double kept_m3 = captured_m3(node) - chain.result.nodes[node].over_rim_m3;
      sum += weights.empty() ? kept_m3 : weights[node] * kept_m3;
    }
    return sum;
  }
};

StormTrials::StormTrials(const ChainModel& model, const Storm& storm, base::Workers workers) {
  check(model);
  check(storm);
  auto shared = std::make_shared<Shared>(model, storm, workers);
  work_ = std::make_unique<Work>(*shared);
  shared->group_of.assign(model.network.size(), -1);
  for (std::size_t group = 0; group < work_->groups(); ++group) {
    work_->each_node(group,
                     [&](std::size_t node) { shared->group_of[node] = static_cast<std::int32_t>(group); });
  }
  for (std::size_t group = 0; group < work_->groups(); ++group) {
    work_->run(group);
  }
  shared_ = std::move(shared);
  work_->find_takers();
}

StormTrials::StormTrials(const StormTrials& other)
    : shared_(other.shared_), work_(std::make_unique<Work>(*other.work_)) {}
StormTrials::StormTrials(StormTrials&&) noexcept = default;
StormTrials& StormTrials::operator=(StormTrials&&) noexcept = default;
StormTrials::~StormTrials() = default;

const ChainModel& StormTrials::model() const { return shared_->model; }

std::size_t StormTrials::steps() const { return shared_->storm.rain_m.size(); }

double StormTrials::step_s() const { return shared_->storm.step_s; }

void StormTrials::weigh(std::vector<double> weights) {
  ensure(weights.size() == shared_->model.network.size(), "one weight a node");
  work_->weights = std::move(weights);
}

MostTaken StormTrials::most_taken(std::int32_t node) const {
  const std::size_t n = at(node);
  const double step_s = shared_->storm.step_s;
  const NodeWater water = node_water(shared_->model, n, true);
  const bool in_pond = shared_->model.network.in_sag[n] >= 0;
  MostTaken out;
  double most_m3_s = 0.0;
  for (const float leaves : leaving_m3_s(node)) {
    const auto leaves_m3_s = static_cast<double>(leaves);
    most_m3_s = std::max(most_m3_s, leaves_m3_s);
    out.offered_m3.push_back(in_pond ? kNoLimit_m3 : step_s * offered_m3_s(water, leaves_m3_s));
  }
  // The pool never stands above the gutter's water; levels count from a second cut, where there is one.
  const double below_m = invert_below_gutter_m(shared_->model.params[n]) + water.basin.mouth_above_m;
  const double highest_m = std::max(0.0, water::depth_at_flow_m(water.gutter, most_m3_s) + below_m);
  out.room_m3 = in_pond || water.basin.rim_level_m <= highest_m
                    ? kNoLimit_m3
                    : water::basin_volume_m3(water.basin, highest_m);
  const double over_surface_m_s = water.basin.wetted_rate_m_s + water.basin.evaporation_m_s;
  out.soaks_m3_s = water.basin.infiltration_m3_s + over_surface_m_s * water.basin.top_area_m2;
  const std::vector<float>& leaves = leaving_m3_s(node);
  const auto first = std::find_if(leaves.begin(), leaves.end(), [](float flow) { return flow > 0.0F; });
  const double rain_m3 = shared_->storm.depth_m() *
                         shared_->model.params[n].basin.rain_m2;  // holds room that the street's lacks
  const bool from_start = shared_->start_open.basin_m3[n] > 0.0 || rain_m3 > 0.0;
  const auto steps = static_cast<double>(leaves.size());
  const auto dry_steps = static_cast<double>(std::distance(leaves.begin(), first));
  const double wet_steps = from_start ? steps : steps - dry_steps;
  constexpr double kTwice = 2.0;
  const double last_m = std::max(
      0.0, water::depth_at_flow_m(water.gutter, kTwice * static_cast<double>(leaves.back())) + below_m);
  out.keeps_m3 =
      in_pond ? kNoLimit_m3
              : std::max(0.0, water::basin_volume_m3(water.basin, std::min(last_m, water.basin.rim_level_m)) +
                                  out.soaks_m3_s * step_s * wet_steps - rain_m3);
  return out;
}

/// By gutters, side ways and pipes.
bool StormTrials::leads(std::int32_t from, std::int32_t to) const {
  const auto last = at(shared_->group_of[at(to)]);
  std::vector<std::size_t> open_ends{at(shared_->group_of[at(from)])};
  std::vector<std::uint8_t> seen(work_->groups(), 0);
  while (!open_ends.empty()) {
    const std::size_t group = open_ends.back();
    open_ends.pop_back();
    if (group == last) {
      return true;
    }
    work_->each_below(group, [&](std::size_t below) {
      if (below <= last && std::exchange(seen[below], 1) == 0) {
        open_ends.push_back(below);
      }
    });
  }
  return false;
}

WayDown StormTrials::way_down(std::int32_t from, std::int32_t to) const {
  const street::Network& network = shared_->model.network;
  WayDown way{.leads = leads(from, to), .plain = true};
  for (std::int32_t node = from; way.leads && node >= 0; node = network.downstream[at(node)]) {
    const std::size_t n = at(node);
    const ChainPlan& plan = work_->chain.plan;
    for (std::int32_t w = plan.first_way[n]; w < plan.first_way[n + 1]; ++w) {
      way.plain = way.plain && plan.ways[at(w)].to < 0;
    }
    way.plain = way.plain && network.in_sag[n] < 0 && network.kind[n] != NodeKind::Sag &&
                network.kind[n] != NodeKind::Basin && network.kind[n] != NodeKind::Corner &&
                plan.pair_of[n] < 0 && shared_->model.params[n].pipe_to < 0;
    if (node == to) {
      return way;
    }
    way.steps += work_->chain.delay[n].whole;
    ++way.reaches;
  }
  return {.leads = way.leads};
}

bool StormTrials::is_open(std::int32_t node) const { return work_->chain.asked[at(node)] != 0; }

double StormTrials::captured_m3() const { return work_->captured_m3(); }

double StormTrials::over_rim_m3() const {
  double sum = 0.0;
  for (const NodeResult& node : work_->chain.result.nodes) sum += node.over_rim_m3;
  return sum;
}

double StormTrials::kept_m3() const { return work_->kept_m3(); }

double StormTrials::captured_m3(std::int32_t node) const { return work_->captured_m3(at(node)); }

double StormTrials::runoff_m3() const {
  return std::accumulate(shared_->lateral.runoff_m3.begin(), shared_->lateral.runoff_m3.end(), 0.0);
}

double StormTrials::peak_m3_s(std::int32_t node) const {
  return work_->chain.result.nodes[at(node)].peak_leaving_m3_s;
}

const std::vector<float>& StormTrials::leaving_m3_s(std::int32_t node) const {
  return work_->chain.result.leaving_m3_s[at(node)];
}

void StormTrials::flip(const std::vector<std::int32_t>& nodes) {
  work_->turn(nodes);
  work_->rerun(nodes, true);
  work_->find_takers();
}

TrialAnswer StormTrials::tried(const std::vector<std::int32_t>& nodes, const TrialAsked& asked) const {
  // Leaves all as it was, so that the caller sees no change.
  Work& work = *work_;
  TrialAnswer out;
  std::vector<Flipped> flipped = work.turn(nodes);
  std::vector<std::vector<NodeShelf>> shelves = work.rerun(nodes, !asked.outfalls.empty(), asked.own_only);
  if (!asked.own_only) {
    out.captured_m3 = captured_m3();
    out.over_rim_m3 = over_rim_m3();
    out.kept_m3 = kept_m3();
  }
  for (const std::int32_t node : nodes) {
    out.own_m3 += work.captured_m3(at(node));
    out.own_returned_m3 += work.chain.result.nodes[at(node)].returned_m3;
    out.own_given_back_m3 += work.chain.result.nodes[at(node)].given_back_m3;
    out.own_over_rim_m3 += work.chain.result.nodes[at(node)].over_rim_m3;
  }
  for (const std::int32_t node : asked.outfalls) {
    out.peak_m3_s.push_back(peak_m3_s(node));
    if (asked.series) {
      out.leaving_m3_s.push_back(leaving_m3_s(node));
    }
  }
  work.turn_back(flipped);
  for (std::vector<NodeShelf>& shelf : shelves) {
    work.put_back(shelf);
  }
  return out;
}

}  // namespace curbshed::study
