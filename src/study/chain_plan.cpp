#include "study/chain_plan.hpp"

#include "curbshed/base/error.hpp"

#include "study/node_water.hpp"

#include <algorithm>
#include <functional>
#include <queue>

namespace curbshed::study {
namespace {

using street::Network;
using street::NodeKind;
using street::SideWay;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

/// Nodes joined to groups of one or two; the order of groups by Kahn, the lowest number first.
class Ordering {
 public:
  explicit Ordering(const Network& network) : network_(network), group_(network.size()) {
    for (std::size_t n = 0; n < group_.size(); ++n) {
      group_[n] = static_cast<std::int32_t>(n);
    }
  }

  bool joined(std::int32_t a, std::int32_t b) const { return group_[at(a)] == group_[at(b)]; }

  /// Puts the pair in one group if neither stands in one and an order then still exists.
  bool join(std::int32_t low, std::int32_t high) {
    for (std::size_t n = 0; n < group_.size(); ++n) {
      const auto own = static_cast<std::int32_t>(n);
      const bool grouped = group_[n] != own;
      if ((own == low || own == high) ? grouped : (group_[n] == low || group_[n] == high)) {
        return false;
      }
    }
    group_[at(high)] = low;
    if (order().size() == group_.size()) {
      return true;
    }
    group_[at(high)] = high;
    return false;
  }

  /// Shorter than the network when there is a circle.
  std::vector<std::int32_t> order() const {
    std::vector<std::vector<std::int32_t>> later(group_.size());
    std::vector<std::int32_t> waiting(group_.size(), 0);
    const auto edge = [&](std::int32_t from, std::int32_t to) {
      const std::int32_t a = group_[at(from)];
      const std::int32_t b = group_[at(to)];
      if (a != b) {
        later[at(a)].push_back(b);
        ++waiting[at(b)];
      }
    };
    for (std::size_t n = 0; n < group_.size(); ++n) {
      if (network_.downstream[n] >= 0) {
        edge(static_cast<std::int32_t>(n), network_.downstream[n]);
      }
    }
    for (const SideWay& way : network_.side_ways) {
      if (way.to > way.from) {
        edge(way.from, way.to);
      }
    }
    return by_group(later, waiting);
  }

 private:
  std::vector<std::int32_t> by_group(const std::vector<std::vector<std::int32_t>>& later,
                                     std::vector<std::int32_t>& waiting) const {
    std::vector<std::int32_t> other(group_.size(), -1);  // second node of a group
    for (std::size_t n = 0; n < group_.size(); ++n) {
      if (group_[n] != static_cast<std::int32_t>(n)) {
        other[at(group_[n])] = static_cast<std::int32_t>(n);
      }
    }
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
      if (other[at(group)] >= 0) {
        order.push_back(other[at(group)]);
      }
      for (const std::int32_t next : later[at(group)]) {
        if (--waiting[at(next)] == 0) {
          ready.push(next);
        }
      }
    }
    return order;
  }

  const Network& network_;
  std::vector<std::int32_t> group_;  // lowest node of the group
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
  return plan;
}

}  // namespace curbshed::study
