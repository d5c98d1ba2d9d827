#include "street/chain_order.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <queue>
#include <tuple>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/strong_components.hpp>

namespace curbshed::street::detail {

namespace {

using Graph = boost::adjacency_list<boost::vecS, boost::vecS, boost::directedS>;

std::size_t index(std::int32_t n) { return static_cast<std::size_t>(n); }

Graph graph_of(const Network& net, const std::vector<SideWay>& ways) {
  Graph graph(net.size());
  for (std::size_t n = 0; n < net.size(); ++n) {
    if (net.downstream[n] >= 0) boost::add_edge(n, index(net.downstream[n]), graph);
    if (net.in_sag[n] >= 0) boost::add_edge(index(net.in_sag[n]), n, graph);
  }
  for (const SecondWay& way : net.second_ways) boost::add_edge(index(way.from), index(way.to), graph);
  for (const SideWay& way : ways) {
    if (way.to >= 0) boost::add_edge(index(way.from), index(way.to), graph);
  }
  return graph;
}

struct Components {
  std::vector<int> of;                             ///< one a node
  std::vector<std::vector<std::int32_t>> members;  ///< ascending
};

Components components_of(const Graph& graph) {
  Components c;
  c.of.assign(boost::num_vertices(graph), 0);
  const int count = boost::strong_components(
      graph, boost::make_iterator_property_map(c.of.begin(), boost::get(boost::vertex_index, graph)));
  c.members.resize(static_cast<std::size_t>(count));
  for (std::size_t n = 0; n < c.of.size(); ++n)
    c.members[static_cast<std::size_t>(c.of[n])].push_back(static_cast<std::int32_t>(n));
  return c;
}

void refuse_ordinary_circles(const Network& net) {
  const Components c = components_of(graph_of(net, {}));
  for (std::size_t n = 0; n < net.size(); ++n) {
    const auto& members = c.members[static_cast<std::size_t>(c.of[n])];
    if (members.size() < 2 && net.downstream[n] != static_cast<std::int32_t>(n)) continue;
    std::string names;
    for (const std::int32_t m : members) names += (names.empty() ? "" : ", ") + net.id[index(m)];
    throw base::BugError("gutters run in a circle: " + names);
  }
}

/// True when the ways inside a component of two make it one pond.
bool is_pond_pair(const Network& net, const std::vector<std::int32_t>& members,
                  const std::vector<SideWay>& ways) {
  if (members.size() != 2) return false;
  const std::int32_t a = members[0];
  const std::int32_t b = members[1];
  const auto goes = [&](std::int32_t from, std::int32_t to) {
    bool found = false;
    each_way_down(net, index(from), [&](const WayDown& way) { found = found || way.to == index(to); });
    return found;
  };
  if (goes(a, b) || goes(b, a)) return false;
  if (net.in_sag[index(a)] == b || net.in_sag[index(b)] == a) return false;
  if ((net.kind[index(a)] == NodeKind::Sag) != (net.kind[index(b)] == NodeKind::Sag)) return false;
  bool there = false;
  bool back = false;
  for (const SideWay& way : ways) {
    const bool ab = way.from == a && way.to == b;
    const bool ba = way.from == b && way.to == a;
    if (!ab && !ba) continue;
    if (way.kind != SideWayKind::OverCrown) return false;
    there = there || ab;
    back = back || ba;
  }
  return there && back;
}

/// One pass: takes out of every component that is no pond pair its side way with the greatest depth. False
/// when there is none.
bool drop_one_each(const Network& net, ChainOrder& order, Components& c) {
  c = components_of(graph_of(net, order.side_ways));
  std::vector<std::vector<SideWay>> inside(c.members.size());
  for (const SideWay& way : order.side_ways) {
    if (way.to >= 0 && c.of[index(way.from)] == c.of[index(way.to)])
      inside[static_cast<std::size_t>(c.of[index(way.from)])].push_back(way);
  }
  const auto rank = [](const SideWay& w) { return std::make_tuple(w.begins_depth_m, w.kind, w.from, w.to); };
  std::vector<SideWay> drop;
  for (std::size_t k = 0; k < inside.size(); ++k) {
    if (c.members[k].size() < 2 || is_pond_pair(net, c.members[k], inside[k])) continue;
    drop.push_back(*std::max_element(inside[k].begin(), inside[k].end(),
                                     [&](const SideWay& a, const SideWay& b) { return rank(a) < rank(b); }));
  }
  const auto dropped = [&](const SideWay& way) {
    return std::any_of(drop.begin(), drop.end(), [&](const SideWay& d) { return rank(d) == rank(way); });
  };
  order.side_ways.erase(std::remove_if(order.side_ways.begin(), order.side_ways.end(), dropped),
                        order.side_ways.end());
  order.dropped.insert(order.dropped.end(), drop.begin(), drop.end());
  return !drop.empty();
}

}  // namespace

ChainOrder order_chain(const Network& net) {
  refuse_ordinary_circles(net);
  ChainOrder order;
  order.side_ways = net.side_ways;
  Components c;
  while (drop_one_each(net, order, c)) {
  }
  std::sort(order.dropped.begin(), order.dropped.end(), [](const SideWay& a, const SideWay& b) {
    return std::tie(a.from, a.begins_depth_m, a.kind, a.to) <
           std::tie(b.from, b.begins_depth_m, b.kind, b.to);
  });
  const Graph graph = graph_of(net, order.side_ways);
  std::vector<int> waiting(c.members.size(), 0);
  const auto each_way_out = [&](std::size_t k, auto&& visit) {
    for (const std::int32_t n : c.members[k]) {
      for (auto [e, end] = boost::out_edges(index(n), graph); e != end; ++e) {
        const auto to = static_cast<std::size_t>(c.of[boost::target(*e, graph)]);
        if (to != k) visit(to);
      }
    }
  };
  for (std::size_t k = 0; k < c.members.size(); ++k) each_way_out(k, [&](std::size_t to) { ++waiting[to]; });
  const auto edge = static_cast<std::int32_t>(net.size()) - 1;
  using Entry = std::pair<std::int32_t, std::size_t>;  // lowest node, component
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> ready;
  for (std::size_t k = 0; k < c.members.size(); ++k) {
    if (waiting[k] == 0) ready.emplace(c.members[k].front(), k);
  }
  while (!ready.empty()) {
    const std::size_t k = ready.top().second;
    ready.pop();
    for (const std::int32_t n : c.members[k]) {
      if (n != edge) order.nodes.push_back(n);
    }
    if (c.members[k].size() == 2) order.pond_pairs.push_back({c.members[k][0], c.members[k][1]});
    each_way_out(k, [&](std::size_t to) {
      if (--waiting[to] == 0) ready.emplace(c.members[to].front(), to);
    });
  }
  order.nodes.push_back(edge);
  base::ensure(order.nodes.size() == net.size(), "every node has its place in the chain order");
  return order;
}

}  // namespace curbshed::street::detail
