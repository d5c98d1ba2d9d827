// Whether the way between two coordinate systems is known well.
#pragma once

#include "gdal_support.hpp"

namespace curbshed::geodata::detail {

/// True when the two systems stand on different datums and the best way between them that PROJ has here is a
/// guess, has no stated accuracy, or one of 1 m or worse: points may then lie 1 to 2 m off, wider than a curb
/// cut.
bool datum_shift_unknown(const OGRSpatialReference& from, const OGRSpatialReference& to);

}  // namespace curbshed::geodata::detail
