// Directions band by band, and the ponds that lie in several bands.
#pragma once

#include "terrain/banded_levels.hpp"
#include "terrain/flats.hpp"

namespace curbshed::terrain {

/// Call decide() for every band, then sweep().
///
/// A pond inside one band is solved there. Of a pond that lies in several, the least cost to its way out is
/// found band by band, with the costs in the rows beside the band as they are known so far, until no cost in
/// a row at a rim changes: each cost is then the least of all its neighbours', which only the right ones are.
class BandedFlats {
 public:
  BandedFlats(const Bands& bands, ByteStore& directions, Notes& notes, int threads);

  void decide(const LevelBand& band);
  void sweep();

  std::int64_t cells_across() const { return cells_across_; }
  std::int64_t sweeps() const { return sweeps_; }
  std::int64_t bands_swept() const { return bands_swept_; }

 private:
  /// A row at the rim of its band, as the band beside it sees it.
  struct Rim {
    std::vector<float> level_m;
    std::vector<std::uint64_t> cost;  ///< 0 where the direction is known, else the least so far
  };
  struct RimPlaces {
    Notes::Place level_m;
    Notes::Place cost;
  };
  struct Across {
    Notes::Place cell;        ///< place in the band
    Notes::Place resistance;  ///< 16 bits
    Notes::Place way_out;     ///< bearing of the cheapest step out of the pond inside the band, or kStops
    RimPlaces top;
    RimPlaces bottom;
    bool waits = false;  ///< a cost beside it has changed
    std::int64_t cells = 0;
    std::int64_t unreached = 0;
  };
  class Spread;

  void decide_falls_of(const LevelBand& band, Grid<std::uint8_t>& directions) const;
  void mark_across(const LevelBand& band, Grid<std::uint8_t>& directions) const;
  void note_across(const LevelBand& band, const Surface& surface, const Grid<std::uint8_t>& directions);
  void solve(std::int64_t band);
  Rim read(const RimPlaces& places) const;

  Bands bands_;
  ByteStore& directions_;
  Notes& notes_;
  int threads_;
  Walls no_walls_;
  Grid<std::uint8_t> no_drains_;
  std::vector<Across> across_;
  std::int64_t cells_across_ = 0;
  std::int64_t sweeps_ = 0;
  std::int64_t bands_swept_ = 0;
};

}  // namespace curbshed::terrain
