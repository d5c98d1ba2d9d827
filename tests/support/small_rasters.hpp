// Small rasters made with GDAL, for tests that read them.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <gdal_priv.h>
#include <gtest/gtest.h>
#include <ogr_spatialref.h>

namespace curbshed::testing {

struct SmallRaster {
  std::string crs = "EPSG:32612";                                    ///< "" = none
  std::array<double, 6> place = {500000, 0.5, 0, 3600000, 0, -0.5};  ///< all zero = none
  int cols = 3;
  std::vector<double> cells = {1, 2, 3, 4, 5, 6};
  GDALDataType type = GDT_Float32;
  int bands = 1;
  std::string unit = {};
  std::optional<double> nodata = {};
  std::optional<double> scale = {};
  std::optional<double> offset = {};
  bool colours = false;
};

inline std::string make_raster(const std::string& path, const SmallRaster& raster) {
  GDALAllRegister();
  const int rows = static_cast<int>(raster.cells.size()) / raster.cols;
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GTiff");
  const char* options[] = {raster.colours ? "PHOTOMETRIC=PALETTE" : "INTERLEAVE=PIXEL", nullptr};
  GDALDataset* file =
      driver->Create(path.c_str(), raster.cols, rows, raster.bands, raster.type, const_cast<char**>(options));
  std::array<double, 6> place = raster.place;
  if (place[1] > 0.0 || place[1] < 0.0) {
    file->SetGeoTransform(place.data());
  }
  if (!raster.crs.empty()) {
    OGRSpatialReference system;
    system.SetFromUserInput(raster.crs.c_str());
    system.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    file->SetSpatialRef(&system);
  }
  for (int b = 1; b <= raster.bands; ++b) {
    GDALRasterBand* band = file->GetRasterBand(b);
    if (!raster.unit.empty()) {
      band->SetUnitType(raster.unit.c_str());
    }
    if (raster.nodata) {
      band->SetNoDataValue(*raster.nodata);
    }
    if (raster.scale) {
      band->SetScale(*raster.scale);
    }
    if (raster.offset) {
      band->SetOffset(*raster.offset);
    }
    if (raster.colours) {
      GDALColorTable table(GPI_RGB);
      const GDALColorEntry green = {0, 200, 0, 255};
      table.SetColorEntry(0, &green);
      band->SetColorTable(&table);
    }
    std::vector<double> cells = raster.cells;
    EXPECT_EQ(band->RasterIO(GF_Write, 0, 0, raster.cols, rows, cells.data(), raster.cols, rows, GDT_Float64,
                             0, 0, nullptr),
              CE_None);
  }
  GDALClose(file);
  return path;
}

}  // namespace curbshed::testing
