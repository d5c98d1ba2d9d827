// What reaches each first receiver: after this the grid is gone.
#pragma once

#include "curbshed/street/network.hpp"

#include <cstdint>
#include <vector>

namespace curbshed::street {

inline constexpr int kJoinParts = 8;  ///< the reach above a node is cut in this many parts for lateral inflow

/// Cells of one loss class that take the same time to the gutter and join it in the same part of the reach.
struct ContributionEntry {
  std::uint16_t loss_class = 0;
  std::uint16_t time_bin = 0;  ///< travel time to the gutter, [time_bin, time_bin + 1) × bin_s
  std::uint8_t join_part = 0;  ///< 0 = joins at the node … kJoinParts − 1 = at the reach's far end
  std::int64_t cells = 0;
};

struct Contribution {
  double cell_area_m2 = 0.0;
  double bin_s = 10.0;
  std::vector<std::int64_t> first;         ///< node n owns entries [first[n], first[n + 1])
  std::vector<ContributionEntry> entries;  ///< by (node, class, time, join)
  std::vector<double> join_length_m;       ///< per node: gutter length that the parts divide
};

/// travel_1024: time to the gutter in 1/1024 s per cell; gutter_1024: way in the gutter down to the first
/// receiver, 1/1024 m.
Contribution contributions(const terrain::GridFrame& frame, const terrain::Grid<std::int32_t>& first_receiver,
                           const terrain::Grid<std::uint16_t>& loss_class,
                           const terrain::Grid<std::int64_t>& travel_1024,
                           const terrain::Grid<std::int64_t>& gutter_1024, std::int64_t nodes, double bin_s,
                           base::Workers workers = {});

/// Cells that first reach each node, from the entries.
std::vector<std::int64_t> cells_of_nodes(const Contribution& contribution);

}  // namespace curbshed::street
