#include "curbshed/study/yearly_water.hpp"

#include "curbshed/study/storm.hpp"
#include "curbshed/study/storms.hpp"

#include <algorithm>
#include <numeric>

namespace curbshed::study {
namespace {

/// Closer where most rains are; beyond the last one a basin is taken to get no more.
constexpr double kDepths_mm[] = {1.5, 2.5, 4.0, 6.0, 9.0, 13.0, 18.0, 26.0, 40.0, 70.0};

std::array<trees::RainMonth, trees::kMonths> months_of(const Settings& settings) {
  std::array<trees::RainMonth, trees::kMonths> months{};
  for (std::size_t month = 0; month < trees::kMonths; ++month) {
    const double days = settings.rain.wet_days[month];
    months[month] = {days, days > 0.0 ? settings.rain.month_rain_m[month] / days : 0.0};
  }
  return months;
}

trees::Canopy canopy_of(const BasinParams& basin, double water_m3, const YearlyWater& year,
                        const TreeSettings& trees) {
  trees::CanopyInputs in;
  in.water_m3 = std::max(0.0, water_m3);
  in.rain_m = year.rain_m;
  in.reference_et_m = year.reference_et_m;
  in.plant_factor = trees.plant_factor;
  in.open_ground_m2 = basin.length_m * basin.width_m;
  in.crown_diameter_m = trees.crown_m;
  in.room_m = basin.length_m;
  in.spacing_m = trees.spacing_m;
  return trees::canopy_bound(in);
}

/// What each node keeps of one rain, m³.
std::vector<double> kept_of(const ChainModel& model, const Settings& settings, double depth_m) {
  const Storm storm = hour_storm(settings, depth_m);
  const std::vector<std::uint8_t> open = open_in_plan(model);
  const StormResult result = run_storm(model, event_reaches(model, storm), storm, open, empty_state(model));
  std::vector<double> kept(result.nodes.size());
  for (std::size_t node = 0; node < kept.size(); ++node) {
    const NodeResult& water = result.nodes[node];
    kept[node] = std::max(0.0, water.captured_m3 - water.over_rim_m3);
  }
  return kept;
}

}  // namespace

std::optional<YearlyWater> yearly_water(const ChainModel& model, const Settings& settings,
                                        base::Workers workers) {
  if (!has_months(settings)) {
    return std::nullopt;
  }
  constexpr auto kRains = static_cast<std::int64_t>(std::size(kDepths_mm));
  std::vector<std::vector<double>> kept(static_cast<std::size_t>(kRains));
  base::parallel_stripes(kRains, kRains, workers, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t i = begin; i < end; ++i) {
      // The deepest first: they take the longest.
      const auto rain = static_cast<std::size_t>(kRains - 1 - i);
      kept[rain] = kept_of(model, settings, kDepths_mm[rain] / 1000.0);
    }
  });
  YearlyWater year;
  year.rain_m = std::accumulate(settings.rain.month_rain_m.begin(), settings.rain.month_rain_m.end(), 0.0);
  year.reference_et_m =
      std::accumulate(settings.trees.reference_et_m.begin(), settings.trees.reference_et_m.end(), 0.0);
  year.event_depth_m = {0.0};
  for (const double depth_mm : kDepths_mm) year.event_depth_m.push_back(depth_mm / 1000.0);
  const std::array<trees::RainMonth, trees::kMonths> months = months_of(settings);
  const std::size_t nodes = model.network.size();
  year.event_m3.resize(nodes);
  year.month_m3.resize(nodes);
  year.year_m3.resize(nodes, 0.0);
  year.canopy.resize(nodes);
  for (std::size_t node = 0; node < nodes; ++node) {
    if (model.network.kind[node] != street::NodeKind::Cut) continue;
    year.event_m3[node] = {0.0};
    for (const std::vector<double>& of_rain : kept) year.event_m3[node].push_back(of_rain[node]);
    year.month_m3[node] = trees::monthly_supply_m3({year.event_depth_m, year.event_m3[node]}, months);
    year.year_m3[node] = std::accumulate(year.month_m3[node].begin(), year.month_m3[node].end(), 0.0);
    year.canopy[node] = canopy_of(model.params[node].basin, year.year_m3[node], year, settings.trees);
  }
  return year;
}

std::vector<RainOfYear> rains_of_year(const Settings& settings) {
  if (!has_months(settings)) return {};
  const std::array<trees::RainMonth, trees::kMonths> months = months_of(settings);
  trees::EventCurve unit{{0.0}, {0.0}};
  for (const double depth_mm : kDepths_mm) {
    unit.depth_m.push_back(depth_mm / 1000.0);
    unit.volume_m3.push_back(0.0);
  }
  std::vector<RainOfYear> rains;
  for (std::size_t i = 1; i < unit.depth_m.size(); ++i) {
    unit.volume_m3[i] = 1.0;
    const std::array<double, trees::kMonths> of_months = trees::monthly_supply_m3(unit, months);
    rains.push_back({unit.depth_m[i], std::accumulate(of_months.begin(), of_months.end(), 0.0)});
    unit.volume_m3[i] = 0.0;
  }
  return rains;
}

}  // namespace curbshed::study
