// Order within a step, node by node from upstream to downstream:
// 1. Arrives: own lateral inflow, what comes out of the reaches above, side ways.
// 2. Flow deeper than a side way's beginning leaves by it; pond pairs are evened out in between.
// 3. The node takes: a cut by the on-grade opening into its basin, an inlet likewise, a sag into its pond.
// 4. The rest goes down the reach.
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
constexpr double kNoLimit_m = std::numeric_limits<double>::infinity();

}  // namespace

ChainRun::ChainRun(const ChainModel& model, const EventReaches& reaches, const LateralInflow& lateral,
                   const Storm& storm, const std::vector<std::uint8_t>& open, const ChainState& start,
                   DroppedWater& dropped)
    : model_(model),
      lateral_(lateral),
      storm_(storm),
      dropped_(dropped),
      plan_(plan_chain(model)),
      state_(start) {
  const std::size_t nodes = model.network.size();
  ensure(open.size() == nodes && start.basin_m3.size() == nodes && start.sag_m3.size() == nodes &&
             reaches.travel_s.size() == nodes,
         "one open flag, one state and one travel time a node");
  open_.assign(nodes, 0);
  aside_m3_.assign(nodes, 0.0);
  engaged_.assign(nodes, 0);
  lost_.resize(nodes);
  result_.storm_id = storm.id;
  result_.step_s = storm.step_s;
  result_.nodes.resize(nodes);
  result_.node_ledgers.resize(nodes);
  result_.leaving_m3_s.assign(nodes, std::vector<float>(storm.rain_m.size(), 0.0F));
  first_above_.assign(nodes + 1, 0);
  for (std::size_t n = 0; n < nodes; ++n) {
    const NodeParams& params = model.params[n];
    const NodeKind kind = model.network.kind[n];
    const bool takes = params.opening_m * (1.0 - params.clogging) > 0.0;
    open_[n] = takes && ((kind == NodeKind::Cut && open[n] != 0) || kind == NodeKind::Basin ||
                         (kind == NodeKind::Inlet && !params.blocked))
                   ? 1
                   : 0;
    ensure(kind != NodeKind::Cut || open_[n] != 0 || start.basin_m3[n] == 0.0,
           "a closed cut has no basin with water");
    water_.push_back(node_water(model, n, open_[n] != 0,
                                kind == NodeKind::Cut && open[n] == kOpenBySecondRelation
                                    ? water::OnGradeRelation::FlumeTests
                                    : water::OnGradeRelation::Handbook));
    delay_.push_back(water::delay_split(reaches.travel_s[n], storm.step_s));
    line_.emplace_back(delay_.back());
    if (model.network.downstream[n] >= 0) {
      ++first_above_[at(model.network.downstream[n]) + 1];
    }
    result_.node_ledgers[n].stored_at_start_m3 = start.basin_m3[n] + start.sag_m3[n];
  }
  for (std::size_t n = 0; n < nodes; ++n) {
    first_above_[n + 1] += first_above_[n];
  }
  std::vector<std::int32_t> next(first_above_.begin(), first_above_.end() - 1);
  above_.resize(at(first_above_.back()));
  for (std::size_t n = 0; n < nodes; ++n) {
    if (model.network.downstream[n] >= 0) {
      above_[at(next[at(model.network.downstream[n])]++)] = static_cast<std::int32_t>(n);
    }
  }
  result_.notes.merge(plan_.notes);
}

double ChainRun::pond_level_m(std::size_t sag) const {
  return model_.network.sag_bottom_m[sag] + water::sag_depth_m(water_[sag].sag, state_.sag_m3[sag]);
}

/// Never under the bottom: levels at the curb face and on the ground are read from different cells.
double ChainRun::above_bottom_m(std::size_t sag, double level_m) const {
  return std::max(0.0, level_m - model_.network.sag_bottom_m[sag]);
}

