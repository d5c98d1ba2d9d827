// Travel in the reaches of one event. Constant through the event and equal with and without cuts, so that
// what cuts change is never a change of the reckoning.
//
// Reference flow of a reach = the flow whose celerity makes the middle of the base case's water as late as it
// is (water::reference_flow_m3_s of what leaves its upper node in a first pass), raised as the mean of the
// peaks at its two ends is over the upper one. Of the join length above a node: the same share of the mean of
// the peaks at its ends. The first pass takes half of rough peaks: for every node the largest excess rate
// (mean over 5 minutes) of each class times its area, added up down the chain. Travel = length / celerity,
// dQ/dA. Half of a reach is timed with the upper node's section, half with the lower's (the upper's alone
// where the lower is the data's edge).
#include "study/event_reaches.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/water/losses.hpp"
#include "curbshed/water/reach.hpp"

#include "study/chain_plan.hpp"
#include "study/chain_run.hpp"
#include "study/loss_steps.hpp"
#include "study/node_water.hpp"

#include <cmath>

namespace curbshed::study {
namespace {

using street::NodeKind;

constexpr double kLeastFlow_m3_s = 1e-5;  // keeps the speed of an unused gutter finite
constexpr double kRoughMean_s = 300.0;
constexpr double kRoughShare = 0.5;  // of the peak

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

double seconds(const NodeParams& params, double length_m, double flow_m3_s) {
  return length_m / water::celerity_at_flow_m_s(gutter_of(params), std::max(flow_m3_s, kLeastFlow_m3_s));
}

/// Largest excess rate of a class, mean over kRoughMean_s, m/s.
double largest_excess_m_s(const LossClass& loss, const Storm& storm) {
  const auto span = static_cast<std::size_t>(std::max(1.0, std::round(kRoughMean_s / storm.step_s)));
  std::vector<double> run_off_m(storm.rain_m.size() + 1, 0.0);
  if (rule_for(loss, storm) == LossRule::CurveNumber) {
    const double retention_m = water::CurveNumber::of(loss.curve_number).retention().in_metres();
    double fallen_m = 0.0;
    for (std::size_t k = 0; k < storm.rain_m.size(); ++k) {
      fallen_m += storm.rain_m[k];
      run_off_m[k + 1] = water::cumulative_excess_m(fallen_m, retention_m);
    }
  } else {
    std::vector<double> excess_m;
    steps_of_excess(loss, storm.rain_m, storm, excess_m);
    for (std::size_t k = 0; k < excess_m.size(); ++k) run_off_m[k + 1] = run_off_m[k] + excess_m[k];
  }
  double most_m = 0.0;
  for (std::size_t k = 0; k + 1 < run_off_m.size(); ++k) {
    most_m = std::max(most_m, run_off_m[std::min(k + span, run_off_m.size() - 1)] - run_off_m[k]);
  }
  return most_m / (static_cast<double>(span) * storm.step_s);
}

struct Peaks {
  std::vector<double> arriving;
  std::vector<double> leaving;
};

Peaks rough_peaks(const ChainModel& model, const Storm& storm) {
  std::vector<double> rate_m_s;
  for (const LossClass& loss : model.loss_classes) {
    rate_m_s.push_back(largest_excess_m_s(loss, storm));
  }
  const std::size_t nodes = model.network.size();
  Peaks peaks{std::vector<double>(nodes, 0.0), {}};
  for (std::size_t n = 0; n < nodes; ++n) {
    model.contribution.each_of(
        n, [&](std::uint16_t loss_class, std::uint16_t, std::uint8_t, std::int64_t cells) {
          peaks.arriving[n] +=
              static_cast<double>(cells) * model.contribution.cell_area_m2 * rate_m_s[loss_class];
        });
  }
  for (const std::int32_t node : plan_chain(model).order) {
    street::each_way_down(model.network, at(node), [&](const street::WayDown& way) {
      peaks.arriving[way.to] += way.share * peaks.arriving[at(node)];
    });
  }
  peaks.leaving = peaks.arriving;
  return peaks;
}

/// `share`: reference flow over peak, one a node.
EventReaches reaches_at(const ChainModel& model, const Peaks& peaks, const std::vector<double>& share) {
  const std::size_t nodes = model.network.size();
  std::vector<double> from_above(nodes, 0.0);
  for (std::size_t n = 0; n < nodes; ++n) {
    street::each_way_down(model.network, n, [&](const street::WayDown& way) {
      from_above[way.to] += way.share * peaks.leaving[n];
    });
  }
  ReferenceFlows flows{std::vector<double>(nodes, 0.0), {}, std::vector<double>(nodes, 0.0)};
  const auto of_reach = [&](std::size_t n, std::int32_t down, double part) {
    const double upper = part * peaks.leaving[n];
    const double lower =
        down < 0 || model.network.kind[at(down)] == NodeKind::DataEdge ? upper : peaks.arriving[at(down)];
    return share[n] * 0.5 * (upper + lower);
  };
  for (const street::SecondWay& way : model.network.second_ways) {
    flows.second.push_back(of_reach(at(way.from), way.to, way.share));
  }
  for (std::size_t n = 0; n < nodes; ++n) {
    const street::SecondWay* second = street::second_way(model.network, n);
    flows.reach[n] = of_reach(n, model.network.downstream[n], second == nullptr ? 1.0 : 1.0 - second->share);
    flows.join[n] = share[n] * 0.5 * (std::min(from_above[n], peaks.arriving[n]) + peaks.arriving[n]);
  }
  return reaches_of(model, flows);
}

}  // namespace

EventReaches reaches_of(const ChainModel& model, const ReferenceFlows& flows) {
  const street::Network& network = model.network;
  EventReaches out;
  out.travel_s.resize(network.size());
  out.join_travel_s.resize(network.size());
  const auto travel_s = [&](std::size_t n, std::int32_t down, double length_m, double flow_m3_s) {
    const std::size_t lower = network.kind[at(down)] == NodeKind::DataEdge ? n : at(down);
    return seconds(model.params[n], 0.5 * length_m, flow_m3_s) +
           seconds(model.params[lower], 0.5 * length_m, flow_m3_s);
  };
  for (std::size_t i = 0; i < network.second_ways.size(); ++i) {
    const street::SecondWay& way = network.second_ways[i];
    out.second_travel_s.push_back(travel_s(at(way.from), way.to, way.reach_length_m, flows.second[i]));
  }
  for (std::size_t n = 0; n < network.size(); ++n) {
    const std::int32_t down = network.downstream[n];
    if (down >= 0) {
      out.travel_s[n] = travel_s(n, down, network.reach_length_m[n], flows.reach[n]);
    }
    out.join_travel_s[n] = seconds(model.params[n], model.contribution.join_length_m[n], flows.join[n]);
  }
  return out;
}

EventReaches event_reaches(const ChainModel& model, const Storm& storm, base::Workers workers) {
  check(model);
  check(storm);
  const EventReaches rough =
      reaches_at(model, rough_peaks(model, storm), std::vector<double>(model.network.size(), kRoughShare));
  DroppedWater none;
  const LateralInflow lateral =
      lateral_inflow(model, rough.join_travel_s, storm, tanks_before_cuts(model), none, workers);
  const std::vector<std::uint8_t> closed(model.network.size(), 0);
  const StormResult first =
      run_chain(model, rough, lateral, storm, closed, empty_state(model), none, workers);
  Peaks peaks;
  std::vector<double> share;
  for (std::size_t n = 0; n < first.nodes.size(); ++n) {
    const NodeResult& node = first.nodes[n];
    peaks.arriving.push_back(node.peak_arriving_m3_s);
    peaks.leaving.push_back(node.peak_leaving_m3_s);
    share.push_back(node.peak_leaving_m3_s > 0.0
                        ? water::reference_flow_m3_s(first.leaving_m3_s[n]) / node.peak_leaving_m3_s
                        : kRoughShare);
  }
  return reaches_at(model, peaks, share);
}

}  // namespace curbshed::study
