// Writes grids as cloud-optimized GeoTIFF.
#pragma once

#include "curbshed/base/parallel.hpp"
#include "curbshed/geodata/projection.hpp"
#include "curbshed/terrain/grid.hpp"

#include <cstdint>
#include <functional>
#include <string>

namespace curbshed::geodata {

/// How the coarser views are made: Average for heights, depths and times, Nearest for codes and bearings,
/// Mode for classes.
enum class Overviews : std::uint8_t { Average, Nearest, Mode };

struct RasterInfo {
  double nodata = -9999.0;  ///< declared; must fit the cell type
  Overviews overviews = Overviews::Average;
  std::string description = {};  ///< of the band
  std::string unit = {};         ///< of the values, "m"
  std::string caution = {};      ///< in the file's metadata
  base::Workers workers = {};    ///< the bytes do not depend on it
};

/// Cells where `valid` is 0 hold no data; an empty `valid` = all cells hold data. A cell with data that is
/// NaN, infinite or equal to `nodata` is a BugError. An existing file is replaced at the end, in one step.
/// InputError when the file cannot be written.
void write_raster(const std::string& path, const terrain::GridFrame& frame, const terrain::Grid<float>& cells,
                  const terrain::Grid<std::uint8_t>& valid, const Projection& projection,
                  const RasterInfo& info);
void write_raster(const std::string& path, const terrain::GridFrame& frame,
                  const terrain::Grid<std::int32_t>& cells, const terrain::Grid<std::uint8_t>& valid,
                  const Projection& projection, const RasterInfo& info);
void write_raster(const std::string& path, const terrain::GridFrame& frame,
                  const terrain::Grid<std::int16_t>& cells, const terrain::Grid<std::uint8_t>& valid,
                  const Projection& projection, const RasterInfo& info);
void write_raster(const std::string& path, const terrain::GridFrame& frame,
                  const terrain::Grid<std::uint8_t>& cells, const terrain::Grid<std::uint8_t>& valid,
                  const Projection& projection, const RasterInfo& info);

/// The most that GDAL keeps of blocks of rasters, for the whole process.
void limit_block_cache(std::int64_t bytes);

/// What a raster that is written by rows holds.
enum class CellType : std::uint8_t { Float32, Float64, Int32, Int16 };
/// Fills one row with values of the type; the no-data value where there is none.
using FillRow = std::function<void(std::int64_t row, void* cells)>;

/// The same file from rows that are asked for one by one, in any order and more than once, on the calling
/// thread or others but never two at once. What `fill_row` throws is thrown again.
void write_raster_rows(const std::string& path, const terrain::GridFrame& frame, CellType type,
                       const FillRow& fill_row, const Projection& projection, const RasterInfo& info);

}  // namespace curbshed::geodata
