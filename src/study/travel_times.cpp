#include "study/travel_times.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/base/parallel.hpp"
#include "curbshed/water/travel.hpp"

#include <atomic>
#include <cmath>
#include <limits>

namespace curbshed::study {
namespace {

using terrain::Grid;

constexpr double kPer = 1024.0;  // whole parts of a second and of a metre
constexpr std::int64_t kStripes = 64;

/// 1 on gutter cells and everything below them down to a receiver.
Grid<std::uint8_t> gutter_course(const Grid<std::uint8_t>& gutter, const street::StreetModel& street) {
  Grid<std::uint8_t> course = gutter;
  for (std::int64_t from = 0; from < gutter.cells(); ++from) {
    if (gutter[from] == 0 || street.receiver_at[from] >= 0) {
      continue;
    }
    std::int64_t cell = terrain::next_cell(street.directions, from);
    while (cell >= 0 && course[cell] == 0 && street.receiver_at[cell] < 0) {
      course[cell] = 1;
      cell = terrain::next_cell(street.directions, cell);
    }
  }
  return course;
}

std::int32_t rounded(double value) {
  return static_cast<std::int32_t>(
      std::min(std::round(value * kPer), static_cast<double>(std::numeric_limits<std::int32_t>::max())));
}

/// A grid as large as the directions whose every cell is value(cell).
template <class T, class Value>
Grid<T> filled(const Grid<std::uint8_t>& directions, const terrain::WorkPlan& plan, const Value& value) {
  Grid<T> grid = Grid<T>::unwritten(directions.rows(), directions.cols());
  base::parallel_stripes(grid.cells(), kStripes, {plan.threads}, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t cell = begin; cell < end; ++cell) {
      grid[cell] = value(cell);
    }
  });
  return grid;
}

/// Length of each cell's step where `counts` is 1, in 1/1024 m.
Grid<std::int32_t> step_lengths(const Grid<std::uint8_t>& directions, const Grid<std::uint8_t>& counts,
                                double cell_m, const terrain::WorkPlan& plan) {
  return filled<std::int32_t>(directions, plan, [&](std::int64_t cell) {
    return counts[cell] != 0 ? rounded(terrain::step_m(directions[cell], cell_m)) : 0;
  });
}

/// 1 where water runs as a sheet: before any gutter, and no way above is as long as the limit.
Grid<std::uint8_t> sheet_cells(const Grid<std::uint8_t>& directions, const Grid<std::uint8_t>& stop,
                               double limit_m, double cell_m, const terrain::WorkPlan& plan) {
  const Grid<std::int64_t> above = terrain::longest_way_above(directions, cell_m, plan);
  return filled<std::uint8_t>(directions, plan, [&](std::int64_t cell) {
    return stop[cell] == 0 && static_cast<double>(above[cell]) < limit_m * kPer ? std::uint8_t{1}
                                                                                : std::uint8_t{0};
  });
}

/// Sum of the steps from each cell to the end of the sheet below it.
Grid<std::int64_t> way_over(const Grid<std::uint8_t>& directions, const Grid<std::int32_t>& step,
                            const Grid<std::uint8_t>& sheet, const terrain::WorkPlan& plan) {
  const auto beyond = filled<std::uint8_t>(
      directions, plan, [&](std::int64_t cell) { return static_cast<std::uint8_t>(sheet[cell] == 0); });
  return terrain::sum_along(directions, step, beyond, plan);
}

/// What one cell's time depends on.
struct CellWay {
  double step_m = 0.0;
  double slope = 0.0;
  double sheet_left_m = 0.0;  ///< sheet flow below its own step
  bool sheet = false;
};

double seconds(const CellWay& way, const LossClass& ground, double intensity_m_s) {
  if (way.sheet) {
    return water::sheet_time_added_s(
        {.slope = way.slope, .roughness = ground.sheet_roughness, .excess_m_s = intensity_m_s},
        way.sheet_left_m, way.step_m);
  }
  return way.step_m / water::raw_shallow_speed_m_s(way.slope, ground.paved);
}

double sheet_intensity_m_s(const RainSettings& rain) {
  if (rain.sheet_intensity_m_s > 0.0) {
    return rain.sheet_intensity_m_s;
  }
  base::ensure(rain.two_year_1h_m.has_value() && *rain.two_year_1h_m > 0.0, "the two-year hour is known");
  return *rain.two_year_1h_m / base::kSecondsPerHour;
}

}  // namespace

TravelTimes travel_times(const StudyInputs& inputs, const terrain::CurbField& curbs,
                         const street::StreetModel& street, const RainSettings& rain,
                         const terrain::WorkPlan& plan) {
  const Grid<std::uint8_t>& directions = street.directions;
  const double cell_m = inputs.ground.frame.cell_m;
  const std::int64_t cells = directions.cells();
  const Grid<std::uint8_t> course = gutter_course(curbs.gutter, street);

  const auto at_receiver = filled<std::uint8_t>(directions, plan, [&](std::int64_t cell) {
    return static_cast<std::uint8_t>(street.receiver_at[cell] >= 0);
  });
  const auto stop = filled<std::uint8_t>(directions, plan, [&](std::int64_t cell) {
    return static_cast<std::uint8_t>(at_receiver[cell] != 0 || course[cell] != 0);
  });
  Grid<std::uint8_t> sheet = sheet_cells(directions, stop, rain.sheet_limit_m, cell_m, plan);
  Grid<std::int32_t> sheet_step = step_lengths(directions, sheet, cell_m, plan);
  Grid<std::int64_t> sheet_way = way_over(directions, sheet_step, sheet, plan);
  Grid<float> slope =
      terrain::slope_along(directions, inputs.ground.height_m, stop, cell_m, rain.slope_way_m, plan);

  TravelTimes out;
  const double intensity_m_s = sheet_intensity_m_s(rain);
  std::atomic<std::int64_t> timed{0};
  std::atomic<std::int64_t> on_floor{0};
  auto added = Grid<std::int32_t>::unwritten(directions.rows(), directions.cols());
  base::parallel_stripes(cells, kStripes, {plan.threads}, [&](std::int64_t begin, std::int64_t end) {
    std::int64_t met = 0;
    std::int64_t low = 0;
    for (std::int64_t cell = begin; cell < end; ++cell) {
      added[cell] = 0;
      if (stop[cell] != 0 || directions[cell] >= terrain::kStops) {
        continue;
      }
      ++met;
      low += static_cast<double>(slope[cell]) < rain.least_slope ? 1 : 0;
      const CellWay way{.step_m = terrain::step_m(directions[cell], cell_m),
                        .slope = std::max(rain.least_slope, static_cast<double>(slope[cell])),
                        .sheet_left_m = static_cast<double>(sheet_way[cell] - sheet_step[cell]) / kPer,
                        .sheet = sheet[cell] != 0};
      added[cell] = rounded(seconds(way, inputs.loss_classes[inputs.loss_class[cell]], intensity_m_s));
    }
    timed += met;
    on_floor += low;
  });
  out.timed_cells = timed;
  out.floor_cells = on_floor;
  // What is no longer needed makes room: these grids are most of a large run's memory.
  sheet = {};
  sheet_step = {};
  sheet_way = {};
  slope = {};
  out.to_gutter_1024 = terrain::sum_along(directions, added, stop, plan);
  added = {};
  out.in_gutter_1024 =
      terrain::sum_along(directions, step_lengths(directions, course, cell_m, plan), at_receiver, plan);
  return out;
}

}  // namespace curbshed::study
