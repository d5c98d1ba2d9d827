// What every unit that calls GDAL needs: start, errors as text, owned handles, files replaced in one step.
#pragma once

#include "curbshed/base/error.hpp"
#include "curbshed/geodata/projection.hpp"

#include <memory>
#include <string>
#include <string_view>

#include <gdal_priv.h>
#include <ogr_spatialref.h>

namespace curbshed::geodata::detail {

/// Registers the drivers, once.
void start_gdal();

struct CloseDataset {
  void operator()(GDALDataset* dataset) const { GDALClose(GDALDataset::ToHandle(dataset)); }
};
using DatasetPtr = std::unique_ptr<GDALDataset, CloseDataset>;

/// While it lives, GDAL's and PROJ's messages of this thread are kept here and not printed.
class GdalMessages {
 public:
  GdalMessages();
  ~GdalMessages();
  GdalMessages(const GdalMessages&) = delete;
  GdalMessages& operator=(const GdalMessages&) = delete;

  bool failed() const { return !first_failure_.empty(); }
  const std::string& first_failure() const { return first_failure_; }
  const std::string& last_warning() const { return last_warning_; }
  void forget();
  /// Throws InputError for `file` when something failed. `doing`: "could not be written".
  void throw_if_failed(const std::string& file, std::string_view doing, std::string_view next) const;

 private:
  static void take(CPLErr level, CPLErrorNum number, const char* text);
  std::string first_failure_;
  std::string last_warning_;
};

/// A setting of GDAL for this thread, until the end of the scope.
class ThreadSetting {
 public:
  ThreadSetting(const char* key, const char* value);
  ~ThreadSetting();
  ThreadSetting(const ThreadSetting&) = delete;
  ThreadSetting& operator=(const ThreadSetting&) = delete;

 private:
  const char* key_;
  std::string before_;
  bool was_set_;
};

/// Opens for reading or throws InputError: no such file, or `not_this` ("is not a raster that can be read").
DatasetPtr open_file(const std::string& file, unsigned flags, const char* const* open_options,
                     std::string_view not_this, std::string_view next);

/// A file that is written under another name and takes its own at commit.
class PartialFile {
 public:
  explicit PartialFile(std::string path);
  ~PartialFile();
  PartialFile(const PartialFile&) = delete;
  PartialFile& operator=(const PartialFile&) = delete;
  const std::string& partial() const { return partial_; }
  void commit();

 private:
  std::string path_;
  std::string partial_;
  bool done_ = false;
};

/// With east (longitude) first.
OGRSpatialReference spatial_reference(const std::string& text);
/// Horizontal part of a system, east first.
OGRSpatialReference horizontal(const OGRSpatialReference& system);
std::string wkt_of(const OGRSpatialReference& system);
std::string name_of(const OGRSpatialReference& system);
Projection checked_projection(const OGRSpatialReference* system, const base::Where& where,
                              std::optional<base::Point> centre);

}  // namespace curbshed::geodata::detail
