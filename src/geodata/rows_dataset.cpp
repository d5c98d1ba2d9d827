#include "rows_dataset.hpp"

#include <algorithm>
#include <iterator>
#include <string>

namespace curbshed::geodata::detail {
namespace {

class RowsBand : public GDALRasterBand {
 public:
  RowsBand(RowsDataset* dataset, GDALDataType type) : rows_(dataset) {
    poDS = dataset;
    nBand = 1;
    eDataType = type;
    nBlockXSize = dataset->GetRasterXSize();
    nBlockYSize = 1;
  }
  double GetNoDataValue(int* has) override {
    if (has != nullptr) {
      *has = has_nodata_ ? TRUE : FALSE;
    }
    return nodata_;
  }
  CPLErr SetNoDataValue(double value) override {
    nodata_ = value;
    has_nodata_ = true;
    return CE_None;
  }
  const char* GetUnitType() override { return unit_.c_str(); }
  CPLErr SetUnitType(const char* unit) override {
    unit_ = unit;
    return CE_None;
  }

 protected:
  CPLErr IReadBlock(int, int row, void* cells) override {
    if (rows_->fill(row, cells)) {
      return CE_None;
    }
    CPLError(CE_Failure, CPLE_AppDefined, "a row could not be made");
    return CE_Failure;
  }

 private:
  RowsDataset* rows_;
  double nodata_ = 0.0;
  bool has_nodata_ = false;
  std::string unit_;
};

}  // namespace

RowsDataset::RowsDataset(const terrain::GridFrame& frame, GDALDataType type,
                         std::function<void(std::int64_t row, void* cells)> fill_row, double metres_per_unit)
    : frame_(frame), fill_row_(std::move(fill_row)), metres_per_unit_(metres_per_unit) {
  nRasterXSize = static_cast<int>(frame.cols);
  nRasterYSize = static_cast<int>(frame.rows);
  SetBand(1, new RowsBand(this, type));  // the dataset owns it
}

CPLErr RowsDataset::GetGeoTransform(double* transform) {
  const double cell = frame_.cell_m / metres_per_unit_;
  const double place[] = {frame_.west_m / metres_per_unit_,  cell, 0.0,
                          frame_.north_m / metres_per_unit_, 0.0,  -cell};
  std::copy(std::begin(place), std::end(place), transform);
  return CE_None;
}

const OGRSpatialReference* RowsDataset::GetSpatialRef() const { return &system_; }

CPLErr RowsDataset::SetSpatialRef(const OGRSpatialReference* system) {
  system_ = *system;
  return CE_None;
}

bool RowsDataset::fill(std::int64_t row, void* cells) {
  if (failure_) {
    return false;
  }
  try {
    fill_row_(row, cells);
    return true;
  } catch (...) {
    failure_ = std::current_exception();  // no exception may pass through GDAL
    return false;
  }
}

void RowsDataset::rethrow() const {
  if (failure_) {
    std::rethrow_exception(failure_);
  }
}

}  // namespace curbshed::geodata::detail
