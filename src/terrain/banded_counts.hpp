// Arriving cells band by band: once down, once back up.
#pragma once

#include "terrain/banded.hpp"

namespace curbshed::terrain {

/// How water goes through a band, seen from the rows beside it. Columns are those of the band's own rows.
struct BandFlow {
  struct Exit {
    std::int64_t cells = 0;  ///< that arrive there from inside the band
    std::int32_t to = -1;    ///< column in the row beside the band; −1: water does not leave here
  };
  std::vector<Exit> up;    ///< of the first row, to the row above
  std::vector<Exit> down;  ///< of the last row, to the row below
  /// Where water leaves that comes in at a cell of the first or the last row: −1 nowhere, a column of `up`,
  /// or a column of `down` plus the number of columns.
  std::vector<std::int32_t> from_first;
  std::vector<std::int32_t> from_last;
};

/// The same of all bands down to some row together.
struct FlowAbove {
  std::vector<BandFlow::Exit> down;
  std::vector<std::int32_t> from_last;  ///< −1 or a column of `down`
};

/// The flow of a band joined to that of all above it, when `from_below` (empty = none) cells come in from
/// below at each cell of the last row.
struct JoinedFlow {
  FlowAbove flow;
  std::vector<std::int64_t>
      into_first;  ///< cells that come into each cell of the band's first row from above
  std::vector<std::int64_t> into_last_above;  ///< and of the last row above it from the band
};
JoinedFlow join_flows(const FlowAbove& above, const BandFlow& band,
                      const std::vector<std::int64_t>& from_below);

/// Call down() for all bands from the first to the last, then up() from the last to the first.
class BandedCounts {
 public:
  BandedCounts(const Bands& bands, ByteStore& directions, ByteStore& counts, Notes& notes, int threads);

  void down(std::int64_t band);
  void up(std::int64_t band);

 private:
  struct Kept {
    Notes::Place up;
    Notes::Place down;
    Notes::Place from_first;
    Notes::Place from_last;
    Notes::Place above_down;  ///< of all bands above this one
    Notes::Place above_from_last;
  };

  Grid<std::uint8_t> read(std::int64_t band);
  BandFlow flow_through(std::int64_t band);

  Bands bands_;
  ByteStore& directions_;
  ByteStore& counts_;
  Notes& notes_;
  int threads_;
  std::vector<Kept> kept_;
  FlowAbove above_;                       ///< on the way down
  std::vector<std::int64_t> from_below_;  ///< on the way up
};

}  // namespace curbshed::terrain
