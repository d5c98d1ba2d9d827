#include "curbshed/study/full_water.hpp"

#include "curbshed/base/error.hpp"

#include "study/node_water.hpp"

#include <algorithm>
#include <cmath>

namespace curbshed::study {
namespace {

constexpr double kWithin_s = 900.0;
constexpr double kLeastNumber = 30.0;  // of water::CurveNumber
constexpr double kMostNumber = 100.0;

/// Most rain within kWithin_s.
double burst_m(const Storm& storm) {
  const auto window = static_cast<std::size_t>(std::max(1.0, std::round(kWithin_s / storm.step_s)));
  double most_m = 0.0;
  double sum_m = 0.0;
  for (std::size_t k = 0; k < storm.rain_m.size(); ++k) {
    sum_m += storm.rain_m[k];
    if (k >= window) {
      sum_m -= storm.rain_m[k - window];
    }
    most_m = std::max(most_m, sum_m);
  }
  return most_m;
}

void make_wet(LossClass& loss) {
  loss.curve_number = loss.wet_curve_number.value_or(wet_curve_number(loss.curve_number));
  if (!loss.infiltration) {
    return;
  }
  loss.infiltration->suction_deficit_m = 0.0;
  loss.infiltration->initial_m_s = loss.infiltration->conductivity_m_s;
}

}  // namespace

double wet_curve_number(double average) {
  return std::clamp(23.0 * average / (10.0 + 0.13 * average), kLeastNumber, kMostNumber);
}

ChainModel when_all_is_full(const ChainModel& model) {
  ChainModel full = model;
  for (LossClass& loss : full.loss_classes) {
    make_wet(loss);
  }
  for (std::size_t n = 0; n < full.params.size(); ++n) {
    full.params[n].blocked = true;
    if (street::has_basin(full.network.kind[n])) {
      full.params[n].opening_m = 0.0;
    }
  }
  full.tanks_are_new = true;  // full tanks keep nothing back
  return full;
}

std::size_t largest_storm(const std::vector<Storm>& storms) {
  base::ensure(!storms.empty(), "a run has a storm");
  // Sums of the same blocks in other places differ by rounding.
  constexpr double kSame_m = 1e-9;
  std::size_t best = 0;
  for (std::size_t i = 1; i < storms.size(); ++i) {
    const double more_m = burst_m(storms[i]) - burst_m(storms[best]);
    const bool same = std::abs(more_m) <= kSame_m;
    if (more_m > kSame_m || (same && storms[i].depth_m() > storms[best].depth_m() + kSame_m)) {
      best = i;
    }
  }
  return best;
}

FullWater full_water(const ChainModel& model, const std::vector<Storm>& storms, base::Workers workers) {
  const Storm& storm = storms[largest_storm(storms)];
  const ChainModel full = when_all_is_full(model);
  ChainState start = empty_state(full);
  start.tanks.clear();
  const StormResult result = run_storm(full, event_reaches(full, storm, workers), storm,
                                       std::vector<std::uint8_t>(full.network.size(), 0), start, workers);
  FullWater out{storm.id, storm.title, {}};
  for (std::size_t n = 0; n < result.nodes.size(); ++n) {
    // Levels are those of the pavement's own line; at the curb face a dipped gutter is deeper by its dip.
    const bool pond = full.network.kind[n] == street::NodeKind::Sag;
    const double dip_m = pond ? 0.0 : water::dip_m(gutter_of(full.params[n]));
    out.levels.push_back(
        {full.network.gutter_level_m[n], std::max(0.0, result.nodes[n].max_depth_m - dip_m)});
  }
  return out;
}

}  // namespace curbshed::study