void ChainRun::note_engaged() {
  for (std::size_t sag = 0; sag < water_.size(); ++sag) {
    if (plan_.first_member[sag] == plan_.first_member[sag + 1]) {
      continue;
    }
    const double depth_m = water::sag_depth_m(water_[sag].sag, state_.sag_m3[sag]);
    for (std::int32_t i = plan_.first_member[sag]; i < plan_.first_member[sag + 1]; ++i) {
      const std::size_t member = at(plan_.members[at(i)]);
      engaged_[member] = depth_m > above_bottom_m(sag, model_.network.gutter_level_m[member]) ? 1 : 0;
    }
  }
}

void ChainRun::step(std::size_t k) {
  k_ = k;
  note_engaged();
  for (std::size_t i = 0; i < plan_.order.size(); ++i) {
    const std::size_t node = at(plan_.order[i]);
    if (plan_.pair_of[node] < 0) {
      finish_node(node, over_side_ways(node, collect(node), -1.0, kNoLimit_m));
      continue;
    }
    const PlannedPair& pair = plan_.pairs[at(plan_.pair_of[node])];
    ++i;  // the pair's nodes stand together
    const std::size_t first = at(pair.first);
    const std::size_t second = at(pair.second);
    double first_m3 = over_side_ways(first, collect(first), -1.0, pair.first_depth_m);
    double second_m3 = over_side_ways(second, collect(second), -1.0, pair.second_depth_m);
    share_gutters(pair, first_m3, second_m3);
    first_m3 = over_side_ways(first, first_m3, pair.first_depth_m, kNoLimit_m);
    second_m3 = over_side_ways(second, second_m3, pair.second_depth_m, kNoLimit_m);
    finish_node(first, first_m3);
    finish_node(second, second_m3);
    level_sags(pair);
  }
}

double ChainRun::collect(std::size_t node) {
  double volume_m3 = lateral_.at(k_, node);
  double from_above_m3 = aside_m3_[node];
  aside_m3_[node] = 0.0;
  for (std::int32_t i = first_above_[node]; i < first_above_[node + 1]; ++i) {
    from_above_m3 += line_[at(above_[at(i)])].take();
  }
  volume_m3 += from_above_m3;
  NodeResult& out = result_.nodes[node];
  out.arriving_m3 += volume_m3;
  const double flow_m3_s = volume_m3 / storm_.step_s;
  if (flow_m3_s > out.peak_arriving_m3_s) {
    out.peak_arriving_m3_s = flow_m3_s;
    out.peak_minute = (static_cast<double>(k_) + 0.5) * storm_.step_s / base::kSecondsPerMinute;
  }
  return volume_m3;
}

double ChainRun::over_side_ways(std::size_t node, double volume_m3, double from_depth_m, double to_depth_m) {
  const NodeKind kind = model_.network.kind[node];
  if (kind == NodeKind::Sag || kind == NodeKind::DataEdge || engaged_[node] != 0) {
    return volume_m3;
  }
  for (std::int32_t i = plan_.first_way[node]; i < plan_.first_way[node + 1]; ++i) {
    const PlannedSideWay& way = plan_.ways[at(i)];
    const double keeps_m3 = way.begins_flow_m3_s * storm_.step_s;
    if (!way.pair && way.begins_depth_m > from_depth_m && way.begins_depth_m <= to_depth_m &&
        volume_m3 > keeps_m3) {
      move_aside(node, way.to, volume_m3 - keeps_m3);
      volume_m3 = keeps_m3;
    }
  }
  return volume_m3;
}

void ChainRun::move_aside(std::size_t node, std::int32_t to, double volume_m3) {
  if (volume_m3 <= 0.0) {
    return;
  }
  NodeResult& out = result_.nodes[node];
  if (out.over_curb_m3 == 0.0) {
    out.over_curb_first_minute = static_cast<double>(k_) * storm_.step_s / base::kSecondsPerMinute;
  }
  out.over_curb_m3 += volume_m3;
  const double moved_m3 = dropped_.pass(Process::SideWay, volume_m3);
  if (to >= 0) {
    result_.node_ledgers[node].over_curbs_m3 += volume_m3;
    result_.node_ledgers[at(to)].other_inflow_m3 += volume_m3;
    aside_m3_[at(to)] += moved_m3;
  } else {
    result_.node_ledgers[node].over_curbs_m3 += moved_m3;
    lost_[node].over_curbs_m3 += moved_m3;
    out.to_lots_m3 += volume_m3;
  }
}

