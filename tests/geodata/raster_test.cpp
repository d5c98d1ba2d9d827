#include "curbshed/geodata/raster.hpp"

#include "curbshed/geodata/ground.hpp"

#include "support/run_tool.hpp"
#include "support/small_disk.hpp"
#include "support/temp_folder.hpp"

#include <cmath>
#include <cstring>
#include <filesystem>
#include <limits>
#include <random>

#include <gdal_priv.h>
#include <gtest/gtest.h>

namespace curbshed::geodata {
namespace {

using testing::read_text;
using testing::run_tool;
using testing::TempFolder;

terrain::GridFrame frame_of(std::int64_t rows, std::int64_t cols) {
  return {.west_m = 500000, .north_m = 3600000, .cell_m = 0.5, .rows = rows, .cols = cols};
}

const Projection& utm12() {
  static const Projection projection = read_projection("EPSG:32612", {});
  return projection;
}

terrain::Grid<float> hills(std::int64_t rows, std::int64_t cols) {
  terrain::Grid<float> grid(rows, cols);
  std::mt19937 random(5);
  for (std::int64_t i = 0; i < grid.cells(); ++i) {
    grid[i] = static_cast<float>(100.0 + 3.0 * std::sin(static_cast<double>(i % cols) / 40.0) +
                                 1e-3 * static_cast<double>(random() % 50));
  }
  return grid;
}

/// All cells of one overview (0 = the raster itself) as numbers, without those that hold no data.
std::vector<double> numbers_of(const std::string& file, int overview) {
  std::vector<double> numbers;
  GDALAllRegister();
  GDALDataset* dataset = GDALDataset::Open(file.c_str());
  EXPECT_NE(dataset, nullptr);
  if (dataset == nullptr) {
    return numbers;
  }
  GDALRasterBand* band = dataset->GetRasterBand(1);
  if (overview > 0) {
    band = band->GetOverview(overview - 1);
  }
  std::vector<double> all(static_cast<std::size_t>(band->GetXSize()) *
                          static_cast<std::size_t>(band->GetYSize()));
  EXPECT_EQ(band->RasterIO(GF_Read, 0, 0, band->GetXSize(), band->GetYSize(), all.data(), band->GetXSize(),
                           band->GetYSize(), GDT_Float64, 0, 0, nullptr),
            CE_None);
  int has = 0;
  const double nodata = band->GetNoDataValue(&has);
  for (const double value : all) {
    if (has == 0 || std::abs(value - nodata) > 1e-9) {
      numbers.push_back(value);
    }
  }
  GDALClose(dataset);
  return numbers;
}

TEST(WriteRaster, HeightsComeBackBitForBit) {
  const TempFolder folder;
  terrain::Grid<float> cells = hills(700, 600);
  terrain::Grid<std::uint8_t> valid(700, 600, 1);
  valid[5] = 0;
  cells[5] = std::numeric_limits<float>::quiet_NaN();  // never looked at
  write_raster(folder.file("ground_used_m.tif"), frame_of(700, 600), cells, valid, utm12(),
               {.description = "Ground heights", .unit = "m", .caution = "Screening only"});
  const GroundData back = read_ground({.file = folder.file("ground_used_m.tif")});
  EXPECT_EQ(back.height_unit, "m");
  EXPECT_EQ(back.ground.valid.values(), valid.values());
  EXPECT_EQ(back.cells_without_height, 1);
  cells[5] = 0.0F;
  EXPECT_EQ(std::memcmp(back.ground.height_m.data(), cells.data(),
                        static_cast<std::size_t>(cells.cells()) * sizeof(float)),
            0);
  EXPECT_DOUBLE_EQ(back.ground.frame.west_m, 500000);
  EXPECT_EQ(back.projection.code, "EPSG:32612");
}

TEST(WriteRaster, ThreadsDoNotChangeTheBytes) {
  const TempFolder folder;
  const terrain::Grid<float> cells = hills(1300, 1100);
  for (const int threads : {1, 2, 4}) {
    write_raster(folder.file(std::to_string(threads)), frame_of(1300, 1100), cells, {}, utm12(),
                 {.unit = "m", .workers = {.threads = threads}});
  }
  const std::string one = read_text(folder.file("1"));
  EXPECT_GT(one.size(), 1000U);
  EXPECT_TRUE(one == read_text(folder.file("2")));
  EXPECT_TRUE(one == read_text(folder.file("4")));
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder.path()), {}), 3);
}

TEST(WriteRaster, OverviewsNeverMixInNodata) {
  const TempFolder folder;
  terrain::Grid<float> cells = hills(2200, 2200);
  terrain::Grid<std::uint8_t> valid(2200, 2200, 1);
  for (std::int64_t i = 0; i < cells.cells(); i += 3) {
    valid[i] = 0;
  }
  write_raster(folder.file("a.tif"), frame_of(2200, 2200), cells, valid, utm12(), {.unit = "m"});
  for (const int overview : {1, 2}) {
    const std::vector<double> numbers = numbers_of(folder.file("a.tif"), overview);
    EXPECT_FALSE(numbers.empty());
    for (const double value : numbers) {
      ASSERT_GT(value, 96.0);
      ASSERT_LT(value, 104.0);
    }
  }
}

