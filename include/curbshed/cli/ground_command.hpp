// `curbshed ground`: where water stands and runs on an elevation model, without streets, however large.
#pragma once

#include "curbshed/cli/console.hpp"
#include "curbshed/terrain/grid.hpp"

#include <cstdint>

namespace curbshed::cli {

/// Writes rasters/standing_water_m.tif, water_runs_toward_deg.tif and cells_arriving.tif, all or nothing.
/// Their bytes do not depend on memory and threads. Returns the exit code; throws InputError and BugError.
int ground_command(const Options& options, Console& console);

/// How the work of a raster is cut so that it stays within the memory.
struct GroundWork {
  std::int64_t whole_bytes = 0;    ///< that the whole raster takes in memory
  std::int64_t band_rows = 0;      ///< 0: the whole raster in memory
  std::int64_t least_bytes = 0;    ///< that the lowest bands take
  std::int64_t scratch_bytes = 0;  ///< temporary data on disk, for bands
  std::int64_t cache_bytes = 0;    ///< of GDAL's blocks while the ground is read
  std::int64_t writing_cache_bytes = 0;
  int writers = 1;  ///< threads that pack the rasters, at most
};
/// limit_bytes is what the process may take in all. Bands too low (band_rows = 0 and whole_bytes above the
/// limit) are for the caller to refuse.
GroundWork plan_ground_work(const terrain::GridFrame& frame, std::int64_t block_row_bytes,
                            std::int64_t limit_bytes);

}  // namespace curbshed::cli
