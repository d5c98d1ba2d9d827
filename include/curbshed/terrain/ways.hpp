// What adds up along the directions: cells, lengths, times, falls.
#pragma once

#include "curbshed/terrain/grid.hpp"

namespace curbshed::terrain {

/// Cells that drain through each cell, itself included. 0 in invalid cells. Throws BugError on a cycle.
/// All of this file is equal for every WorkPlan, bit for bit.
Grid<std::int64_t> cells_arriving(const Grid<std::uint8_t>& directions, const WorkPlan& plan);

/// Cells from elsewhere that come in at a cell.
struct Inflow {
  std::int64_t cell = 0;
  std::int64_t cells = 0;
};
/// The same, with inflows added. No inflow to an invalid cell.
Grid<std::int64_t> cells_arriving(const Grid<std::uint8_t>& directions, const std::vector<Inflow>& inflows,
                                  const WorkPlan& plan);

/// The same in half the memory. Throws BugError for rasters of 2^32 cells or more.
Grid<std::uint32_t> cells_arriving_in_32_bits(const Grid<std::uint8_t>& directions, const WorkPlan& plan);

inline constexpr std::int32_t kNoReceiver = -1;  ///< leaves over the edge of the data, or invalid
/// First receiver met on the way down, the own cell included. receiver_at: −1 where none. Result: its number,
/// kNoReceiver.
Grid<std::int32_t> first_receivers(const Grid<std::uint8_t>& directions,
                                   const Grid<std::int32_t>& receiver_at, const WorkPlan& plan);

/// Sum of `value` over the cells from each cell (included) down to the first cell where stop != 0 (excluded)
/// or the end (included). value ≥ 0. Integers, so the order of adding does not matter.
Grid<std::int64_t> sum_along(const Grid<std::uint8_t>& directions, const Grid<std::int32_t>& value,
                             const Grid<std::uint8_t>& stop, const WorkPlan& plan);

/// Longest way down to each cell from any cell above it, in 1/1024 m (0 at divides). Steps cost cell or
/// cell·√2, rounded once.
Grid<std::int64_t> longest_way_above(const Grid<std::uint8_t>& directions, double cell_m,
                                     const WorkPlan& plan);

/// Fall over the first `least_way_m` or more of the way down from each cell (the end of the way if it is
/// shorter), divided by that way's length. Heights from `surface_m`. Cells where the way has no length get 0;
/// negative falls stay negative. The way ends at the first cell where stop != 0: the step to it and its
/// height count, and it has no way of its own (0). Takes time in proportion to the cells on least_way_m.
Grid<float> slope_along(const Grid<std::uint8_t>& directions, const Grid<float>& surface_m,
                        const Grid<std::uint8_t>& stop, double cell_m, double least_way_m,
                        const WorkPlan& plan);

/// Length of the step a cell's direction takes, in metres (0 where it stops).
double step_m(std::uint8_t direction, double cell_m);
/// Next cell, −1 where the water stops.
std::int64_t next_cell(const Grid<std::uint8_t>& directions, std::int64_t cell);

}  // namespace curbshed::terrain
