#include "study/chain_plan.hpp"

#include "curbshed/base/error.hpp"

#include "study/node_water.hpp"

#include <algorithm>
#include <array>
#include <functional>
#include <queue>
#include <utility>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/strong_components.hpp>

namespace curbshed::study {
namespace {

using street::Network;
using street::NodeKind;
using street::SideWay;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

/// Nodes joined to groups of one or two; the order of groups by Kahn, the lowest number first.
class Ordering {
 public:
  explicit Ordering(const Network& network)
      : group_(network.size()), other_(network.size(), -1), later_(network.size()), seen_(network.size(), 0) {
    for (std::size_t n = 0; n < group_.size(); ++n) {
      group_[n] = static_cast<std::int32_t>(n);
      street::each_way_down(network, n, [&](const street::WayDown& way) {
        later_[n].push_back(static_cast<std::int32_t>(way.to));
      });
    }
    for (const SideWay& way : network.side_ways) {
      if (way.to > way.from) {
        later_[at(way.from)].push_back(way.to);
      }
    }
  }

  bool joined(std::int32_t a, std::int32_t b) const { return group_[at(a)] == group_[at(b)]; }

  /// Puts the pair in one group if neither stands in one and an order then still exists.
  bool join(std::int32_t low, std::int32_t high) {
    if (in_pair(low) || in_pair(high) || leads_by_others(low, high) || leads_by_others(high, low)) {
      return false;
    }
    group_[at(high)] = low;
    other_[at(low)] = high;
    return true;
  }

  /// Shorter than the network when there is a circle.
  std::vector<std::int32_t> order() const {
    std::vector<std::int32_t> waiting(group_.size(), 0);
    for (std::size_t n = 0; n < group_.size(); ++n) {
      for (const std::int32_t to : later_[n]) {
        if (group_[n] != group_[at(to)]) {
          ++waiting[at(group_[at(to)])];
        }
      }
    }
    return by_group(waiting);
  }

 private:
  bool in_pair(std::int32_t n) const { return group_[at(n)] != n || other_[at(n)] >= 0; }

  /// Whether a way leads from one node to the other over at least one more: then the two cannot stand
  /// together.
  bool leads_by_others(std::int32_t from, std::int32_t to) {
    ++look_;
    std::vector<std::int32_t> open;
    const auto go_on = [&](std::int32_t node) {
      for (const std::int32_t next : later_[at(node)]) {
        const std::int32_t group = group_[at(next)];
        if (!(node == from && next == to) && seen_[at(group)] != look_) {
          seen_[at(group)] = look_;
          open.push_back(group);
        }
      }
    };
    go_on(from);
    while (!open.empty()) {
      const std::int32_t group = open.back();
      open.pop_back();
      if (group == to) {
        return true;
      }
      go_on(group);
      if (other_[at(group)] >= 0) {
        go_on(other_[at(group)]);
      }
    }
    return false;
  }

  std::vector<std::int32_t> by_group(std::vector<std::int32_t>& waiting) const {
    std::priority_queue<std::int32_t, std::vector<std::int32_t>, std::greater<>> ready;
    for (std::size_t n = 0; n < group_.size(); ++n) {
      if (group_[n] == static_cast<std::int32_t>(n) && waiting[n] == 0) {
        ready.push(static_cast<std::int32_t>(n));
      }
    }
    std::vector<std::int32_t> order;
    while (!ready.empty()) {
      const std::int32_t group = ready.top();
      ready.pop();
      order.push_back(group);
      const auto let_go = [&](std::int32_t node) {
        for (const std::int32_t to : later_[at(node)]) {
          const std::int32_t next = group_[at(to)];
          if (next != group && --waiting[at(next)] == 0) {
            ready.push(next);
          }
        }
      };
      let_go(group);
      if (other_[at(group)] >= 0) {
        order.push_back(other_[at(group)]);
        let_go(other_[at(group)]);
      }
    }
    return order;
  }

