// Water levels band by band: once down, once back up.
#pragma once

#include "terrain/banded.hpp"
#include "terrain/basin_graph.hpp"

namespace curbshed::terrain {

/// A band with its levels, and the rows above and below it.
struct LevelBand {
  std::int64_t band = 0;
  const Ground& ground;  ///< of this band alone, its frame as well
  const Grid<float>& levels;
  const RimRow& above;
  const RimRow& below;
};

/// Call down() for all bands from the first to the last, then up() from the last to the first.
///
/// A label is a set of cells that run down to one cell inside their band, so the level of each is the higher
/// of its height and that cell's level. What lies above a row acts on what lies below it only through the
/// labels in the row: of the graph of passes a tree over these labels and the outside is kept, with the same
/// lowest ways between any two of them. On the way up the levels in the row below a band are known and stand
/// for all that lies there.
class BandedLevels {
 public:
  BandedLevels(const Bands& bands, GroundRows& source, Notes& notes, int threads);

  void down(std::int64_t band);
  void up(std::int64_t band, const std::function<void(const LevelBand&)>& use);

 private:
  /// What a pass down leaves of all that lies above the end of a band.
  struct Kept {
    Notes::Place height_m;
    Notes::Place valid;
    Notes::Place label;   ///< of each cell of the band's last row, kOutside or 1, 2, …
    Notes::Place passes;  ///< between these labels
  };
  struct Frontier {
    RimRow row;
    std::vector<std::uint32_t> label;
    std::vector<Pass> passes;
    std::uint32_t labels = 0;
  };
  /// The graph of a band and of the frontier above it.
  struct BandGraph {
    std::vector<std::uint32_t> joined;  ///< labels of the band, then those of the frontier
    std::vector<Pass> passes;
    std::uint32_t own = 0;             ///< where the labels of the frontier begin, less 1
    std::vector<std::uint32_t> lower;  ///< label of each cell in the last row by its number in the frontier
  };

  void read(std::int64_t band);
  BandGraph graph_of(std::int64_t band, const Frontier& above);
  Frontier frontier_above(std::int64_t band);

  Bands bands_;
  GroundRows& source_;
  Notes& notes_;
  int threads_;
  std::vector<Kept> kept_;
  Frontier last_;             ///< on the way down: of the band before
  std::vector<float> spill_;  ///< on the way up: levels of the frontier's labels, from the band below
  RimRow below_;              ///< on the way up: first row of the band below
  std::vector<std::uint8_t> next_valid_;  ///< first row of the next band
  std::int64_t held_ = -1;                ///< the band in ground_
  Ground ground_;
  Grid<float> levels_;  ///< labels, then levels
};

/// The passes between terminals, as a tree: the highest pass of the lowest way between any two of them is
/// that of the graph. terminal[label]: the number that it gets, 0 for kOutside, or kNotKept.
inline constexpr std::uint32_t kNotKept = 0xFFFFFFFFU;
std::vector<Pass> tree_over(std::vector<Pass> passes, const std::vector<std::uint32_t>& terminal);

}  // namespace curbshed::terrain
