// Writes map layers to a GeoPackage 1.3.
#pragma once

#include "curbshed/base/table.hpp"
#include "curbshed/geodata/projection.hpp"

#include <string>
#include <vector>

namespace curbshed::geodata {

struct GeoPackageInfo {
  std::string caution = {};  ///< goes into the metadata of every layer
  std::string date =
      "2000-01-01T00:00:00Z";  ///< the only date in the file; fixed, so that equal layers give equal bytes
};

/// One table a layer, in the order given, also when it has no rows. Lines and polygons are written as
/// multi-part features, points as points unless some feature has several. Kind None makes a table without
/// shapes. Titles and units of columns are in gpkg_data_columns. An existing file is replaced at the end, in
/// one step. Throws BugError for layers that base::check refuses or names used twice, InputError when the
/// file cannot be written.
void write_geopackage(const std::string& path, const std::vector<base::MapLayer>& layers,
                      const Projection& projection, const GeoPackageInfo& info);

}  // namespace curbshed::geodata