  std::vector<std::int32_t> group_;               // lowest node of the group
  std::vector<std::int32_t> other_;               // second node of the group, at its lowest; −1
  std::vector<std::vector<std::int32_t>> later_;  // by node
  std::vector<std::int32_t> seen_;                // by group: the last look that met it
  std::int32_t look_ = 0;
};

double way_depth(const Network& network, std::int32_t from, std::int32_t to) {
  for (const SideWay& way : network.side_ways) {
    if (way.from == from && way.to == to) {
      return way.begins_depth_m;
    }
  }
  return -1.0;
}

void plan_pairs(const ChainModel& model, Ordering& ordering, ChainPlan& plan) {
  const Network& network = model.network;
  plan.pair_of.assign(network.size(), -1);
  for (const auto& [a, b] : network.pond_pairs) {
    const std::int32_t first = std::min(a, b);
    const std::int32_t second = std::max(a, b);
    const double first_depth = way_depth(network, first, second);
    const double second_depth = way_depth(network, second, first);
    base::ensure(first_depth >= 0.0 && second_depth >= 0.0, "a pond pair has a side way each way");
    const bool one_kind =
        (network.kind[at(first)] == NodeKind::Sag) == (network.kind[at(second)] == NodeKind::Sag);
    if (!one_kind || !ordering.join(first, second)) {
      continue;  // the way back falls away in plan_ways
    }
    plan.pair_of[at(first)] = static_cast<std::int32_t>(plan.pairs.size());
    plan.pair_of[at(second)] = static_cast<std::int32_t>(plan.pairs.size());
    PlannedPair pair;
    pair.first = first;
    pair.second = second;
    pair.first_depth_m = first_depth;
    pair.second_depth_m = second_depth;
    pair.first_flow_m3_s = gutter_flow_m3_s(model.params[at(first)], first_depth);
    pair.second_flow_m3_s = gutter_flow_m3_s(model.params[at(second)], second_depth);
    plan.pairs.push_back(pair);
  }
}

void plan_ways(const ChainModel& model, const Ordering& ordering, ChainPlan& plan) {
  const Network& network = model.network;
  std::vector<std::int32_t> place(network.size());
  for (std::size_t i = 0; i < plan.order.size(); ++i) {
    place[at(plan.order[i])] = static_cast<std::int32_t>(i);
  }
  std::vector<SideWay> sorted = network.side_ways;
  std::stable_sort(sorted.begin(), sorted.end(), [](const SideWay& a, const SideWay& b) {
    return a.from != b.from ? a.from < b.from : a.begins_depth_m < b.begins_depth_m;
  });
  plan.first_way.assign(network.size() + 1, 0);
  for (const SideWay& way : sorted) {
    const bool pair = way.to >= 0 && ordering.joined(way.from, way.to);
    if (!pair && way.to >= 0 && place[at(way.to)] <= place[at(way.from)]) {
      plan.notes.add(base::NoteId::SideWayDropped, way.begins_depth_m, network.id[at(way.from)]);
      continue;
    }
    plan.ways.push_back(
        {way.to, way.begins_depth_m, gutter_flow_m3_s(model.params[at(way.from)], way.begins_depth_m), pair});
    ++plan.first_way[at(way.from) + 1];
  }
  for (std::size_t n = 0; n < network.size(); ++n) {
    plan.first_way[n + 1] += plan.first_way[n];
  }
}

void plan_members(const Network& network, ChainPlan& plan) {
  plan.first_member.assign(network.size() + 1, 0);
  for (const std::int32_t sag : network.in_sag) {
    if (sag >= 0) {
      ++plan.first_member[at(sag) + 1];
    }
  }
  for (std::size_t n = 0; n < network.size(); ++n) {
    plan.first_member[n + 1] += plan.first_member[n];
  }
  std::vector<std::int32_t> next(plan.first_member.begin(), plan.first_member.end() - 1);
  plan.members.resize(at(plan.first_member.back()));
  for (std::size_t n = 0; n < network.size(); ++n) {
    if (network.in_sag[n] >= 0) {
      plan.members[at(next[at(network.in_sag[n])]++)] = static_cast<std::int32_t>(n);
    }
  }
}

void list_ways_into(ChainPlan& plan) {
  const std::size_t nodes = plan.order.size();
  const auto counts = [](const PlannedSideWay& way) { return way.to >= 0 && !way.pair; };
  plan.first_into.assign(nodes + 1, 0);
  for (const PlannedSideWay& way : plan.ways) {
    if (counts(way)) {
      ++plan.first_into[at(way.to) + 1];
    }
  }
  for (std::size_t n = 0; n < nodes; ++n) {
    plan.first_into[n + 1] += plan.first_into[n];
  }
  std::vector<std::int32_t> next(plan.first_into.begin(), plan.first_into.end() - 1);
  plan.into.resize(at(plan.first_into.back()));
  for (std::size_t w = 0; w < plan.ways.size(); ++w) {
    if (counts(plan.ways[w])) {
      plan.into[at(next[at(plan.ways[w].to)]++)] = static_cast<std::int32_t>(w);
    }
  }
}

void list_pipes(const ChainModel& model, ChainPlan& plan) {
  const std::size_t nodes = model.params.size();
  plan.first_pipe.assign(nodes + 1, 0);
  for (std::size_t n = 0; n < nodes; ++n) {
    if (model.params[n].pipe_to >= 0) {
      ++plan.first_pipe[at(model.params[n].pipe_to) + 1];
    }
  }
  for (std::size_t n = 0; n < nodes; ++n) {
    plan.first_pipe[n + 1] += plan.first_pipe[n];
  }
  std::vector<std::int32_t> next(plan.first_pipe.begin(), plan.first_pipe.end() - 1);
  plan.pipes.resize(at(plan.first_pipe.back()));
  for (std::size_t n = 0; n < nodes; ++n) {
    if (model.params[n].pipe_to >= 0) {
      plan.pipes[at(next[at(model.params[n].pipe_to)]++)] = static_cast<std::int32_t>(n);
    }
  }
}

/// Which node's step asks for which other's, both ways where each asks for the other.
std::vector<std::array<std::int32_t, 2>> asked_edges(const ChainModel& model, const ChainPlan& plan) {
  const Network& network = model.network;
  std::vector<std::array<std::int32_t, 2>> edges;
  for (std::size_t n = 0; n < network.size(); ++n) {
    const auto own = static_cast<std::int32_t>(n);
    street::each_way_down(network, n, [&](const street::WayDown& way) {
      edges.push_back({own, static_cast<std::int32_t>(way.to)});
    });
    if (model.params[n].pipe_to >= 0) {
      edges.push_back({own, model.params[n].pipe_to});
    }
    if (network.in_sag[n] >= 0) {
      edges.push_back({own, network.in_sag[n]});
      edges.push_back({network.in_sag[n], own});
    }
    for (std::int32_t i = plan.first_way[n]; i < plan.first_way[n + 1]; ++i) {
      const PlannedSideWay& way = plan.ways[at(i)];
      if (way.to >= 0) {
        edges.push_back({own, way.to});
      }
      if (way.pair) {
        edges.push_back({way.to, own});
      }
    }
  }
  return edges;
}

/// Sorts the order by level and group, keeping it within each group.
void plan_groups(const ChainModel& model, ChainPlan& plan) {
  const Network& network = model.network;
  const std::vector<std::array<std::int32_t, 2>> edges = asked_edges(model, plan);
  boost::adjacency_list<boost::vecS, boost::vecS, boost::directedS> graph(network.size());
  for (const auto& [from, to] : edges) {
    boost::add_edge(at(from), at(to), graph);
  }
  std::vector<std::int32_t> group(network.size());
  const auto groups = static_cast<std::size_t>(boost::strong_components(
      graph, boost::make_iterator_property_map(group.begin(), boost::get(boost::vertex_index, graph))));
  for (std::size_t n = 0; n < network.size(); ++n) {
    const std::int32_t to = model.params[n].pipe_to;
    base::ensure(to < 0 || group[n] != group[at(to)], "water of a pipe never comes back to its inlet");
  }
  // Components come numbered from downstream to upstream: the level of a group is final when its turn comes.
  std::vector<std::vector<std::int32_t>> later(groups);
  for (const auto& [from, to] : edges) {
    if (group[at(from)] != group[at(to)]) {
      later[at(group[at(from)])].push_back(group[at(to)]);
    }
  }
  std::vector<std::int32_t> level(groups, 0);
  for (std::size_t g = groups; g-- > 0;) {
    for (const std::int32_t next : later[g]) {
      level[at(next)] = std::max(level[at(next)], level[g] + 1);
    }
  }
  std::vector<std::int32_t> place(groups, -1);  // of a group: by its first node in the order
  for (std::size_t i = 0; i < plan.order.size(); ++i) {
    std::int32_t& first = place[at(group[at(plan.order[i])])];
    first = first < 0 ? static_cast<std::int32_t>(i) : first;
  }
  const auto key = [&](std::int32_t node) {
    const std::size_t g = at(group[at(node)]);
    return std::pair(level[g], place[g]);
  };
  std::stable_sort(plan.order.begin(), plan.order.end(),
                   [&](std::int32_t a, std::int32_t b) { return key(a) < key(b); });
  for (std::size_t i = 0; i < plan.order.size(); ++i) {
    const bool new_group = i == 0 || key(plan.order[i]) != key(plan.order[i - 1]);
    if (i == 0 || key(plan.order[i]).first != key(plan.order[i - 1]).first) {
      plan.first_in_level.push_back(static_cast<std::int32_t>(plan.first_in_group.size()));
    }
    if (new_group) {
      plan.first_in_group.push_back(static_cast<std::int32_t>(i));
    }
  }
  plan.first_in_level.push_back(static_cast<std::int32_t>(plan.first_in_group.size()));
  plan.first_in_group.push_back(static_cast<std::int32_t>(plan.order.size()));
}

}  // namespace

double moved_to_second_m3(const PlannedPair& pair, double first_m3, double second_m3, double step_s) {
  const double first_holds_m3 = pair.first_flow_m3_s * step_s;
  const double second_holds_m3 = pair.second_flow_m3_s * step_s;
  const double hold_m3 = first_holds_m3 + second_holds_m3;
  const double over_both_m3 = first_m3 + second_m3 - hold_m3;
  if (over_both_m3 > 0.0) {
    const double share = hold_m3 > 0.0 ? first_holds_m3 / hold_m3 : 0.5;
    return first_m3 - (first_holds_m3 + over_both_m3 * share);
  }
  if (first_m3 > first_holds_m3) {
    return first_m3 - first_holds_m3;
  }
  return second_m3 > second_holds_m3 ? second_holds_m3 - second_m3 : 0.0;
}

ChainPlan plan_chain(const ChainModel& model) {
  ChainPlan plan;
  Ordering ordering(model.network);
  base::ensure(ordering.order().size() == model.network.size(), "ordinary ways run in no circle");
  plan_pairs(model, ordering, plan);
  plan.order = ordering.order();
  plan_ways(model, ordering, plan);
  plan_members(model.network, plan);
  list_ways_into(plan);
  list_pipes(model, plan);
  plan_groups(model, plan);
  return plan;
}

}  // namespace curbshed::study