void ChainRun::share_gutters(const PlannedPair& pair, double& first_m3, double& second_m3) {
  const std::size_t first = at(pair.first);
  const std::size_t second = at(pair.second);
  if (model_.network.kind[first] == NodeKind::Sag || engaged_[first] != 0 || engaged_[second] != 0) {
    return;
  }
  const double to_second_m3 = moved_to_second_m3(pair, first_m3, second_m3, storm_.step_s);
  const bool forward = to_second_m3 > 0.0;
  const std::size_t from = forward ? first : second;
  const std::size_t to = forward ? second : first;
  move_aside(from, forward ? pair.second : pair.first, std::abs(to_second_m3));
  // The receiver is stepped in this very moment.
  double& gains_m3 = forward ? second_m3 : first_m3;
  double& loses_m3 = forward ? first_m3 : second_m3;
  loses_m3 -= std::abs(to_second_m3);
  gains_m3 += aside_m3_[to];
  result_.nodes[to].arriving_m3 += aside_m3_[to];
  aside_m3_[to] = 0.0;
}

/// Two ponds over one crown stand level above it.
void ChainRun::level_sags(const PlannedPair& pair) {
  const street::Network& network = model_.network;
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
    return water::sag_volume_m3(water_[sag].sag, level_m - network.sag_bottom_m[sag]);
  };
  const double both_m3 = state_.sag_m3[high] + state_.sag_m3[low];
  double level_m = crown_m;
  if (both_m3 > held_m3(high, crown_m) + held_m3(low, crown_m)) {
    level_m = water::lower_root({.low = crown_m, .high = top_m}, [&](double l) {
                return held_m3(high, l) + held_m3(low, l) - both_m3;
              }).at;
  }
  const double moved_m3 = std::max(0.0, state_.sag_m3[high] - held_m3(high, level_m));
  state_.sag_m3[high] -= moved_m3;
  move_aside(high, static_cast<std::int32_t>(low), moved_m3);
  state_.sag_m3[low] += aside_m3_[low];
  result_.nodes[low].arriving_m3 += aside_m3_[low];
  aside_m3_[low] = 0.0;
}

void ChainRun::finish_node(std::size_t node, double volume_m3) {
  NodeResult& out = result_.nodes[node];
  switch (model_.network.kind[node]) {
    case NodeKind::Sag:
      step_sag(node, volume_m3);
      return;
    case NodeKind::DataEdge:
      result_.node_ledgers[node].off_the_edge_m3 += dropped_.pass(Process::Edge, volume_m3);
      break;
    case NodeKind::Outfall: {
      gutter_depth(node, volume_m3);
      const double left_m3 = dropped_.pass(Process::Outfall, volume_m3);
      result_.node_ledgers[node].left_at_outfalls_m3 += left_m3;
      lost_[node].left_m3 += left_m3;
      break;
    }
    case NodeKind::Cut:
    case NodeKind::Basin:
    case NodeKind::Inlet:
      if (engaged_[node] != 0) {
        const std::int32_t sag = model_.network.in_sag[node];
        aside_m3_[at(sag)] += volume_m3;
        result_.node_ledgers[at(sag)].other_inflow_m3 += volume_m3;
        result_.node_ledgers[node].left_at_outfalls_m3 += volume_m3;
        break;
      }
      gutter_depth(node, volume_m3);
      if (open_[node] != 0) {
        volume_m3 = street::has_basin(model_.network.kind[node])
                        ? through_cut(node, volume_m3,
                                      water::depth_at_flow_m(water_[node].gutter, volume_m3 / storm_.step_s))
                        : through_inlet(node, volume_m3);
      }
      send_on(node, volume_m3);
      return;
  }
  // Gone for good, or into the pond at once: no reach.
  out.passed_on_m3 += volume_m3;
  out.peak_leaving_m3_s = std::max(out.peak_leaving_m3_s, volume_m3 / storm_.step_s);
  result_.leaving_m3_s[node][k_] = static_cast<float>(volume_m3 / storm_.step_s);
}

