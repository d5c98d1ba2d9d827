#include "curbshed/geodata/raster.hpp"

#include "gdal_support.hpp"
#include "rows_dataset.hpp"
#include "shapes_to_ogr.hpp"

#include <atomic>
#include <cmath>
#include <limits>
#include <type_traits>
#include <vector>

#include <fmt/format.h>

namespace curbshed::geodata {
namespace {

constexpr const char* kCannot = "could not be written";
constexpr const char* kCheckDisk = "check that the folder exists, may be written to and has room";

template <class T>
constexpr GDALDataType gdal_type() {
  if constexpr (std::is_same_v<T, float>) {
    return GDT_Float32;
  } else if constexpr (std::is_same_v<T, std::int32_t>) {
    return GDT_Int32;
  } else if constexpr (std::is_same_v<T, std::int16_t>) {
    return GDT_Int16;
  } else {
    static_assert(std::is_same_v<T, std::uint8_t>);
    return GDT_Byte;
  }
}

const char* resampling(Overviews overviews) {
  switch (overviews) {
    case Overviews::Average:
      return "AVERAGE";
    case Overviews::Nearest:
      return "NEAREST";
    case Overviews::Mode:
      return "MODE";
  }
  return "NEAREST";
}

template <class T>
T nodata_of(const RasterInfo& info) {
  if constexpr (!std::is_same_v<T, float>) {
    base::ensure(info.nodata >= static_cast<double>(std::numeric_limits<T>::min()) &&
                     info.nodata <= static_cast<double>(std::numeric_limits<T>::max()) &&
                     std::floor(info.nodata) >= info.nodata,
                 "write_raster: the no-data value fits the cell type");
  } else {
    base::ensure(std::isfinite(info.nodata), "write_raster: the no-data value is finite");
  }
  return static_cast<T>(info.nodata);
}

/// Cells as they go into the file; a promise is broken when a cell with data looks like one without.
template <class T>
terrain::Grid<T> with_nodata(const terrain::Grid<T>& cells, const terrain::Grid<std::uint8_t>& valid,
                             T nodata, base::Workers workers) {
  auto out = terrain::Grid<T>::unwritten(cells.rows(), cells.cols());
  std::atomic<bool> good{true};
  constexpr std::int64_t kStripes = 64;
  base::parallel_stripes(out.cells(), kStripes, workers, [&](std::int64_t begin, std::int64_t end) {
    bool all_good = true;
    for (std::int64_t i = begin; i < end; ++i) {
      const T value = cells[i];
      if (!valid.empty() && valid[i] == 0) {
        out[i] = nodata;
        continue;
      }
      out[i] = value;
      if constexpr (std::is_same_v<T, float>) {
        all_good = all_good && std::isfinite(value);
      }
      all_good = all_good && !(value >= nodata && value <= nodata);
    }
    if (!all_good) {
      good = false;
    }
  });
  base::ensure(good, "write_raster: cells with data are finite and differ from the no-data value");
  return out;
}

void write_cog(const std::string& path, GDALDataset& source, double nodata, const Projection& projection,
               const RasterInfo& info) {
  detail::GdalMessages messages;
  const OGRSpatialReference system = detail::spatial_reference(projection.wkt);
  base::ensure(source.SetSpatialRef(&system) == CE_None, "write_raster: GDAL takes the coordinate system");
  GDALRasterBand& band = *source.GetRasterBand(1);
  band.SetNoDataValue(nodata);
  band.SetDescription(info.description.c_str());
  band.SetUnitType(info.unit.c_str());
  if (!info.caution.empty()) {
    source.SetMetadataItem("CAUTION", info.caution.c_str());
  }
  const std::string threads = fmt::format("NUM_THREADS={}", info.workers.threads);
  const std::string overviews = fmt::format("OVERVIEW_RESAMPLING={}", resampling(info.overviews));
  const char* options[] = {"COMPRESS=DEFLATE", "LEVEL=1",       "PREDICTOR=YES",   "BLOCKSIZE=512",
                           "BIGTIFF=IF_SAFER", threads.c_str(), overviews.c_str(), nullptr};
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("COG");
  base::ensure(driver != nullptr, "GDAL has its COG driver");
  detail::PartialFile file(path);
  messages.forget();
  detail::DatasetPtr written(driver->CreateCopy(file.partial().c_str(), &source, FALSE,
                                                const_cast<char**>(options), nullptr, nullptr));
  messages.throw_if_failed(path, kCannot, kCheckDisk);
  base::ensure(written != nullptr, "GDAL writes the raster or says why not");
  written.reset();
  messages.throw_if_failed(path, kCannot, kCheckDisk);
  file.commit();
}

/// Coarser views beside the raster in memory: the COG driver then takes these, instead of writing and reading
/// back a compressed file of its own. A quarter as wide each until the smallest is within one block: halves
/// would be a third of the file's work, these are a fifteenth, and a viewer reads at most sixteen cells for
/// one that it shows.
void add_coarser_views(GDALDataset& source, double nodata, const RasterInfo& info) {
  constexpr int kBlock = 512;
  std::vector<int> factors;
  int width = source.GetRasterXSize();
  int height = source.GetRasterYSize();
  constexpr int kCoarser = 4;
  for (int factor = kCoarser; width > kBlock || height > kBlock; factor *= kCoarser) {
    factors.push_back(factor);
    width = (source.GetRasterXSize() + factor - 1) / factor;
    height = (source.GetRasterYSize() + factor - 1) / factor;
  }
  if (factors.empty()) {
    return;
  }
  source.GetRasterBand(1)->SetNoDataValue(nodata);
  detail::GdalMessages messages;
  const CPLErr status = source.BuildOverviews(resampling(info.overviews), static_cast<int>(factors.size()),
                                              factors.data(), 0, nullptr, nullptr, nullptr, nullptr);
  base::ensure(status == CE_None && !messages.failed(), "write_raster: coarser views are made in memory");
}

template <class T>
void write(const std::string& path, const terrain::GridFrame& frame, const terrain::Grid<T>& cells,
           const terrain::Grid<std::uint8_t>& valid, const Projection& projection, const RasterInfo& info) {
  base::ensure(cells.rows() == frame.rows && cells.cols() == frame.cols && cells.cells() > 0,
               "write_raster: cells fit the frame");
  base::ensure(valid.empty() || (valid.rows() == frame.rows && valid.cols() == frame.cols),
               "write_raster: valid fits the frame");
  const T nodata = nodata_of<T>(info);
  terrain::Grid<T> out = with_nodata(cells, valid, nodata, info.workers);
  detail::start_gdal();
  const detail::DatasetPtr source =
      detail::memory_raster(frame, gdal_type<T>(), out.data(), projection.metres_per_unit);
  add_coarser_views(*source, static_cast<double>(nodata), info);
  write_cog(path, *source, static_cast<double>(nodata), projection, info);
}

}  // namespace

void write_raster(const std::string& path, const terrain::GridFrame& frame, const terrain::Grid<float>& cells,
                  const terrain::Grid<std::uint8_t>& valid, const Projection& projection,
                  const RasterInfo& info) {
  write(path, frame, cells, valid, projection, info);
}

void write_raster(const std::string& path, const terrain::GridFrame& frame,
                  const terrain::Grid<std::int32_t>& cells, const terrain::Grid<std::uint8_t>& valid,
                  const Projection& projection, const RasterInfo& info) {
  write(path, frame, cells, valid, projection, info);
}

void write_raster(const std::string& path, const terrain::GridFrame& frame,
                  const terrain::Grid<std::int16_t>& cells, const terrain::Grid<std::uint8_t>& valid,
                  const Projection& projection, const RasterInfo& info) {
  write(path, frame, cells, valid, projection, info);
}

void write_raster(const std::string& path, const terrain::GridFrame& frame,
                  const terrain::Grid<std::uint8_t>& cells, const terrain::Grid<std::uint8_t>& valid,
                  const Projection& projection, const RasterInfo& info) {
  write(path, frame, cells, valid, projection, info);
}

void limit_block_cache(std::int64_t bytes) { GDALSetCacheMax64(bytes); }

void write_raster_rows(const std::string& path, const terrain::GridFrame& frame, CellType type,
                       const FillRow& fill_row, const Projection& projection, const RasterInfo& info) {
  detail::start_gdal();
  // Coarser views are made and rows are copied in pieces of this many bytes, not of GDAL's 10 MB.
  const detail::ThreadSetting views("GDAL_OVR_CHUNK_MAX_SIZE", "4000000");
  const detail::ThreadSetting swath("GDAL_SWATH_SIZE", "4000000");
  const GDALDataType types[] = {GDT_Float32, GDT_Float64, GDT_Int32, GDT_Int16};
  detail::RowsDataset source(frame, types[static_cast<std::size_t>(type)], fill_row,
                             projection.metres_per_unit);
  try {
    write_cog(path, source, info.nodata, projection, info);
  } catch (const base::InputError&) {
    source.rethrow();
    throw;
  }
  source.rethrow();
}

}  // namespace curbshed::geodata
