// Soils by texture and by how fast they take water.
#pragma once

#include "curbshed/base/quantity.hpp"
#include "curbshed/water/infiltration.hpp"
#include "curbshed/water/surfaces.hpp"

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace curbshed::water {

inline constexpr std::string_view kTextureSource =
    "Rawls, Brakensiek & Miller 1983, J. Hydraul. Eng. 109(1):62-70, as in Bedient, Huber & Vieux, Hydrology "
    "and "
    "Floodplain Analysis, 5th ed., table 2-4";
inline constexpr std::string_view kSoilGroupSource =
    "NRCS National Engineering Handbook part 630, ch. 7 (January 2009), table 7-1 (limits as cited in a "
    "script of the "
    "USDA; table itself not opened)";

/// One texture: means of the table. Loam's K under silt loam's, and clay loam's effective porosity of 0.309,
/// are so in the source.
struct SoilTexture {
  std::string_view name;  ///< "sandy_loam"
  double porosity;
  double effective_porosity;
  double suction_m;
  double conductivity_m_s;
};
std::span<const SoilTexture> soil_textures();
/// By name, exact. Unknown: InputError that lists all names.
const SoilTexture& soil_texture(std::string_view name);
/// Δθ = (1 − Se) θe; Se = share of the effective pores that hold water, 0 to 1 (InputError).
GreenAmptSoil green_ampt_soil(const SoilTexture& texture, double effective_saturation);

/// Depths below the ground; absent = deeper than any limit of the table.
struct SoilDepths {
  std::optional<base::Length> impermeable = {};  ///< ≥ 0
  std::optional<base::Length> water_table = {};  ///< ≥ 0
};
struct SoilGroupFound {
  SoilGroup group = SoilGroup::D;  ///< as drained
  bool dual = false;               ///< D unless drained: "A/D"
  std::string name() const;
};
/// Group from the saturated conductivity of the least transmissive layer over the depth that the table takes
/// (0 to 50, 60 or 100 cm). conductivity ≥ 0, else InputError. Source: kSoilGroupSource.
SoilGroupFound soil_group_of(base::Rate conductivity, const SoilDepths& depths = {});

}  // namespace curbshed::water
