// Order within a step, node by node from upstream to downstream:
// 1. Arrives: own lateral inflow, what comes out of the reaches above, side ways.
// 2. Flow deeper than a side way's beginning leaves by it; pond pairs are evened out in between.
// 3. The node takes: a cut by the on-grade opening into its basin, an inlet likewise, a sag into its pond.
// 4. The rest goes down the reach, at a shared corner by its shares down both.
// A node by itself takes its steps all at once: chain_alone.cpp.
// Members of a sag whose gutter the pond covers pass all to it and take from its surface in its own step.
#include "study/chain_run.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/water/root.hpp"

#include <cmath>
#include <limits>

namespace curbshed::study {
namespace {

using base::ensure;
using street::NodeKind;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

}  // namespace

ChainRun::ChainRun(ChainWork& work, std::size_t group, DroppedWater& dropped, base::Notes& notes)
    : work_(work),
      dropped_(dropped),
      begin_(at(work.plan.first_in_group[group])),
      end_(at(work.plan.first_in_group[group + 1])),
      notes_(notes) {
  for (std::size_t i = begin_; i < end_; ++i) {
    const std::size_t node = at(work_.plan.order[i]);
    work_.stood_m3[node] = -1.0;
    work_.noted_m3[node] = -1.0;
    if (work_.model.network.downstream[node] >= 0) {
      work_.reach_m3[node].assign(work_.storm.rain_m.size(), 0.0);
    }
    if (work_.second_of[node] >= 0) {
      work_.second_m3[at(work_.second_of[node])].assign(work_.storm.rain_m.size(), 0.0);
    }
    if (work_.plan.first_member[node] < work_.plan.first_member[node + 1]) {
      ponds_.push_back(node);
    }
  }
}

double ChainRun::pond_level_m(std::size_t sag) const {
  return work_.model.network.sag_bottom_m[sag] +
         water::sag_depth_m(work_.water[sag].sag, work_.state.sag_m3[sag]);
}

/// Never under the bottom: levels at the curb face and on the ground are read from different cells.
double ChainRun::above_bottom_m(std::size_t sag, double level_m) const {
  return std::max(0.0, level_m - work_.model.network.sag_bottom_m[sag]);
}

void ChainRun::note_engaged() {
  for (const std::size_t sag : ponds_) {
    if (work_.noted_m3[sag] == work_.state.sag_m3[sag]) {
      continue;
    }
    work_.noted_m3[sag] = work_.state.sag_m3[sag];
    const double depth_m = water::sag_depth_m(work_.water[sag].sag, work_.state.sag_m3[sag]);
    for (std::int32_t i = work_.plan.first_member[sag]; i < work_.plan.first_member[sag + 1]; ++i) {
      const std::size_t member = at(work_.plan.members[at(i)]);
      work_.engaged[member] =
          depth_m > above_bottom_m(sag, work_.model.network.gutter_level_m[member]) ? 1 : 0;
    }
  }
}

/// No water stands at the node and none falls into its basin: with nothing arriving, nothing happens there.
bool ChainRun::rests(std::size_t node) const {
  return work_.state.basin_m3[node] == 0.0 && work_.state.sag_m3[node] == 0.0 && own_rain_m3(node, k_) == 0.0;
}

/// Rain that falls into an open basin in a step.
double ChainRun::own_rain_m3(std::size_t node, std::size_t step) const {
  return work_.open[node] != 0 && street::has_basin(work_.model.network.kind[node])
             ? work_.storm.rain_m[step] * work_.model.params[node].basin.rain_m2
             : 0.0;
}

void ChainRun::run() {
  if (stands_alone()) {
    run_alone(at(work_.plan.order[begin_]));
  } else {
    for (k_ = 0; k_ < work_.storm.rain_m.size(); ++k_) {
      step();
    }
  }
  if (work_.keep_series) {
    return;
  }
  // What came here is used up.
  for (std::size_t i = begin_; i < end_; ++i) {
    const std::size_t node = at(work_.plan.order[i]);
    for (std::int32_t a = work_.first_above[node]; a < work_.first_above[node + 1]; ++a) {
      work_.reach_m3[at(work_.above[at(a)])] = {};
    }
    for (std::int32_t s = work_.first_second_into[node]; s < work_.first_second_into[node + 1]; ++s) {
      work_.second_m3[at(work_.second_into[at(s)])] = {};
    }
    for (std::int32_t w = work_.plan.first_into[node]; w < work_.plan.first_into[node + 1]; ++w) {
      work_.way_m3[at(work_.plan.into[at(w)])] = {};
    }
    for (std::int32_t p = work_.plan.first_pipe[node]; p < work_.plan.first_pipe[node + 1]; ++p) {
      work_.pipe_m3[at(work_.plan.pipes[at(p)])] = {};
    }
  }
}

void ChainRun::step() {
  note_engaged();
  for (std::size_t i = begin_; i < end_; ++i) {
    const std::size_t node = at(work_.plan.order[i]);
    if (work_.plan.pair_of[node] >= 0) {
      step_pair(work_.plan.pairs[at(work_.plan.pair_of[node])]);
      ++i;  // the pair's nodes stand together
      continue;
    }
    const double volume_m3 = collect(node);
    if (volume_m3 > 0.0 || !rests(node)) {
      finish_node(node, over_side_ways(node, volume_m3, -1.0, kNoLimit_m));
    }
  }
}

void ChainRun::step_pair(const PlannedPair& pair) {
  const std::size_t first = at(pair.first);
  const std::size_t second = at(pair.second);
  double first_m3 = collect(first);
  double second_m3 = collect(second);
  if (first_m3 == 0.0 && second_m3 == 0.0 && rests(first) && rests(second)) {
    return;
  }
  first_m3 = over_side_ways(first, first_m3, -1.0, pair.first_depth_m);
  second_m3 = over_side_ways(second, second_m3, -1.0, pair.second_depth_m);
  share_gutters(pair, first_m3, second_m3);
  first_m3 = over_side_ways(first, first_m3, pair.first_depth_m, kNoLimit_m);
  second_m3 = over_side_ways(second, second_m3, pair.second_depth_m, kNoLimit_m);
  finish_node(first, first_m3);
  finish_node(second, second_m3);
  level_sags(pair);
}

double ChainRun::collect(std::size_t node) {
  double volume_m3 = work_.lateral.at(k_, node);
  double from_above_m3 = work_.aside_m3[node];
  work_.aside_m3[node] = 0.0;
  for (std::int32_t i = work_.first_above[node]; i < work_.first_above[node + 1]; ++i) {
    from_above_m3 += work_.reach_m3[at(work_.above[at(i)])][k_];
  }
  for (std::int32_t i = work_.first_second_into[node]; i < work_.first_second_into[node + 1]; ++i) {
    from_above_m3 += work_.second_m3[at(work_.second_into[at(i)])][k_];
  }
  for (std::int32_t i = work_.plan.first_into[node]; i < work_.plan.first_into[node + 1]; ++i) {
    const std::vector<double>& way_m3 = work_.way_m3[at(work_.plan.into[at(i)])];
    from_above_m3 += way_m3.empty() ? 0.0 : way_m3[k_];
  }
  for (std::int32_t i = work_.plan.first_pipe[node]; i < work_.plan.first_pipe[node + 1]; ++i) {
    const std::vector<double>& pipe_m3 = work_.pipe_m3[at(work_.plan.pipes[at(i)])];
    from_above_m3 += pipe_m3.empty() ? 0.0 : pipe_m3[k_];
  }
  volume_m3 += from_above_m3;
  NodeResult& out = work_.result.nodes[node];
  out.arriving_m3 += volume_m3;
  const double flow_m3_s = volume_m3 / work_.storm.step_s;
  if (flow_m3_s > out.peak_arriving_m3_s) {
    out.peak_arriving_m3_s = flow_m3_s;
    out.peak_minute = (static_cast<double>(k_) + 0.5) * work_.storm.step_s / base::kSecondsPerMinute;
  }
  return volume_m3;
}

double ChainRun::over_side_ways(std::size_t node, double volume_m3, double from_depth_m, double to_depth_m) {
  const NodeKind kind = work_.model.network.kind[node];
  if (kind == NodeKind::Sag || kind == NodeKind::DataEdge || work_.engaged[node] != 0) {
    return volume_m3;
  }
  for (std::int32_t i = work_.plan.first_way[node]; i < work_.plan.first_way[node + 1]; ++i) {
    const PlannedSideWay& way = work_.plan.ways[at(i)];
    const double keeps_m3 = way.begins_flow_m3_s * work_.storm.step_s;
    if (!way.pair && way.begins_depth_m > from_depth_m && way.begins_depth_m <= to_depth_m &&
        volume_m3 > keeps_m3) {
      over_way(node, i, volume_m3 - keeps_m3);
      volume_m3 = keeps_m3;
    }
  }
  return volume_m3;
}

/// Books what leaves a node by the side; returns what gets to the other.
double ChainRun::move_aside(std::size_t node, std::int32_t to, double volume_m3) {
  if (volume_m3 <= 0.0) {
    return 0.0;
  }
  NodeResult& out = work_.result.nodes[node];
  if (out.over_curb_m3 == 0.0) {
    out.over_curb_first_minute = static_cast<double>(k_) * work_.storm.step_s / base::kSecondsPerMinute;
  }
  out.over_curb_m3 += volume_m3;
  const double moved_m3 = dropped_.pass(Process::SideWay, volume_m3);
  if (to < 0) {
    work_.result.node_ledgers[node].over_curbs_m3 += moved_m3;
    work_.lost[node].over_curbs_m3 += moved_m3;
    out.to_lots_m3 += volume_m3;
    return 0.0;
  }
  work_.result.node_ledgers[node].over_curbs_m3 += volume_m3;
  return moved_m3;
}

void ChainRun::over_way(std::size_t node, std::int32_t way, double volume_m3) {
  const std::int32_t to = work_.plan.ways[at(way)].to;
  const double moved_m3 = move_aside(node, to, volume_m3);
  if (to >= 0 && volume_m3 > 0.0) {
    work_.way_sent_m3[at(way)] += volume_m3;
    add_to(work_.way_m3[at(way)], moved_m3);
  }
}

void ChainRun::add_to(std::vector<double>& series_m3, double volume_m3) const {
  if (series_m3.empty()) {
    series_m3.assign(work_.storm.rain_m.size(), 0.0);
  }
  series_m3[k_] += volume_m3;
}

void ChainRun::share_gutters(const PlannedPair& pair, double& first_m3, double& second_m3) {
  const std::size_t first = at(pair.first);
  const std::size_t second = at(pair.second);
  if (work_.model.network.kind[first] == NodeKind::Sag || work_.engaged[first] != 0 ||
      work_.engaged[second] != 0) {
    return;
  }
  const double to_second_m3 = moved_to_second_m3(pair, first_m3, second_m3, work_.storm.step_s);
  const bool forward = to_second_m3 > 0.0;
  const std::size_t from = forward ? first : second;
  const std::size_t to = forward ? second : first;
  const double volume_m3 = std::abs(to_second_m3);
  const double moved_m3 = move_aside(from, forward ? pair.second : pair.first, volume_m3);
  work_.result.node_ledgers[to].other_inflow_m3 += volume_m3;
  (forward ? first_m3 : second_m3) -= volume_m3;
  (forward ? second_m3 : first_m3) += moved_m3;
  work_.result.nodes[to].arriving_m3 += moved_m3;
}

/// Two ponds over one crown stand level above it.
void ChainRun::level_sags(const PlannedPair& pair) {
  const street::Network& network = work_.model.network;
  std::size_t high = at(pair.first);
  std::size_t low = at(pair.second);
  if (network.kind[high] != NodeKind::Sag) {
    return;
  }
  const double crown_m = std::max(network.sag_bottom_m[high] + pair.first_depth_m,
                                  network.sag_bottom_m[low] + pair.second_depth_m);
  if (pond_level_m(high) < pond_level_m(low)) {
    std::swap(high, low);
  }
  const double top_m = pond_level_m(high);
  if (top_m <= crown_m) {
    return;
  }
  const auto held_m3 = [&](std::size_t sag, double level_m) {
    return water::sag_volume_m3(work_.water[sag].sag, level_m - network.sag_bottom_m[sag]);
  };
  const double both_m3 = work_.state.sag_m3[high] + work_.state.sag_m3[low];
  double level_m = crown_m;
  if (both_m3 > held_m3(high, crown_m) + held_m3(low, crown_m)) {
    level_m = water::lower_root({.low = crown_m, .high = top_m}, [&](double l) {
                return held_m3(high, l) + held_m3(low, l) - both_m3;
              }).at;
  }
  const double moved_m3 = std::max(0.0, work_.state.sag_m3[high] - held_m3(high, level_m));
  work_.state.sag_m3[high] -= moved_m3;
  const double comes_m3 = move_aside(high, static_cast<std::int32_t>(low), moved_m3);
  work_.result.node_ledgers[low].other_inflow_m3 += moved_m3;
  work_.state.sag_m3[low] += comes_m3;
  work_.result.nodes[low].arriving_m3 += comes_m3;
}

void ChainRun::finish_node(std::size_t node, double volume_m3) {
  NodeResult& out = work_.result.nodes[node];
  switch (work_.model.network.kind[node]) {
    case NodeKind::Sag:
      step_sag(node, volume_m3);
      return;
    case NodeKind::DataEdge:
      work_.result.node_ledgers[node].off_the_edge_m3 += dropped_.pass(Process::Edge, volume_m3);
      break;
    case NodeKind::Outfall: {
      gutter_depth(node, volume_m3);
      const double left_m3 = dropped_.pass(Process::Outfall, volume_m3);
      work_.result.node_ledgers[node].left_at_outfalls_m3 += left_m3;
      work_.lost[node].left_m3 += left_m3;
      break;
    }
    case NodeKind::Corner:
      gutter_depth(node, volume_m3);
      send_on(node, volume_m3);
      return;
    case NodeKind::Cut:
    case NodeKind::Basin:
    case NodeKind::Inlet:
      if (work_.engaged[node] != 0) {
        const std::int32_t sag = work_.model.network.in_sag[node];
        work_.aside_m3[at(sag)] += volume_m3;
        work_.result.node_ledgers[at(sag)].other_inflow_m3 += volume_m3;
        work_.result.node_ledgers[node].left_at_outfalls_m3 += volume_m3;
        break;
      }
      gutter_depth(node, volume_m3);
      if (work_.open[node] != 0) {
        volume_m3 = street::has_basin(work_.model.network.kind[node])
                        ? through_cut(node, volume_m3,
                                      water::depth_at_flow_m(work_.water[node].gutter,
                                                             volume_m3 / work_.storm.step_s))
                        : through_inlet(node, volume_m3);
      }
      send_on(node, volume_m3);
      return;
  }
  // Gone for good, or into the pond at once: no reach.
  out.passed_on_m3 += volume_m3;
  out.peak_leaving_m3_s = std::max(out.peak_leaving_m3_s, volume_m3 / work_.storm.step_s);
  work_.result.leaving_m3_s[node][k_] = static_cast<float>(volume_m3 / work_.storm.step_s);
}

void ChainRun::gutter_depth(std::size_t node, double volume_m3) {
  work_.most_gutter_m3[node] = std::max(work_.most_gutter_m3[node], volume_m3);
}

double ChainRun::through_cut(std::size_t node, double volume_m3, double depth_m) {
  const NodeWater& water = work_.water[node];
  return through_basin(node, volume_m3, offered_m3_s(water, volume_m3 / work_.storm.step_s), depth_m);
}

double ChainRun::through_inlet(std::size_t node, double volume_m3) {
  const double flow_m3_s =
      inlet_takes_m3_s(work_.water[node], work_.model.params[node], volume_m3 / work_.storm.step_s);
  const double taken_m3 = std::min(volume_m3, flow_m3_s * work_.storm.step_s);
  into_pipe(node, taken_m3);
  return volume_m3 - taken_m3;
}

/// Gone for good, or up again at another node: at once, since a pipe is short and fast.
void ChainRun::into_pipe(std::size_t node, double volume_m3) {
  work_.result.nodes[node].into_inlet_m3 += volume_m3;
  const double moved_m3 = dropped_.pass(Process::Inlet, volume_m3);
  const std::int32_t to = work_.model.params[node].pipe_to;
  if (to < 0) {
    work_.result.node_ledgers[node].into_inlets_m3 += moved_m3;
    work_.lost[node].into_inlets_m3 += moved_m3;
    return;
  }
  if (volume_m3 > 0.0) {
    work_.result.node_ledgers[node].into_inlets_m3 += volume_m3;
    work_.pipe_sent_m3[node] += volume_m3;
    add_to(work_.pipe_m3[node], moved_m3);
  }
}

/// Volume that a member takes in this step from a pond of this depth; negative when its basin gives back.
double ChainRun::taken_from_pond(std::size_t member, double pond_depth_m, water::BasinStep& basin) const {
  const std::size_t sag = at(work_.model.network.in_sag[member]);
  const NodeWater& water = work_.water[member];
  if (work_.model.network.kind[member] == NodeKind::Inlet) {
    const double depth_m = pond_depth_m - above_bottom_m(sag, work_.model.network.gutter_level_m[member]);
    return inlet_drains_m3_s(water, work_.model.params[member], depth_m) * work_.storm.step_s;
  }
  const double invert_m = above_bottom_m(sag, work_.model.params[member].basin.invert_m);
  basin = water::basin_volume_step(water.basin, work_.state.basin_m3[member],
                                   {.step_s = work_.storm.step_s,
                                    .offered_m3_s = std::numeric_limits<double>::infinity(),
                                    .gutter_level_m = std::max(0.0, pond_depth_m - invert_m),
                                    .other_inflow_m3_s = own_rain_m3(member, k_) / work_.storm.step_s});
  return basin.entered_m3 - basin.returned_m3;
}

/// Volume over a sag's side way in this step. A pair's common crown is not one of them: level_sags.
double ChainRun::over_sag_way_m3(const PlannedSideWay& way, double depth_m) const {
  const double head_m = depth_m - std::max(0.0, way.begins_depth_m);
  return way.pair
             ? 0.0
             : water::crest_m2_s(work_.model.ponded.rim_weir, head_m) * kSagSpillWidth_m * work_.storm.step_s;
}

bool ChainRun::any_engaged(std::size_t sag) const {
  for (std::int32_t i = work_.plan.first_member[sag]; i < work_.plan.first_member[sag + 1]; ++i) {
    if (work_.engaged[at(work_.plan.members[at(i)])] != 0) {
      return true;
    }
  }
  return false;
}

void ChainRun::step_sag(std::size_t sag, double volume_m3) {
  if (volume_m3 == 0.0 && work_.stood_m3[sag] == work_.state.sag_m3[sag] && !any_engaged(sag)) {
    return;  // it stands as before
  }
  water::BasinStep basin;
  const auto taken_m3 = [&](double depth_m) {
    double sum = 0.0;
    for (std::int32_t i = work_.plan.first_way[sag]; i < work_.plan.first_way[sag + 1]; ++i) {
      sum += over_sag_way_m3(work_.plan.ways[at(i)], depth_m);
    }
    for (std::int32_t i = work_.plan.first_member[sag]; i < work_.plan.first_member[sag + 1]; ++i) {
      const std::size_t member = at(work_.plan.members[at(i)]);
      if (work_.engaged[member] != 0 && work_.open[member] != 0) {
        sum += taken_from_pond(member, depth_m, basin);
      }
    }
    return sum;
  };
  const double into_pond_m3 = dropped_.pass(Process::Sag, volume_m3);
  const water::SagStep step =
      water::sag_step(work_.water[sag].sag, work_.state.sag_m3[sag],
                      {.step_s = work_.storm.step_s, .inflow_m3 = into_pond_m3}, taken_m3);
  work_.state.sag_m3[sag] = step.volume_m3;
  work_.stood_m3[sag] = step.taken_m3 == 0.0 && step.spilled_m3 == 0.0 ? step.volume_m3 : -1.0;
  NodeResult& out = work_.result.nodes[sag];
  out.max_depth_m = std::max(out.max_depth_m, step.depth_m);
  if (!step.resolved) {
    notes_.add(base::NoteId::InflowNotResolved, 0.0, work_.model.network.id[sag]);
  }
  for (std::int32_t i = work_.plan.first_way[sag]; i < work_.plan.first_way[sag + 1]; ++i) {
    over_way(sag, i, over_sag_way_m3(work_.plan.ways[at(i)], step.depth_m));
  }
  for (std::int32_t i = work_.plan.first_member[sag]; i < work_.plan.first_member[sag + 1]; ++i) {
    const std::size_t member = at(work_.plan.members[at(i)]);
    if (work_.engaged[member] != 0) {
      book_member(sag, member, step.depth_m);
    }
  }
  send_on(sag, step.spilled_m3);
}

/// The pond gives and takes back: water that comes and goes in the ledgers of both.
void ChainRun::book_member(std::size_t sag, std::size_t member, double pond_depth_m) {
  NodeResult& out = work_.result.nodes[member];
  const water::RawGutter& gutter = work_.water[member].gutter;
  const double depth_m =
      pond_depth_m - above_bottom_m(sag, work_.model.network.gutter_level_m[member]) + water::dip_m(gutter);
  out.max_depth_m = std::max(out.max_depth_m, depth_m);
  out.max_spread_m = std::max(out.max_spread_m, water::spread_at_depth_m(gutter, depth_m));
  if (work_.open[member] == 0) {
    return;
  }
  water::BasinStep basin;
  const double taken_m3 = taken_from_pond(member, pond_depth_m, basin);
  base::WaterLedger& of_sag = work_.result.node_ledgers[sag];
  base::WaterLedger& of_member = work_.result.node_ledgers[member];
  if (work_.model.network.kind[member] == NodeKind::Inlet) {
    into_pipe(member, taken_m3);
    of_member.other_inflow_m3 += taken_m3;
    of_sag.left_at_outfalls_m3 += taken_m3;
    return;
  }
  book_basin(member, basin);
  of_member.other_inflow_m3 += basin.entered_m3;
  of_member.left_at_outfalls_m3 += basin.returned_m3;
  of_sag.left_at_outfalls_m3 += basin.entered_m3;
  of_sag.other_inflow_m3 += basin.returned_m3;
  work_.state.sag_m3[sag] -= basin.returned_m3 - dropped_.pass(Process::MouthReturn, basin.returned_m3);
}

void ChainRun::send_on(std::size_t node, double volume_m3) {
  NodeResult& out = work_.result.nodes[node];
  out.passed_on_m3 += volume_m3;
  const double flow_m3_s = volume_m3 / work_.storm.step_s;
  out.peak_leaving_m3_s = std::max(out.peak_leaving_m3_s, flow_m3_s);
  work_.result.leaving_m3_s[node][k_] = static_cast<float>(flow_m3_s);
  const std::int32_t to = work_.model.network.downstream[node];
  ensure(to >= 0, "a cut, an inlet and a sag have a node downstream");
  work_.result.node_ledgers[node].left_at_outfalls_m3 += volume_m3;
  if (volume_m3 <= 0.0) {
    return;
  }
  if (work_.second_of[node] >= 0) {
    const std::size_t second = at(work_.second_of[node]);
    const double crosses_m3 = volume_m3 * work_.model.network.second_ways[second].share;
    volume_m3 -= crosses_m3;
    work_.second_sent_m3[second] += crosses_m3;
    down_reach(crosses_m3, work_.second_delay[second], work_.second_m3[second], work_.in_second_m3[second]);
  }
  work_.reach_sent_m3[node] += volume_m3;
  down_reach(volume_m3, work_.delay[node], work_.reach_m3[node], work_.in_reach_m3[node]);
}

void ChainRun::down_reach(double volume_m3, const water::DelaySplit& delay, std::vector<double>& series_m3,
                          double& stays_m3) {
  const double goes_m3 = dropped_.pass(Process::Reach, volume_m3);
  const double later_m3 = goes_m3 * delay.later;
  const std::size_t out_at = k_ + delay.whole;
  (out_at < series_m3.size() ? series_m3[out_at] : stays_m3) += goes_m3 - later_m3;
  (out_at + 1 < series_m3.size() ? series_m3[out_at + 1] : stays_m3) += later_m3;
}

StormResult run_chain(const ChainModel& model, const EventReaches& reaches, const LateralInflow& lateral,
                      const Storm& storm, const std::vector<std::uint8_t>& open, const ChainState& start,
                      DroppedWater& dropped, base::Workers workers) {
  ChainWork work(model, reaches, lateral, storm, open, start);
  constexpr std::int64_t kStripes = 16;
  for (std::size_t level = 0; level + 1 < work.plan.first_in_level.size(); ++level) {
    const std::int64_t first = work.plan.first_in_level[level];
    std::vector<base::Notes> notes(static_cast<std::size_t>(kStripes));
    base::parallel_stripes(kStripes, kStripes, workers, [&](std::int64_t stripe, std::int64_t) {
      const std::int64_t groups = work.plan.first_in_level[level + 1] - first;
      for (std::int64_t g = groups * stripe / kStripes; g < groups * (stripe + 1) / kStripes; ++g) {
        ChainRun(work, static_cast<std::size_t>(first + g), dropped, notes[static_cast<std::size_t>(stripe)])
            .run();
      }
    });
    for (const base::Notes& of_stripe : notes) {
      work.result.notes.merge(of_stripe);
    }
  }
  return work.finish();
}

}  // namespace curbshed::study
