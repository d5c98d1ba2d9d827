// Basins as a graph: the lowest passes between them and the levels at which they spill.
#pragma once

#include "terrain/basin_passes.hpp"

namespace curbshed::terrain {

/// The lowest pass between each two neighbouring labels, some of them more than once, in no order.
std::vector<Pass> lowest_passes(const Ground& ground, const Walls& walls, const Grid<float>& labels,
                                int threads);

/// For each label the least, over the chains of passes to the outside, of their highest pass; −∞ outside.
std::vector<float> spill_levels(std::vector<Pass> passes, const std::vector<std::uint32_t>& joined);

/// All in one list; the lists are emptied.
std::vector<Pass> together(std::vector<std::vector<Pass>>& lists);
/// Labels kept in levels, as many as `into` holds.
void copy_labels(const float* labels, std::vector<std::uint32_t>& into);

/// A part of the graph seen from its terminals, the labels through which it is connected with the rest. The
/// spill level of a label is the higher of floor_m and the spill level of the terminal `target`.
struct Settled {
  std::vector<std::uint32_t> target;
  std::vector<float> floor_m;
  std::vector<Pass> passes;  ///< between terminals, two-way ones no more than there are terminals
};
inline constexpr std::uint32_t kNoTerminal = 0xFFFFFFFFU;
/// From all passes between the labels of a part, one-way ones between terminals only. terminal[label]: a
/// number from 0 to `terminals`, each once, or kNoTerminal. Joining labels by the lowest passes first, a set
/// of labels without a terminal reaches its first terminal over the highest pass that it has to cross.
Settled settle_inside(std::vector<Pass> passes, const std::vector<std::uint32_t>& terminal,
                      std::uint32_t terminals);

}  // namespace curbshed::terrain