void ChainRun::gutter_depth(std::size_t node, double volume_m3) {
  NodeResult& out = result_.nodes[node];
  const double spread_m = water::spread_at_flow_m(water_[node].gutter, volume_m3 / storm_.step_s);
  out.max_spread_m = std::max(out.max_spread_m, spread_m);
  out.max_depth_m = std::max(out.max_depth_m, spread_m * water_[node].gutter.cross_slope);
}

double ChainRun::through_cut(std::size_t node, double volume_m3, double depth_m) {
  const NodeWater& water = water_[node];
  const water::BasinStep step =
      water::basin_step(water.basin, state_.basin_m3[node],
                        {.step_s = storm_.step_s,
                         .offered_m3_s = water::captured_m3_s(water.opening, volume_m3 / storm_.step_s),
                         .gutter_level_m = depth_m,
                         .other_inflow_m3_s = 0.0,
                         .gutter = &water.gutter});
  book_basin(node, step);
  const double bypass_m3 = volume_m3 - step.entered_m3;
  return dropped_.pass(Process::Opening, bypass_m3) + dropped_.pass(Process::MouthReturn, step.returned_m3);
}

void ChainRun::book_basin(std::size_t node, const water::BasinStep& step) {
  NodeResult& out = result_.nodes[node];
  const double minute = (static_cast<double>(k_) + 1.0) * storm_.step_s / base::kSecondsPerMinute;
  state_.basin_m3[node] = step.volume_m3;
  out.entered_m3 += step.entered_m3;
  out.returned_m3 += step.returned_m3;
  out.infiltrated_m3 += step.infiltrated_m3;
  result_.node_ledgers[node].infiltrated_in_basins_m3 +=
      dropped_.pass(Process::Infiltration, step.infiltrated_m3);
  if (step.over_rim_m3 > 0.0) {
    if (out.over_rim_m3 == 0.0) {
      out.over_rim_first_minute = minute;
    }
    out.over_rim_m3 += step.over_rim_m3;
    result_.node_ledgers[node].over_rims_m3 += dropped_.pass(Process::Rim, step.over_rim_m3);
  }
  const water::RawBasin& basin = water_[node].basin;
  out.max_pool_m = std::max(out.max_pool_m, step.level_m + basin.ponding_m);
  if (out.filled_minute < 0.0 && step.volume_m3 > 0.0 &&
      step.level_m >= std::min(0.0, basin.rim_level_m) - water::kFullWithin_m) {
    out.filled_minute = minute;
  }
  if (!step.resolved) {
    result_.notes.add(base::NoteId::InflowNotResolved, 0.0, model_.network.id[node]);
  }
}

double ChainRun::through_inlet(std::size_t node, double volume_m3) {
  const double flow_m3_s = inlet_takes_m3_s(water_[node], model_.params[node], volume_m3 / storm_.step_s);
  const double taken_m3 = std::min(volume_m3, flow_m3_s * storm_.step_s);
  into_pipe(node, taken_m3);
  return volume_m3 - taken_m3;
}

/// Gone for good, or up again at another node: at once, since a pipe is short and fast.
void ChainRun::into_pipe(std::size_t node, double volume_m3) {
  result_.nodes[node].into_inlet_m3 += volume_m3;
  const double moved_m3 = dropped_.pass(Process::Inlet, volume_m3);
  const std::int32_t to = model_.params[node].pipe_to;
  if (to < 0) {
    result_.node_ledgers[node].into_inlets_m3 += moved_m3;
    lost_[node].into_inlets_m3 += moved_m3;
    return;
  }
  result_.node_ledgers[node].into_inlets_m3 += volume_m3;
  result_.node_ledgers[at(to)].other_inflow_m3 += volume_m3;
  aside_m3_[at(to)] += moved_m3;
}

