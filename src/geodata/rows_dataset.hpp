// A raster that makes its rows when they are asked for.
#pragma once

#include "curbshed/terrain/grid.hpp"

#include "gdal_support.hpp"

#include <cstdint>
#include <exception>
#include <functional>

namespace curbshed::geodata::detail {

/// One band; blocks are whole rows.
class RowsDataset : public GDALDataset {
 public:
  RowsDataset(const terrain::GridFrame& frame, GDALDataType type,
              std::function<void(std::int64_t row, void* cells)> fill_row, double metres_per_unit);

  CPLErr GetGeoTransform(double* transform) override;
  const OGRSpatialReference* GetSpatialRef() const override;
  CPLErr SetSpatialRef(const OGRSpatialReference* system) override;

  /// False, and the reason kept, when the row could not be made.
  bool fill(std::int64_t row, void* cells);
  /// Throws what fill_row threw first.
  void rethrow() const;

 private:
  terrain::GridFrame frame_;
  std::function<void(std::int64_t row, void* cells)> fill_row_;
  double metres_per_unit_;
  OGRSpatialReference system_;
  std::exception_ptr failure_;
};

}  // namespace curbshed::geodata::detail