TEST(WriteRaster, CodesKeepTheirValuesInOverviews) {
  const TempFolder folder;
  terrain::Grid<std::int16_t> bearings(1100, 1100);
  for (std::int64_t i = 0; i < bearings.cells(); ++i) {
    bearings[i] = static_cast<std::int16_t>((i * 7 % 8) * 45);
  }
  write_raster(folder.file("water_runs_toward_deg.tif"), frame_of(1100, 1100), bearings, {}, utm12(),
               {.nodata = -32768, .overviews = Overviews::Nearest, .unit = "deg"});
  for (const double value : numbers_of(folder.file("water_runs_toward_deg.tif"), 1)) {
    ASSERT_EQ(std::fmod(value, 45.0), 0.0);
  }
}

TEST(WriteRaster, EveryCellTypeHasItsNodata) {
  const TempFolder folder;
  const terrain::GridFrame frame = frame_of(2, 2);
  terrain::Grid<std::uint8_t> valid(2, 2, 1);
  valid[3] = 0;
  write_raster(folder.file("a"), frame, terrain::Grid<std::int32_t>(2, 2, 2000000000), valid, utm12(),
               {.nodata = -1});
  write_raster(folder.file("b"), frame, terrain::Grid<std::int16_t>(2, 2, -1), valid, utm12(),
               {.nodata = -32768});
  write_raster(folder.file("c"), frame, terrain::Grid<std::uint8_t>(2, 2, 7), valid, utm12(),
               {.nodata = 255});
  EXPECT_EQ(numbers_of(folder.file("a"), 0), std::vector<double>(3, 2000000000));
  EXPECT_EQ(numbers_of(folder.file("b"), 0), std::vector<double>(3, -1));
  EXPECT_EQ(numbers_of(folder.file("c"), 0), std::vector<double>(3, 7));
}

TEST(WriteRaster, CellsWithDataNeverLookLikeNodata) {
  const TempFolder folder;
  const terrain::GridFrame frame = frame_of(2, 2);
  const float nan = std::numeric_limits<float>::quiet_NaN();
  EXPECT_THROW(write_raster(folder.file("a"), frame, terrain::Grid<float>(2, 2, nan), {}, utm12(), {}),
               base::BugError);
  EXPECT_THROW(write_raster(folder.file("a"), frame, terrain::Grid<float>(2, 2, -9999.0F), {}, utm12(), {}),
               base::BugError);
  EXPECT_THROW(write_raster(folder.file("a"), frame, terrain::Grid<std::uint8_t>(2, 2, 1), {}, utm12(),
                            {.nodata = -1}),
               base::BugError);
  EXPECT_THROW(write_raster(folder.file("a"), frame, terrain::Grid<float>(3, 2, 1.0F), {}, utm12(), {}),
               base::BugError);
}

TEST(WriteRaster, OtherToolsOpenItQuietly) {
  const TempFolder folder;
  const std::string file = folder.file("travel_time_s.tif");
  const Projection feet = read_projection("EPSG:2994", {});
  const terrain::GridFrame frame{
      .west_m = 635700 * 0.3048, .north_m = 853430 * 0.3048, .cell_m = 3 * 0.3048, .rows = 600, .cols = 700};
  write_raster(file, frame, hills(600, 700), {}, feet,
               {.description = "Travel time", .unit = "s", .caution = "Screening only"});
  const auto run = run_tool("gdalinfo " + file);
  EXPECT_EQ(run.status, 0);
  EXPECT_EQ(run.text.find("Warning "), std::string::npos) << run.text;
  EXPECT_EQ(run.text.find("ERROR"), std::string::npos) << run.text;
  for (const char* part : {"LAYOUT=COG", "COMPRESSION=DEFLATE", "Block=512x512", "Description = Travel time",
                           "Unit Type: s", "NoData Value=-9999", "CAUTION=Screening only", "Origin = (635700",
                           "Pixel Size = (3.0000", "ID[\"EPSG\",2994]"}) {
    EXPECT_NE(run.text.find(part), std::string::npos) << part << "\n" << run.text;
  }
}

TEST(WriteRaster, AFolderThatIsNotThereIsTheUsersError) {
  EXPECT_THROW(write_raster("/no/such/folder/a.tif", frame_of(2, 2), terrain::Grid<float>(2, 2, 1.0F), {},
                            utm12(), {}),
               base::InputError);
}

TEST(WriteRaster, AFullDiskLeavesTheOldFileWhole) {
  const TempFolder folder;
  const std::string file = folder.write("a.tif", "old");
  const terrain::Grid<float> cells = hills(1200, 1200);
  for (const std::int64_t bytes : {100, 5000, 500000}) {
    for (const int threads : {1, 2}) {
      const testing::SmallDisk disk(bytes);
      EXPECT_THROW(
          write_raster(file, frame_of(1200, 1200), cells, {}, utm12(), {.workers = {.threads = threads}}),
          base::InputError)
          << bytes;
    }
  }
  EXPECT_EQ(read_text(file), "old");
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder.path()), {}), 1);
}

}  // namespace
}  // namespace curbshed::geodata
