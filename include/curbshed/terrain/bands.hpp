// Where water stands and runs on rasters larger than the memory: bands of whole rows, one after another.
#pragma once

#include "curbshed/terrain/grid.hpp"

#include <cstdint>
#include <functional>

namespace curbshed::terrain {

/// Where the ground comes from.
class GroundRows {
 public:
  virtual ~GroundRows() = default;
  /// Fills rows · cols heights and validity bytes, as in Ground: 0 m where there is no data.
  virtual void read(std::int64_t row0, std::int64_t rows, float* height_m, std::uint8_t* valid) = 0;
};

/// A place for results that do not fit into memory, such as a file.
class ByteStore {
 public:
  virtual ~ByteStore() = default;
  virtual void write(std::int64_t at, const void* bytes, std::int64_t count) = 0;
  /// Bytes that were never written are 0.
  virtual void read(std::int64_t at, void* bytes, std::int64_t count) = 0;
};

struct BandedResults {
  ByteStore& directions;  ///< 1 byte a cell, as flow_directions
  ByteStore& standing_m;  ///< float a cell: water_levels − height; 0 in invalid cells
  ByteStore& counts;      ///< as cells_arriving; see bytes_a_count
  ByteStore& notes;       ///< what one band leaves for the others: about 80 bytes a column and band, and 7 a
                          ///< cell of the ponds that lie in several bands
};

struct BandPlan {
  std::int64_t band_rows = 1;  ///< the last band may be lower
  int threads = 1;
  /// Called with a share of the work, 0 to 1, rising; may be empty.
  std::function<void(double)> progress = {};
};

struct BandFacts {
  std::int64_t bands = 0;
  std::int64_t cells_across = 0;  ///< of ponds that lie in several bands
  std::int64_t pond_sweeps = 0;   ///< times that the bands were gone through, down or up, for such ponds
  std::int64_t pond_bands = 0;    ///< bands worked on in all these sweeps
  std::int64_t wet_cells = 0;     ///< where water stands above the ground
  double standing_m = 0.0;        ///< sum over all cells
  float deepest_m = 0.0F;
};

/// Numbers in `counts`: std::uint32_t below 2^32 cells, else std::int64_t.
int bytes_a_count(const GridFrame& frame);

/// Standing water, directions and arriving cells of a ground without walls and marked drains: the bytes that
/// water_levels, flow_directions and cells_arriving give, for every band height and number of threads.
///
/// Reads the ground twice, from the top down and back up; goes through the directions twice; ponds that lie
/// in several bands are swept, down and up, until no cost changes at the rims of the bands: four sweeps or
/// fewer unless the ways out of a pond turn back and forth. Memory: at most kBytesABandCell a cell of one
/// band and kBytesAColumn a column. Throws what the rows and the stores throw; BugError as the functions
/// named above.
///
/// Levels: the graph of all basins above a row, cut down to the basins in that row, is carried on (after
/// Barnes 2016, doi 10.1016/j.cageo.2016.07.001); arriving cells: links from where water enters a band to
/// where it leaves it (after Barnes 2017, doi 10.1016/j.envsoft.2017.02.022).
BandFacts follow_water_in_bands(const GridFrame& frame, GroundRows& ground, const BandedResults& results,
                                const BandPlan& plan);

inline constexpr std::int64_t kBytesABandCell = 48;
inline constexpr std::int64_t kBytesAColumn = 256;

}  // namespace curbshed::terrain
