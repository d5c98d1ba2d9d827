// GDAL's geometries as our shapes.
#pragma once

#include "curbshed/base/geometry.hpp"

#include <string>

#include <ogr_geometry.h>

namespace curbshed::geodata::detail {

base::ShapeKind kind_of(const OGRGeometry& geometry);
/// "a point", "a line", "a polygon", "a shape of another kind"
std::string kind_words(base::ShapeKind kind);

/// The shape, or why it cannot be used. Coordinates are those of `geometry` times `metres_per_unit`.
struct ShapeOrReason {
  base::Shape shape;
  std::string reason;
};
/// `geometry` is flat and straight (see read_layer). Points, lines with a length in every part, valid
/// polygons.
ShapeOrReason from_ogr(const OGRGeometry& geometry, double metres_per_unit);

/// Every coordinate is a finite number.
bool all_finite(const OGRGeometry& geometry);

}  // namespace curbshed::geodata::detail
