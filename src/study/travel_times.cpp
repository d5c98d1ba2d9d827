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

/// Cells of sheet flow, some at once: their powers are asked for together.
class SheetTimes {
 public:
  SheetTimes(const std::vector<LossClass>& classes, double intensity_m_s, Grid<std::int32_t>& added)
      : added_(added) {
    for (const LossClass& ground : classes) {
      unit_s_.push_back(water::sheet_unit_s(ground.sheet_roughness, intensity_m_s));
    }
  }
  void add(std::int64_t cell, std::size_t loss_class, double slope, double to_end_m, double step_m) {
    constexpr std::size_t kAtOnce = 1024;
    place_.push_back(cell);
    cells_.unit_s.push_back(unit_s_[loss_class]);
    cells_.slope.push_back(slope);
    cells_.to_end_m.push_back(to_end_m);
    cells_.step_m.push_back(step_m);
    if (place_.size() == kAtOnce) {
      finish();
    }
  }
  void finish() {
    water::sheet_times_added_s(cells_, seconds_);
    for (std::size_t i = 0; i < place_.size(); ++i) {
      added_[place_[i]] = rounded(seconds_[i]);
    }
    place_.clear();
    cells_.unit_s.clear();
    cells_.slope.clear();
    cells_.to_end_m.clear();
    cells_.step_m.clear();
  }

 private:
  Grid<std::int32_t>& added_;
  std::vector<double> unit_s_;  ///< by loss class
  std::vector<std::int64_t> place_;
  water::SheetCells cells_;
  std::vector<double> seconds_;
};

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
    SheetTimes sheets(inputs.loss_classes, intensity_m_s, added);
    for (std::int64_t cell = begin; cell < end; ++cell) {
      added[cell] = 0;
      if (stop[cell] != 0 || directions[cell] >= terrain::kStops) {
        continue;
      }
      ++met;
      low += static_cast<double>(slope[cell]) < rain.least_slope ? 1 : 0;
      const double step_m = terrain::step_m(directions[cell], cell_m);
      const double fall = std::max(rain.least_slope, static_cast<double>(slope[cell]));
      const std::size_t ground = inputs.loss_class[cell];
      if (sheet[cell] != 0) {
        sheets.add(cell, ground, fall, static_cast<double>(sheet_way[cell] - sheet_step[cell]) / kPer,
                   step_m);
      } else {
        added[cell] = rounded(step_m / water::raw_shallow_speed_m_s(fall, inputs.loss_classes[ground].paved));
      }
    }
    sheets.finish();
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
