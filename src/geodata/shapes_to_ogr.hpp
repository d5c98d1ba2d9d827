// Our shapes and grids in GDAL's types.
#pragma once

#include "curbshed/base/geometry.hpp"
#include "curbshed/terrain/grid.hpp"

#include "gdal_support.hpp"

#include <memory>

#include <ogr_geometry.h>

namespace curbshed::geodata::detail {

/// Coordinates are divided by `metres_per_unit`. `multi`: always a multi-part geometry. Null for a shape of
/// no kind.
std::unique_ptr<OGRGeometry> to_ogr(const base::Shape& shape, double metres_per_unit, bool multi);

/// A raster over cells that stay ours: `cells` must outlive it.
DatasetPtr memory_raster(const terrain::GridFrame& frame, GDALDataType type, void* cells,
                         double metres_per_unit);

}  // namespace curbshed::geodata::detail
