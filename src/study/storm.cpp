#include "curbshed/study/storm.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/study/reach_sections.hpp"

#include "study/chain_run.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace curbshed::study {
namespace {

using base::ensure;

constexpr double kBetweenStorms_s = 12.0 * 3600.0;
constexpr double kDrainStep_s = 60.0;
constexpr double kRiseThatCounts = 1e-3;  // of the base-case peak

/// What is left of `end` after `seconds` with no inflow. A basin that stands in a sag gives back to its pond.
ChainState drained(const ChainModel& model, const ChainState& end, double seconds) {
  ChainState state = end;
  const auto steps = static_cast<std::int64_t>(std::ceil(seconds / kDrainStep_s));
  for (std::size_t n = 0; n < state.basin_m3.size(); ++n) {
    if (state.basin_m3[n] <= 0.0) {
      continue;
    }
    const water::RawBasin basin = basin_of(model.params[n], model.ponded, model.network.id[n]);
    const std::int32_t sag = model.network.in_sag[n];
    const water::BasinForcing dry{.step_s = seconds / static_cast<double>(steps)};
    for (std::int64_t k = 0; k < steps && state.basin_m3[n] > 0.0; ++k) {
      const water::BasinStep step = water::basin_step(basin, state.basin_m3[n], dry);
      state.basin_m3[n] = step.volume_m3;
      if (sag >= 0) {
        state.sag_m3[static_cast<std::size_t>(sag)] += step.returned_m3;
      }
    }
  }
  for (std::size_t t = 0; t < state.tanks.size(); ++t) {
    water::stand_dry(model.tanks[t].tank, state.tanks[t], seconds);
  }
  return state;
}

/// Cuts shorter than the flume tests by the second relation, all others open; empty where none is so short.
std::vector<std::uint8_t> short_by_second(const ChainModel& model) {
  std::vector<std::uint8_t> open = open_in_plan(model);
  bool any = false;
  for (std::size_t n = 0; n < open.size(); ++n) {
    const NodeParams& params = model.params[n];
    const double clear_m = params.opening_m * (1.0 - params.clogging);
    if (model.network.kind[n] != street::NodeKind::Cut || open[n] == 0 || !(clear_m > 0.0) ||
        clear_m >= water::kShortestTestedOpening_m || params.basin.kind == BasinKind::InLine) {
      continue;
    }
    open[n] = kOpenBySecondRelation;
    any = true;
  }
  return any ? open : std::vector<std::uint8_t>();
}

}  // namespace

double Storm::depth_m() const {
  double sum = 0.0;
  for (const double depth : rain_m) {
    sum += depth;
  }
  return sum;
}

ChainState empty_state(const ChainModel& model) {
  ChainState state{std::vector<double>(model.network.size(), 0.0),
                   std::vector<double>(model.network.size(), 0.0)};
  for (const LotTank& lot : model.tanks) {
    state.tanks.push_back({.tank_m3 = lot.start_share * lot.tank.size_m3});
  }
  return state;
}

ChainState start_state(const ChainModel& model, const std::vector<std::uint8_t>& open) {
  ChainState state = empty_state(model);
  for (std::size_t n = 0; n < state.basin_m3.size(); ++n) {
    const NodeParams& params = model.params[n];
    const bool takes = params.opening_m * (1.0 - params.clogging) > 0.0;
    const street::NodeKind kind = model.network.kind[n];
    const bool there = kind == street::NodeKind::Basin || (kind == street::NodeKind::Cut && open[n] != 0);
    if (there && takes && params.basin.start_share > 0.0) {
      const water::RawBasin basin = basin_of(params, model.ponded, model.network.id[n]);
      state.basin_m3[n] = params.basin.start_share * std::min(basin.invert_volume_m3, basin.rim_volume_m3);
    }
  }
  return state;
}

std::vector<water::TankState> tanks_before_cuts(const ChainModel& model) {
  return model.tanks_are_new ? std::vector<water::TankState>() : empty_state(model).tanks;
}