/// Volume that a member takes in this step from a pond of this depth; negative when its basin gives back.
double ChainRun::taken_from_pond(std::size_t member, double pond_depth_m, water::BasinStep& basin) const {
  const std::size_t sag = at(model_.network.in_sag[member]);
  const NodeWater& water = water_[member];
  if (model_.network.kind[member] == NodeKind::Inlet) {
    const double depth_m = pond_depth_m - above_bottom_m(sag, model_.network.gutter_level_m[member]);
    return inlet_drains_m3_s(water, model_.params[member], depth_m) * storm_.step_s;
  }
  const double invert_m = above_bottom_m(sag, model_.params[member].basin.invert_m);
  basin = water::basin_step(water.basin, state_.basin_m3[member],
                            {.step_s = storm_.step_s,
                             .offered_m3_s = std::numeric_limits<double>::infinity(),
                             .gutter_level_m = std::max(0.0, pond_depth_m - invert_m)});
  return basin.entered_m3 - basin.returned_m3;
}

/// Volume over a sag's side way in this step. A pair's common crown is not one of them: level_sags.
double ChainRun::over_sag_way_m3(const PlannedSideWay& way, double depth_m) const {
  const double head_m = depth_m - std::max(0.0, way.begins_depth_m);
  return way.pair ? 0.0 : water::broad_crest_m2_s(head_m) * kSagSpillWidth_m * storm_.step_s;
}

void ChainRun::step_sag(std::size_t sag, double volume_m3) {
  water::BasinStep basin;
  const auto taken_m3 = [&](double depth_m) {
    double sum = 0.0;
    for (std::int32_t i = plan_.first_way[sag]; i < plan_.first_way[sag + 1]; ++i) {
      sum += over_sag_way_m3(plan_.ways[at(i)], depth_m);
    }
    for (std::int32_t i = plan_.first_member[sag]; i < plan_.first_member[sag + 1]; ++i) {
      const std::size_t member = at(plan_.members[at(i)]);
      if (engaged_[member] != 0 && open_[member] != 0) {
        sum += taken_from_pond(member, depth_m, basin);
      }
    }
    return sum;
  };
  const double into_pond_m3 = dropped_.pass(Process::Sag, volume_m3);
  const water::SagStep step = water::sag_step(water_[sag].sag, state_.sag_m3[sag],
                                              {.step_s = storm_.step_s, .inflow_m3 = into_pond_m3}, taken_m3);
  state_.sag_m3[sag] = step.volume_m3;
  NodeResult& out = result_.nodes[sag];
  out.max_depth_m = std::max(out.max_depth_m, step.depth_m);
  if (!step.resolved) {
    result_.notes.add(base::NoteId::InflowNotResolved, 0.0, model_.network.id[sag]);
  }
  for (std::int32_t i = plan_.first_way[sag]; i < plan_.first_way[sag + 1]; ++i) {
    const PlannedSideWay& way = plan_.ways[at(i)];
    move_aside(sag, way.to, over_sag_way_m3(way, step.depth_m));
  }
  for (std::int32_t i = plan_.first_member[sag]; i < plan_.first_member[sag + 1]; ++i) {
    const std::size_t member = at(plan_.members[at(i)]);
    if (engaged_[member] != 0) {
      book_member(sag, member, step.depth_m);
    }
  }
  send_on(sag, step.spilled_m3);
}

