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

/// Roof cells of one lot whose rain goes to its tank; otherwise as above.
struct RoofEntry {
  std::int32_t tank = -1;
  std::uint16_t loss_class = 0;
  std::uint16_t time_bin = 0;
  std::uint8_t join_part = 0;
  std::int64_t cells = 0;
};

/// Cells under the basin of a node: ground like any other while that basin is not there, else rained on by
/// the basin alone.
struct PlaceEntry {
  std::int32_t basin = -1;
  std::uint16_t loss_class = 0;
  std::uint16_t time_bin = 0;
  std::uint8_t join_part = 0;
  std::int64_t cells = 0;
};

struct Contribution {
  double cell_area_m2 = 0.0;
  double bin_s = 10.0;
  std::vector<std::int64_t> first;         ///< node n owns entries [first[n], first[n + 1])
  std::vector<ContributionEntry> entries;  ///< by (node, class, time, join)
  std::vector<double> join_length_m;       ///< per node: gutter length that the parts divide
  std::vector<std::int64_t>
      first_roof;                ///< node n owns roofs [first_roof[n], first_roof[n + 1]); empty = none
  std::vector<RoofEntry> roofs;  ///< by (node, tank, class, time, join); not among `entries`
  std::vector<std::int64_t>
      first_place;                 ///< node n owns places [first_place[n], first_place[n + 1]); empty = none
  std::vector<PlaceEntry> places;  ///< by (node, basin, class, time, join); not among `entries`

  /// Every entry of a node, roofs with a tank and the ground under basins too: use(loss_class, time_bin,
  /// join_part, cells).
  template <class Use>
  void each_of(std::size_t node, const Use& use) const {
    for (auto i = static_cast<std::size_t>(first[node]); i < static_cast<std::size_t>(first[node + 1]); ++i) {
      use(entries[i].loss_class, entries[i].time_bin, entries[i].join_part, entries[i].cells);
    }
    each_in(first_roof, roofs, node, use);
    each_in(first_place, places, node, use);
  }

 private:
  template <class Entry, class Use>
  static void each_in(const std::vector<std::int64_t>& first_of, const std::vector<Entry>& list,
                      std::size_t node, const Use& use) {
    if (first_of.empty()) return;
    for (auto i = static_cast<std::size_t>(first_of[node]); i < static_cast<std::size_t>(first_of[node + 1]);
         ++i) {
      use(list[i].loss_class, list[i].time_bin, list[i].join_part, list[i].cells);
    }
  }
};

/// A cell that lies under the basin of a node.
struct CellUnder {
  std::int64_t cell = 0;
  std::int32_t basin = -1;
};

/// travel_1024: time to the gutter in 1/1024 s per cell; gutter_1024: way in the gutter down to the first
/// receiver, 1/1024 m. tank: the tank that takes a cell's rain, −1 none; empty = there are none. under: by
/// cell, each cell once; a cell whose rain goes to a tank stays a roof.
Contribution contributions(const terrain::GridFrame& frame, const terrain::Grid<std::int32_t>& first_receiver,
                           const terrain::Grid<std::uint16_t>& loss_class,
                           const terrain::Grid<std::int64_t>& travel_1024,
                           const terrain::Grid<std::int64_t>& gutter_1024, std::int64_t nodes, double bin_s,
                           base::Workers workers = {}, const terrain::Grid<std::int32_t>& tank = {},
                           const std::vector<CellUnder>& under = {});

/// Cells that first reach each node, roofs with a tank too.
std::vector<std::int64_t> cells_of_nodes(const Contribution& contribution);

}  // namespace curbshed::street
