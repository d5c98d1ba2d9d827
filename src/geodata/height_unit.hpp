// Which unit a raster's heights are in, and why.
#pragma once

#include "curbshed/geodata/ground.hpp"

#include "gdal_support.hpp"

#include <optional>

namespace curbshed::geodata::detail {

struct HeightUnit {
  std::string name;  ///< m, ft, usft
  double metres = 1.0;
  HeightUnitOrigin origin = HeightUnitOrigin::Band;
  std::string evidence;
};

/// Band → vertical system → study; nothing when none says. Throws InputError for a study word that is no unit
/// and for contradictions.
std::optional<HeightUnit> height_unit_of(GDALRasterBand& band, const OGRSpatialReference* system,
                                         const GroundSource& source);

/// The error for heights without a unit. `raw` holds the heights as in the file.
base::InputError no_height_unit(const GroundSource& source, const std::string& band_unit,
                                const terrain::Ground& raw);

}  // namespace curbshed::geodata::detail
