// A node that stands by itself on grade hears of the others by whole series only: its steps are reckoned
// series by series, in loops that the compiler makes vectors of. The order of the sums is that of
// ChainRun::step.
#include "curbshed/base/error.hpp"
#include "curbshed/base/vectors.hpp"

#include "study/chain_run.hpp"

#include <algorithm>

namespace curbshed::study {
namespace {

using street::NodeKind;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

CURBSHED_VECTOR_CLONES void add(const double* from, std::size_t count, double* to) {
  for (std::size_t k = 0; k < count; ++k) {
    to[k] += from[k];
  }
}

CURBSHED_VECTOR_CLONES void add_shares(const double* from, double later, std::size_t count, double* now,
                                       double* next) {
  for (std::size_t k = 0; k < count; ++k) {
    now[k] += from[k] - from[k] * later;
  }
  for (std::size_t k = 0; k < count; ++k) {
    next[k] += from[k] * later;
  }
}

CURBSHED_VECTOR_CLONES void divide(const double* from, double by, std::size_t count, double* to) {
  for (std::size_t k = 0; k < count; ++k) {
    to[k] = from[k] / by;
  }
}

CURBSHED_VECTOR_CLONES void shorten(const double* from, std::size_t count, float* to) {
  for (std::size_t k = 0; k < count; ++k) {
    to[k] = static_cast<float>(from[k]);
  }
}

double largest(const std::vector<double>& values) {
  double most = 0.0;
  for (const double value : values) {
    most = std::max(most, value);
  }
  return most;
}

}  // namespace

bool ChainRun::stands_alone() const {
  const std::size_t node = at(work_.plan.order[begin_]);
  return end_ - begin_ == 1 && work_.model.network.kind[node] != NodeKind::Sag && work_.second_of[node] < 0;
}

void ChainRun::run_alone(std::size_t node) {
  std::vector<double> volume_m3 = collect_all(node);
  const bool dry_place = work_.open[node] == 0 || work_.model.params[node].basin.rain_m2 == 0.0 ||
                         largest(work_.storm.rain_m) == 0.0;
  if (dry_place && rests(node) && largest(volume_m3) == 0.0) {
    return;
  }
  all_over_side_ways(node, volume_m3);
  const NodeKind kind = work_.model.network.kind[node];
  if (kind == NodeKind::Outfall || kind == NodeKind::DataEdge) {
    for (k_ = 0; k_ < volume_m3.size(); ++k_) {
      if (volume_m3[k_] > 0.0) {
        finish_node(node, volume_m3[k_]);
      }
    }
    return;
  }
  gutter_depth(node, largest(volume_m3));
  if (work_.open[node] != 0 && street::has_basin(kind)) {
    all_through_cut(node, volume_m3);
  } else if (work_.open[node] != 0) {
    for (k_ = 0; k_ < volume_m3.size(); ++k_) {
      if (volume_m3[k_] > 0.0) {
        volume_m3[k_] = through_inlet(node, volume_m3[k_]);
      }
    }
  }
  send_all_on(node, volume_m3);
}

std::vector<double> ChainRun::collect_all(std::size_t node) {
  const std::size_t steps = work_.storm.rain_m.size();
  std::vector<double> volume_m3(steps, 0.0);
  const auto comes = [&](const std::vector<double>& series_m3) {
    add(series_m3.data(), series_m3.size(), volume_m3.data());
  };
  for (std::int32_t i = work_.first_above[node]; i < work_.first_above[node + 1]; ++i) {
    comes(work_.reach_m3[at(work_.above[at(i)])]);
  }
  for (std::int32_t i = work_.first_second_into[node]; i < work_.first_second_into[node + 1]; ++i) {
    comes(work_.second_m3[at(work_.second_into[at(i)])]);
  }
  for (std::int32_t i = work_.plan.first_into[node]; i < work_.plan.first_into[node + 1]; ++i) {
    comes(work_.way_m3[at(work_.plan.into[at(i)])]);
  }
  for (std::int32_t i = work_.plan.first_pipe[node]; i < work_.plan.first_pipe[node + 1]; ++i) {
    comes(work_.pipe_m3[at(work_.plan.pipes[at(i)])]);
  }
  add(work_.lateral.inflow_m3.data() + node * steps, steps, volume_m3.data());
  NodeResult& out = work_.result.nodes[node];
  double arriving_m3 = out.arriving_m3;
  double peak_m3_s = out.peak_arriving_m3_s;
  double most_m3 = 0.0;  // only a larger volume can be a higher peak
  for (std::size_t k = 0; k < steps; ++k) {
    arriving_m3 += volume_m3[k];
    if (volume_m3[k] > most_m3) {
      most_m3 = volume_m3[k];
      if (const double flow_m3_s = most_m3 / work_.storm.step_s; flow_m3_s > peak_m3_s) {
        peak_m3_s = flow_m3_s;
        out.peak_minute = (static_cast<double>(k) + 0.5) * work_.storm.step_s / base::kSecondsPerMinute;
      }
    }
  }
  out.arriving_m3 = arriving_m3;
  out.peak_arriving_m3_s = peak_m3_s;
  return volume_m3;
}

void ChainRun::all_over_side_ways(std::size_t node, std::vector<double>& volume_m3) {
  const double most_m3 = largest(volume_m3);
  bool over = false;
  for (std::int32_t i = work_.plan.first_way[node]; i < work_.plan.first_way[node + 1]; ++i) {
    over = over || most_m3 > work_.plan.ways[at(i)].begins_flow_m3_s * work_.storm.step_s;
  }
  for (k_ = 0; over && k_ < volume_m3.size(); ++k_) {
    volume_m3[k_] = over_side_ways(node, volume_m3[k_], -1.0, kNoLimit_m);
  }
}

void ChainRun::all_through_cut(std::size_t node, std::vector<double>& volume_m3) {
  const NodeWater& water = work_.water[node];
  const std::size_t steps = volume_m3.size();
  std::vector<double> flow_m3_s(steps);
  std::vector<double> offered(steps);
  std::vector<double> depth_m(steps);
  divide(volume_m3.data(), work_.storm.step_s, steps, flow_m3_s.data());
  water::depths_at_flows_m(water.gutter, flow_m3_s, depth_m);
  if (water.opening.slope_varies || water.end_width_m > 0.0) {
    for (std::size_t k = 0; k < steps; ++k) {
      offered[k] = offered_m3_s(water, flow_m3_s[k]);
    }
  } else {
    water::captured_m3_s(water.opening, flow_m3_s, offered);
  }
  for (k_ = 0; k_ < steps; ++k_) {
    if (volume_m3[k_] > 0.0 || !rests(node)) {
      volume_m3[k_] = through_basin(node, volume_m3[k_], offered[k_], depth_m[k_]);
    }
  }
}

double ChainRun::through_basin(std::size_t node, double volume_m3, double offered_m3_s, double depth_m) {
  const NodeWater& water = work_.water[node];
  const double below_m = invert_below_gutter_m(work_.model.params[node]);
  const double rain_m3 = dropped_.pass(Process::BasinRain, own_rain_m3(node, k_));
  const water::BasinStep step = water::basin_volume_step(water.basin, work_.state.basin_m3[node],
                                                         {.step_s = work_.storm.step_s,
                                                          .offered_m3_s = offered_m3_s,
                                                          .gutter_level_m = std::max(0.0, depth_m + below_m),
                                                          .other_inflow_m3_s = rain_m3 / work_.storm.step_s,
                                                          .gutter = &water.gutter,
                                                          .invert_below_gutter_m = below_m});
  book_basin(node, step);
  const double bypass_m3 = std::max(0.0, volume_m3 - step.entered_m3);  // a rounding may be missing
  return dropped_.pass(Process::Opening, bypass_m3) + dropped_.pass(Process::MouthReturn, step.returned_m3);
}

void ChainRun::book_basin(std::size_t node, const water::BasinStep& step) {
  NodeResult& out = work_.result.nodes[node];
  const auto minute = [&] {
    return (static_cast<double>(k_) + 1.0) * work_.storm.step_s / base::kSecondsPerMinute;
  };
  work_.state.basin_m3[node] = step.volume_m3;
  const double rain_m3 = own_rain_m3(node, k_);
  out.rain_on_m3 += rain_m3;
  work_.result.node_ledgers[node].rain_on_basins_m3 += rain_m3;
  out.entered_m3 += step.entered_m3;
  out.returned_m3 += step.returned_m3;
  out.given_back_m3 += std::max(0.0, step.returned_m3 - step.entered_m3);
  out.infiltrated_m3 += step.infiltrated_m3;
  work_.result.node_ledgers[node].infiltrated_in_basins_m3 +=
      dropped_.pass(Process::Infiltration, step.infiltrated_m3);
  work_.result.node_ledgers[node].evaporated_m3 += dropped_.pass(Process::Evaporation, step.evaporated_m3);
  if (step.over_rim_m3 > 0.0) {
    if (out.over_rim_m3 == 0.0) {
      out.over_rim_first_minute = minute();
    }
    out.over_rim_m3 += step.over_rim_m3;
    work_.result.node_ledgers[node].over_rims_m3 += dropped_.pass(Process::Rim, step.over_rim_m3);
  }
  if (step.volume_m3 > work_.most_basin_m3[node]) {  // only then can the pool be higher than before
    work_.most_basin_m3[node] = step.volume_m3;
    const water::RawBasin& basin = work_.water[node].basin;
    const double level_m = water::basin_level_m(basin, step.volume_m3);
    out.max_pool_m = std::max(out.max_pool_m, level_m + basin.ponding_m);
    if (out.filled_minute < 0.0 && level_m >= std::min(0.0, basin.rim_level_m) - water::kFullWithin_m) {
      out.filled_minute = minute();
    }
  }
  if (!step.resolved) {
    notes_.add(base::NoteId::InflowNotResolved, 0.0, work_.model.network.id[node]);
  }
}

void ChainRun::send_all_on(std::size_t node, const std::vector<double>& volume_m3) {
  base::ensure(work_.model.network.downstream[node] >= 0, "a cut and an inlet have a node downstream");
  const std::size_t steps = volume_m3.size();
  double sum_m3 = 0.0;
  for (const double volume : volume_m3) {
    sum_m3 += volume;
  }
  std::vector<double> goes_m3(steps);
  divide(volume_m3.data(), work_.storm.step_s, steps, goes_m3.data());
  NodeResult& out = work_.result.nodes[node];
  out.passed_on_m3 += sum_m3;
  out.peak_leaving_m3_s = std::max(out.peak_leaving_m3_s, largest(goes_m3));
  shorten(goes_m3.data(), steps, work_.result.leaving_m3_s[node].data());
  work_.result.node_ledgers[node].left_at_outfalls_m3 += sum_m3;
  work_.reach_sent_m3[node] += sum_m3;
  for (std::size_t k = 0; k < steps; ++k) {
    goes_m3[k] = dropped_.pass(Process::Reach, volume_m3[k]);
  }
  const std::size_t whole = work_.delay[node].whole;
  const double later = work_.delay[node].later;
  const std::size_t in_time = whole + 1 < steps ? steps - whole - 1 : 0;
  std::vector<double>& series_m3 = work_.reach_m3[node];
  add_shares(goes_m3.data(), later, in_time, series_m3.data() + (in_time > 0 ? whole : 0),
             series_m3.data() + (in_time > 0 ? whole + 1 : 0));
  for (std::size_t k = in_time; k < steps; ++k) {
    const double later_m3 = goes_m3[k] * later;
    const std::size_t out_at = k + whole;
    (out_at < steps ? series_m3[out_at] : work_.in_reach_m3[node]) += goes_m3[k] - later_m3;
    (out_at + 1 < steps ? series_m3[out_at + 1] : work_.in_reach_m3[node]) += later_m3;
  }
}

}  // namespace curbshed::study
