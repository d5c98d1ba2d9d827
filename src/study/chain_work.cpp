#include "study/chain_work.hpp"

#include "curbshed/base/error.hpp"

namespace curbshed::study {
namespace {

using base::ensure;
using street::NodeKind;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

}  // namespace

ChainWork::ChainWork(const ChainModel& chain, const EventReaches& reaches, const LateralInflow& inflow,
                     const Storm& rain, const std::vector<std::uint8_t>& asked_open, const ChainState& start)
    : model(chain), lateral(inflow), storm(rain), plan(plan_chain(chain)), state(start) {
  const std::size_t nodes = model.network.size();
  ensure(asked_open.size() == nodes && start.basin_m3.size() == nodes && start.sag_m3.size() == nodes &&
             reaches.travel_s.size() == nodes &&
             reaches.second_travel_s.size() == model.network.second_ways.size(),
         "one open flag, one state and one travel time a node");
  asked = asked_open;
  open.assign(nodes, 0);
  water.resize(nodes);
  aside_m3.assign(nodes, 0.0);
  most_gutter_m3.assign(nodes, 0.0);
  most_basin_m3.assign(nodes, 0.0);
  engaged.assign(nodes, 0);
  stood_m3.assign(nodes, -1.0);
  noted_m3.assign(nodes, -1.0);
  lost.resize(nodes);
  reach_m3.resize(nodes);
  reach_sent_m3.assign(nodes, 0.0);
  in_reach_m3.assign(nodes, 0.0);
  way_m3.resize(plan.ways.size());
  pipe_m3.resize(nodes);
  pipe_sent_m3.assign(nodes, 0.0);
  way_sent_m3.assign(plan.ways.size(), 0.0);
  result.storm_id = storm.id;
  result.step_s = storm.step_s;
  result.nodes.resize(nodes);
  result.node_ledgers.resize(nodes);
  result.leaving_m3_s.assign(nodes, std::vector<float>(storm.rain_m.size(), 0.0F));
  for (std::size_t n = 0; n < nodes; ++n) {
    add_node(n, reaches, start);
  }
  list_above();
  list_second_ways(reaches);
  result.notes.merge(plan.notes);
}

void ChainWork::set_open(std::size_t node, std::uint8_t asked_open) {
  const NodeKind kind = model.network.kind[node];
  asked[node] = asked_open;
  open[node] = takes_water(model, node, asked_open) ? 1 : 0;
  water[node] = node_water(model, node, open[node] != 0,
                           kind == NodeKind::Cut && asked_open == kOpenBySecondRelation
                               ? water::OnGradeRelation::FlumeTests
                               : water::OnGradeRelation::Handbook);
}

void ChainWork::add_node(std::size_t node, const EventReaches& reaches, const ChainState& start) {
  set_open(node, asked[node]);
  ensure(model.network.kind[node] != NodeKind::Cut || open[node] != 0 || start.basin_m3[node] == 0.0,
         "a closed cut has no basin with water");
  delay.push_back(water::delay_split(reaches.travel_s[node], storm.step_s));
  result.node_ledgers[node].stored_at_start_m3 = start.basin_m3[node] + start.sag_m3[node];
}

void ChainWork::list_above() {
  const std::vector<std::int32_t>& downstream = model.network.downstream;
  first_above.assign(downstream.size() + 1, 0);
  for (const std::int32_t next : downstream) {
    if (next >= 0) {
      ++first_above[at(next) + 1];
    }
  }
  for (std::size_t n = 0; n < downstream.size(); ++n) {
    first_above[n + 1] += first_above[n];
  }
  std::vector<std::int32_t> free_place(first_above.begin(), first_above.end() - 1);
  above.resize(at(first_above.back()));
  for (std::size_t n = 0; n < downstream.size(); ++n) {
    if (downstream[n] >= 0) {
      above[at(free_place[at(downstream[n])]++)] = static_cast<std::int32_t>(n);
    }
  }
}

void ChainWork::list_second_ways(const EventReaches& reaches) {
  const std::vector<street::SecondWay>& ways = model.network.second_ways;
  second_of.assign(model.network.size(), -1);
  first_second_into.assign(model.network.size() + 1, 0);
  for (std::size_t i = 0; i < ways.size(); ++i) {
    second_of[at(ways[i].from)] = static_cast<std::int32_t>(i);
    second_delay.push_back(water::delay_split(reaches.second_travel_s[i], storm.step_s));
    ++first_second_into[at(ways[i].to) + 1];
  }
  for (std::size_t n = 0; n < model.network.size(); ++n) {
    first_second_into[n + 1] += first_second_into[n];
  }
  std::vector<std::int32_t> free_place(first_second_into.begin(), first_second_into.end() - 1);
  second_into.resize(ways.size());
  for (std::size_t i = 0; i < ways.size(); ++i) {
    second_into[at(free_place[at(ways[i].to)]++)] = static_cast<std::int32_t>(i);
  }
  second_m3.resize(ways.size());
  in_second_m3.assign(ways.size(), 0.0);
  second_sent_m3.assign(ways.size(), 0.0);
}

void ChainWork::finish_node(std::size_t n) {
  NodeResult& out = result.nodes[n];
  base::WaterLedger& own = result.node_ledgers[n];
  own.rain_on_cells_m3 = lateral.rain_m3[n];
  own.lost_at_source_m3 = lateral.lost_m3[n];
  own.on_the_way_m3 = lateral.on_the_way_m3[n];
  own.in_basins_m3 = state.basin_m3[n];
  if (!lateral.on_lots.empty()) {
    const LateralInflow::OnLots& lots = lateral.on_lots[n];
    own.stored_at_start_m3 += lots.at_start_m3;
    own.screened_off_m3 = lots.screened_m3;
    own.first_flush_m3 = lots.flushed_m3;
    own.taken_by_trees_and_uses_m3 = lots.used_m3;
    own.infiltrated_on_lots_m3 = lots.soaked_m3;
    own.in_tanks_m3 = lots.in_tanks_m3;
    own.in_lot_basins_m3 = lots.in_basins_m3;
  }
  own.in_sags_m3 = state.sag_m3[n] + aside_m3[n];
  for (std::int32_t i = first_above[n]; i < first_above[n + 1]; ++i) {
    own.in_gutters_m3 += in_reach_m3[at(above[at(i)])];
    own.other_inflow_m3 += reach_sent_m3[at(above[at(i)])];
  }
  for (std::int32_t i = first_second_into[n]; i < first_second_into[n + 1]; ++i) {
    own.in_gutters_m3 += in_second_m3[at(second_into[at(i)])];
    own.other_inflow_m3 += second_sent_m3[at(second_into[at(i)])];
  }
  for (std::int32_t i = plan.first_into[n]; i < plan.first_into[n + 1]; ++i) {
    own.other_inflow_m3 += way_sent_m3[at(plan.into[at(i)])];
  }
  for (std::int32_t i = plan.first_pipe[n]; i < plan.first_pipe[n + 1]; ++i) {
    own.other_inflow_m3 += pipe_sent_m3[at(plan.pipes[at(i)])];
  }
  out.own_runoff_m3 = lateral.runoff_m3[n];
  if (most_gutter_m3[n] > 0.0) {
    const double depth_m = water::depth_at_flow_m(water[n].gutter, most_gutter_m3[n] / storm.step_s);
    out.max_spread_m = std::max(out.max_spread_m, water::spread_at_depth_m(water[n].gutter, depth_m));
    out.max_depth_m = std::max(out.max_depth_m, depth_m);
  }
  const std::int32_t sag = model.network.in_sag[n];
  if (sag >= 0 && result.nodes[at(sag)].arriving_m3 > out.arriving_m3) {
    // What comes to the pond comes to everything that stands in it.
    out.arriving_m3 = result.nodes[at(sag)].arriving_m3;
    out.peak_arriving_m3_s = result.nodes[at(sag)].peak_arriving_m3_s;
    out.peak_minute = result.nodes[at(sag)].peak_minute;
  }
  out.captured_m3 = out.entered_m3 - out.returned_m3;
  out.stored_at_end_m3 = state.basin_m3[n] + own.in_sags_m3;
  out.filled_before_peak = out.filled_minute >= 0.0 && out.filled_minute <= out.peak_minute;
  state.sag_m3[n] = own.in_sags_m3;
  const double curb_m = model.network.curb_height_m[n];
  const double over_line_m = out.max_depth_m - water::dip_m(water[n].gutter);  // as curb heights are counted
  if (sag < 0 && curb_m > 0.0 && over_line_m > curb_m && out.over_curb_m3 == 0.0 &&
      model.network.kind[n] != NodeKind::Sag) {
    result.notes.add(base::NoteId::GutterAboveCurb, out.max_depth_m, model.network.id[n]);
  }
}

StormResult ChainWork::finish() {
  for (std::size_t n = 0; n < water.size(); ++n) {
    finish_node(n);
    // The whole system: what only went from node to node is left out.
    base::WaterLedger outside = result.node_ledgers[n];
    outside.other_inflow_m3 = 0.0;
    outside.over_curbs_m3 = lost[n].over_curbs_m3;
    outside.left_at_outfalls_m3 = lost[n].left_m3;
    outside.into_inlets_m3 = lost[n].into_inlets_m3;
    result.ledger += outside;
  }
  state.tanks = lateral.tanks;
  result.lots = lateral.lots;
  result.end = state;
  return std::move(result);
}

void check_ledgers(const ChainModel& model, const StormResult& result) {
  for (std::size_t n = 0; n < result.node_ledgers.size(); ++n) {
    ensure(result.node_ledgers[n].closes(),
           ("the water ledger of " + model.network.id[n] + " closes").c_str());
  }
  ensure(result.ledger.closes(), "the water ledger closes");
}

}  // namespace curbshed::study
