// Rain of one burst: depth in blocks, blocks in simulation steps.
#pragma once

#include "curbshed/base/quantity.hpp"

#include <string_view>
#include <vector>

namespace curbshed::water {

inline constexpr std::string_view kCentredPeakSource =
    "depths of 5, 10, 15, 30 min as shares of the 1-hour depth: 0.29, 0.45, 0.57, 0.79 (US Weather Bureau "
    "Technical Paper 40, 1961, short-duration ratios; from memory); interpolation, the extension below 5 and "
    "above "
    "60 min and the block order are our assumption: replace by your table";

/// A burst of given depth.
struct BlockStorm {
  base::Length depth = base::Length::metres(0.0);        ///< whole burst, ≥ 0
  base::Duration duration = base::Duration::hours(1.0);  ///< a whole number of blocks, at most 24 h
  base::Duration block = base::Duration::minutes(5.0);
  std::vector<double> shape = {};  ///< relative depth of each block, ≥ 0; empty = centred peak
};

/// Share of the 1-hour depth that the worst `span` of it brings; 1 at one hour, over 1 for longer spans.
/// Log-log interpolation of the table of kCentredPeakSource; outside it the end segment goes on. span > 0,
/// else InputError.
double share_of_hour(base::Duration span);

/// Depth of each block in metres.
/// Without a shape: alternating blocks. The k-th largest block is share_of_hour(k·block) −
/// share_of_hour((k−1)·block); the largest stands in the middle (of two middles the earlier), the next after
/// it, the next before it, and so on. With a shape: in proportion to it. Guarantees: 1 the blocks added in
/// order are `depth` within one rounding; 2 none is negative. Errors (InputError): depth < 0, block ≤ 0,
/// duration not a whole number of blocks or over 24 h, a shape of another length, with a negative or
/// non-finite value, or all zero.
std::vector<double> block_depths_m(const BlockStorm& storm);

/// Blocks in alternating order: the largest in the middle (of two middles the earlier), the next after it,
/// the next before it, and so on.
std::vector<double> alternating_order(std::vector<double> blocks);

/// Blocks spread over simulation steps, constant intensity within a block.
struct StepSplit {
  double block_s = 300.0;  ///< > 0
  double step_s = 5.0;     ///< > 0; need not divide block_s
  double after_s = 0.0;    ///< ≥ 0: dry steps that follow, rounded up to whole steps
};

/// Rain depth of each step in metres, the dry steps included. A step over a block border takes its share of
/// both; the steps add up to the blocks within rounding. Errors (InputError): a split outside its range.
std::vector<double> step_depths_m(const std::vector<double>& blocks_m, const StepSplit& split);

}  // namespace curbshed::water
