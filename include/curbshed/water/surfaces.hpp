// Kinds of ground and what they do with rain.
#pragma once

#include "curbshed/water/losses.hpp"

#include <array>
#include <cstdint>
#include <span>
#include <string_view>

namespace curbshed::water {

enum class SoilGroup : std::uint8_t { A, B, C, D };  ///< hydrologic soil group
/// "A" to "D", either case. Anything else: InputError that lists them.
SoilGroup soil_group(std::string_view name);
char letter(SoilGroup group);

enum class SurfaceKind : std::uint8_t { Street, Roof, YardPaving, Loose, Planted };

/// One row of the compiled-in table. Mixed rows (districts, lots by size) are left out on purpose: roofs,
/// paving and yards are mapped here each for itself, and a mixed number would count the hard ground twice.
struct SurfaceClass {
  std::string_view name;               ///< as in study files: "yard_desert"
  std::array<double, 4> curve_number;  ///< soil groups A, B, C, D
  double sheet_roughness;              ///< Manning n of sheet flow
  bool paved;                          ///< speed of shallow concentrated flow: paved or unpaved
  bool pervious;                       ///< may take water that runs onto it
  SurfaceKind kind;
  std::string_view source;  ///< of the curve numbers
  std::string_view roughness_source;

  CurveNumber curve_number_for(SoilGroup group) const {
    return CurveNumber::of(curve_number[static_cast<std::size_t>(group)]);
  }
};

/// All classes, in the order of the table in the docs.
std::span<const SurfaceClass> surface_classes();
/// By name, exact. Unknown: InputError that lists all names.
const SurfaceClass& surface_class(std::string_view name);

}  // namespace curbshed::water