void check(const Storm& storm) {
  ensure(storm.step_s > 0.0 && !storm.rain_m.empty(), "a storm has steps");
  for (const double depth : storm.rain_m) {
    ensure(std::isfinite(depth) && depth >= 0.0, "rain is not negative");
  }
}

StormResult run_storm(const ChainModel& model, const EventReaches& reaches, const Storm& storm,
                      const std::vector<std::uint8_t>& open, const ChainState& start, base::Workers workers) {
  check(model);
  check(storm);
  DroppedWater none;
  const LateralInflow lateral = lateral_inflow(model, reaches.join_travel_s, storm, start.tanks, none,
                                               workers, open_basins(model, open));
  StormResult result = run_chain(model, reaches, lateral, storm, open, start, none, workers);
  check_ledgers(model, result);
  return result;
}

StormComparison compare_storm(const ChainModel& model, const Storm& storm, bool with_second,
                              base::Workers workers) {
  const EventReaches reaches = event_reaches(model, storm, workers);
  DroppedWater none;
  const ChainState start = empty_state(model);
  const std::vector<std::uint8_t> plan = open_in_plan(model);
  const std::vector<std::uint8_t> closed(model.network.size(), 0);
  const auto lateral_from = [&](const std::vector<water::TankState>& tanks,
                                const std::vector<std::uint8_t>& open) {
    return lateral_inflow(model, reaches.join_travel_s, storm, tanks, none, workers,
                          open_basins(model, open));
  };
  const LateralInflow lateral_before = lateral_from(tanks_before_cuts(model), closed);
  std::optional<LateralInflow> with_plan;
  if ((model.tanks_are_new && !model.tanks.empty()) || !model.contribution.places.empty()) {
    with_plan = lateral_from(model.tanks_are_new ? start.tanks : tanks_before_cuts(model), plan);
  }
  const LateralInflow& after = with_plan ? *with_plan : lateral_before;
  const auto run_open = [&](const LateralInflow& lateral, const std::vector<std::uint8_t>& open,
                            const ChainState& from) {
    StormResult result = run_chain(model, reaches, lateral, storm, open, from, none, workers);
    check_ledgers(model, result);
    return result;
  };
  StormComparison out;
  out.storm = storm;
  // Both at the same time: a city's nodes may all hang together, and then one run keeps one thread busy.
  base::parallel_stripes(2, 2, workers, [&](std::int64_t first, std::int64_t) {
    if (first == 0) {
      out.base = run_open(lateral_before, closed, start_state(model, closed));
      out.rational = rational_peaks(model, reaches, lateral_before, storm, out.base);
      return;
    }
    out.with_cuts = run_open(after, plan, start_state(model, plan));
    if (const std::vector<std::uint8_t> short_ones = short_by_second(model); !short_ones.empty()) {
      for (const NodeResult& node : run_open(after, short_ones, start_state(model, short_ones)).nodes) {
        out.by_second_relation.push_back({node.captured_m3, node.over_rim_m3});
      }
    }
    if (with_second) {
      const ChainState later = drained(model, out.with_cuts.end, kBetweenStorms_s);
      // Tanks are fuller by then, so more comes off the lots.
      out.second = model.tanks.empty() ? run_open(after, plan, later)
                                       : run_open(lateral_from(later.tanks, plan), plan, later);
    }
  });
  out.reaches_before = reach_spreads(model, out.base);
  out.reaches_with_cuts = reach_spreads(model, out.with_cuts);
  for (std::size_t n = 0; n < out.rational.size(); ++n) {
    if (out.rational[n].reason != PeakReason::None) {
      out.base.notes.add(base::NoteId::PeakOffRational, out.rational[n].ratio,
                         model.network.id[n] + ": " + std::string(reason_words(out.rational[n].reason)));
    }
  }
  for (std::size_t n = 0; n < model.network.size(); ++n) {
    const double before = out.base.nodes[n].peak_leaving_m3_s;
    const double rise = out.with_cuts.nodes[n].peak_leaving_m3_s - before;
    if (rise > kRiseThatCounts * before && rise > 0.0) {
      out.with_cuts.notes.add(base::NoteId::PeakRises, rise, model.network.id[n]);
    }
  }
  return out;
}

}  // namespace curbshed::study
