#include "curbshed/water/soils.hpp"

#include "curbshed/base/error.hpp"

#include <array>

#include <fmt/format.h>

namespace curbshed::water {
namespace {

constexpr double cm(double v) { return v / 100.0; }
constexpr double cm_h(double v) { return v / 100.0 / 3600.0; }

// kTextureSource: porosity, effective porosity, suction cm, K cm/h.
constexpr std::array<SoilTexture, 11> kTextures{{
    {"sand", 0.437, 0.417, cm(4.95), cm_h(11.78)},
    {"loamy_sand", 0.437, 0.401, cm(6.13), cm_h(2.99)},
    {"sandy_loam", 0.453, 0.412, cm(11.01), cm_h(1.09)},
    {"loam", 0.463, 0.434, cm(8.89), cm_h(0.34)},
    {"silt_loam", 0.501, 0.486, cm(16.68), cm_h(0.65)},
    {"sandy_clay_loam", 0.398, 0.330, cm(21.85), cm_h(0.15)},
    {"clay_loam", 0.464, 0.309, cm(20.88), cm_h(0.10)},
    {"silty_clay_loam", 0.471, 0.432, cm(27.30), cm_h(0.10)},
    {"sandy_clay", 0.430, 0.321, cm(23.90), cm_h(0.06)},
    {"silty_clay", 0.479, 0.423, cm(29.22), cm_h(0.05)},
    {"clay", 0.475, 0.385, cm(31.63), cm_h(0.03)},
}};

/// Lower limits of A, B and C, µm/s; at or under the last: D.
using Limits = std::array<double, 3>;
constexpr Limits kShallow{40.0, 10.0, 1.0};  ///< least layer of 0-50 or 0-60 cm
constexpr Limits kDeep{10.0, 4.0, 0.4};      ///< least layer of 0-100 cm

SoilGroup by_limits(double um_s, const Limits& limits) {
  for (std::size_t g = 0; g < limits.size(); ++g) {
    if (um_s > limits[g]) return static_cast<SoilGroup>(g);
  }
  return SoilGroup::D;
}

double depth_cm(const std::optional<base::Length>& depth, const char* of) {
  if (!depth) return 1e9;
  const double value = depth->in_metres() * 100.0;
  if (value >= 0.0) return value;
  throw base::InputError({}, fmt::format("a depth of {:g} cm to {} is not usable", value, of), "0 cm or more",
                         "give the depth below the ground");
}

}  // namespace

std::span<const SoilTexture> soil_textures() { return kTextures; }

const SoilTexture& soil_texture(std::string_view name) {
  std::string names;
  for (const SoilTexture& texture : kTextures) {
    if (texture.name == name) return texture;
    names += (names.empty() ? "" : ", ") + std::string(texture.name);
  }
  throw base::InputError({}, fmt::format("there is no soil texture \"{}\"", name), names, "take one of them");
}

GreenAmptSoil green_ampt_soil(const SoilTexture& texture, double effective_saturation) {
  const double Se = base::detail::within(effective_saturation, 0.0, 1.0, "effective saturation");
  return {.suction = base::Length::metres(texture.suction_m),
          .deficit = (1.0 - Se) * texture.effective_porosity,
          .conductivity = base::Rate::metres_per_second(texture.conductivity_m_s)};
}

std::string SoilGroupFound::name() const {
  const std::string one(1, letter(group));
  return dual && group != SoilGroup::D ? one + "/D" : one;
}

SoilGroupFound soil_group_of(base::Rate conductivity, const SoilDepths& depths) {
  const double um_s = conductivity.in_metres_per_second() * 1e6;
  if (!(um_s >= 0.0)) {
    throw base::InputError({}, fmt::format("a conductivity of {:g} um/s is not usable", um_s),
                           "0 um/s or more", "give the saturated conductivity");
  }
  const double hard_cm = depth_cm(depths.impermeable, "the impermeable layer");
  const double water_cm = depth_cm(depths.water_table, "the water table");
  if (hard_cm < 50.0) return {};
  SoilGroupFound found{.group = SoilGroup::D, .dual = water_cm < 60.0};
  const bool deep = hard_cm > 100.0 && (water_cm < 60.0 || water_cm > 100.0);
  found.group = by_limits(um_s, deep ? kDeep : kShallow);
  found.dual = found.dual && found.group != SoilGroup::D;
  return found;
}

}  // namespace curbshed::water