/// The pond gives and takes back: water that comes and goes in the ledgers of both.
void ChainRun::book_member(std::size_t sag, std::size_t member, double pond_depth_m) {
  NodeResult& out = result_.nodes[member];
  const double depth_m = pond_depth_m - above_bottom_m(sag, model_.network.gutter_level_m[member]);
  out.max_depth_m = std::max(out.max_depth_m, depth_m);
  out.max_spread_m = std::max(out.max_spread_m, depth_m / water_[member].gutter.cross_slope);
  if (open_[member] == 0) {
    return;
  }
  water::BasinStep basin;
  const double taken_m3 = taken_from_pond(member, pond_depth_m, basin);
  base::WaterLedger& of_sag = result_.node_ledgers[sag];
  base::WaterLedger& of_member = result_.node_ledgers[member];
  if (model_.network.kind[member] == NodeKind::Inlet) {
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
  state_.sag_m3[sag] -= basin.returned_m3 - dropped_.pass(Process::MouthReturn, basin.returned_m3);
}

void ChainRun::send_on(std::size_t node, double volume_m3) {
  NodeResult& out = result_.nodes[node];
  out.passed_on_m3 += volume_m3;
  const double flow_m3_s = volume_m3 / storm_.step_s;
  out.peak_leaving_m3_s = std::max(out.peak_leaving_m3_s, flow_m3_s);
  result_.leaving_m3_s[node][k_] = static_cast<float>(flow_m3_s);
  const std::int32_t to = model_.network.downstream[node];
  ensure(to >= 0, "a cut, an inlet and a sag have a node downstream");
  result_.node_ledgers[node].left_at_outfalls_m3 += volume_m3;
  result_.node_ledgers[at(to)].other_inflow_m3 += volume_m3;
  line_[node].put(dropped_.pass(Process::Reach, volume_m3), delay_[node]);
}

StormResult ChainRun::finish() {
  base::WaterLedger& all = result_.ledger;
  for (std::size_t n = 0; n < water_.size(); ++n) {
    NodeResult& out = result_.nodes[n];
    base::WaterLedger& own = result_.node_ledgers[n];
    own.rain_on_cells_m3 = lateral_.rain_m3[n];
    own.lost_at_source_m3 = lateral_.lost_m3[n];
    own.on_the_way_m3 = lateral_.on_the_way_m3[n];
    own.in_basins_m3 = state_.basin_m3[n];
    own.in_sags_m3 = state_.sag_m3[n] + aside_m3_[n];
    for (std::int32_t i = first_above_[n]; i < first_above_[n + 1]; ++i) {
      own.in_gutters_m3 += line_[at(above_[at(i)])].stored_m3();
    }
    out.own_runoff_m3 = lateral_.runoff_m3[n];
    const std::int32_t sag = model_.network.in_sag[n];
    if (sag >= 0 && result_.nodes[at(sag)].arriving_m3 > out.arriving_m3) {
      // What comes to the pond comes to everything that stands in it.
      out.arriving_m3 = result_.nodes[at(sag)].arriving_m3;
      out.peak_arriving_m3_s = result_.nodes[at(sag)].peak_arriving_m3_s;
      out.peak_minute = result_.nodes[at(sag)].peak_minute;
    }
    out.captured_m3 = out.entered_m3 - out.returned_m3;
    out.stored_at_end_m3 = state_.basin_m3[n] + own.in_sags_m3;
    out.filled_before_peak = out.filled_minute >= 0.0 && out.filled_minute <= out.peak_minute;
    state_.sag_m3[n] = own.in_sags_m3;
    const double curb_m = model_.network.curb_height_m[n];
    if (sag < 0 && curb_m > 0.0 && out.max_depth_m > curb_m && out.over_curb_m3 == 0.0 &&
        model_.network.kind[n] != NodeKind::Sag) {
      result_.notes.add(base::NoteId::GutterAboveCurb, out.max_depth_m, model_.network.id[n]);
    }
    // The whole system: what only went from node to node is left out.
    base::WaterLedger outside = own;
    outside.other_inflow_m3 = 0.0;
    outside.over_curbs_m3 = lost_[n].over_curbs_m3;
    outside.left_at_outfalls_m3 = lost_[n].left_m3;
    outside.into_inlets_m3 = lost_[n].into_inlets_m3;
    all += outside;
  }
  result_.end = state_;
  return std::move(result_);
}

StormResult run_chain(const ChainModel& model, const EventReaches& reaches, const LateralInflow& lateral,
                      const Storm& storm, const std::vector<std::uint8_t>& open, const ChainState& start,
                      DroppedWater& dropped) {
  ChainRun run(model, reaches, lateral, storm, open, start, dropped);
  for (std::size_t k = 0; k < storm.rain_m.size(); ++k) {
    run.step(k);
  }
  return run.finish();
}

void check_ledgers(const ChainModel& model, const StormResult& result) {
  for (std::size_t n = 0; n < result.node_ledgers.size(); ++n) {
    ensure(result.node_ledgers[n].closes(),
           ("the water ledger of " + model.network.id[n] + " closes").c_str());
  }
  ensure(result.ledger.closes(), "the water ledger closes");
}

}  // namespace curbshed::study
