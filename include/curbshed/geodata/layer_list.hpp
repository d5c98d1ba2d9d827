// What a map file holds, before anything is read.
#pragma once

#include "curbshed/base/geometry.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace curbshed::geodata {

/// One layer of a map file, before it is read.
struct LayerHead {
  std::string name;
  base::ShapeKind kind = base::ShapeKind::None;  ///< None: a table, or shapes of several kinds
  std::int64_t features = 0;
  std::string crs_name;             ///< "" = the layer does not say
  std::vector<std::string> fields;  ///< in the file's order
};
/// Every layer of the file. InputErrors: no such file, not a map file.
std::vector<LayerHead> list_layers(const std::string& file);

}  // namespace curbshed::geodata
