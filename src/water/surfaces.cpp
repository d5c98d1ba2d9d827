#include "curbshed/water/surfaces.hpp"

#include "curbshed/base/error.hpp"

#include <string>

#include <fmt/format.h>

namespace curbshed::water {
namespace {

constexpr std::string_view kUrban = "NRCS TR-55, 2nd ed., 1986, table 2-2a";
constexpr std::string_view kDesert = "NRCS TR-55, 2nd ed., 1986, table 2-2d, desert shrub";
// The rows of table 3-1 are published; which row stands for which of our classes is our choice.
constexpr std::string_view kSmooth =
    "NRCS TR-55, 2nd ed., 1986, table 3-1, smooth surfaces (paving, gravel, bare soil)";
constexpr std::string_view kShortGrass = "NRCS TR-55, 2nd ed., 1986, table 3-1, short grass prairie";
constexpr std::string_view kDenseGrass = "NRCS TR-55, 2nd ed., 1986, table 3-1, dense grasses";
constexpr std::string_view kRange = "NRCS TR-55, 2nd ed., 1986, table 3-1, range (natural)";

constexpr bool kPaved = true;
constexpr bool kUnpaved = false;
constexpr bool kPervious = true;
constexpr bool kSealed = false;
using Numbers = std::array<double, 4>;

constexpr std::array kClasses{
    SurfaceClass{"pavement", Numbers{98, 98, 98, 98}, 0.011, kPaved, kSealed, SurfaceKind::Street, kUrban,
                 kSmooth},
    SurfaceClass{"roof", Numbers{98, 98, 98, 98}, 0.011, kPaved, kSealed, SurfaceKind::Roof, kUrban, kSmooth},
    SurfaceClass{"yard_paving", Numbers{98, 98, 98, 98}, 0.011, kPaved, kSealed, SurfaceKind::YardPaving,
                 kUrban, kSmooth},
    SurfaceClass{"walk", Numbers{98, 98, 98, 98}, 0.011, kPaved, kSealed, SurfaceKind::YardPaving, kUrban,
                 kSmooth},
    SurfaceClass{"gravel", Numbers{76, 85, 89, 91}, 0.011, kUnpaved, kPervious, SurfaceKind::Loose, kUrban,
                 kSmooth},
    SurfaceClass{"dirt", Numbers{72, 82, 87, 89}, 0.011, kUnpaved, kPervious, SurfaceKind::Loose, kUrban,
                 kSmooth},
    SurfaceClass{"yard_desert", Numbers{63, 77, 85, 88}, 0.13, kUnpaved, kPervious, SurfaceKind::Planted,
                 kUrban, kRange},
    SurfaceClass{"yard_weed_barrier", Numbers{96, 96, 96, 96}, 0.011, kUnpaved, kSealed, SurfaceKind::Loose,
                 kUrban, kSmooth},
    SurfaceClass{"grass_poor", Numbers{68, 79, 86, 89}, 0.15, kUnpaved, kPervious, SurfaceKind::Planted,
                 kUrban, kShortGrass},
    SurfaceClass{"grass_fair", Numbers{49, 69, 79, 84}, 0.15, kUnpaved, kPervious, SurfaceKind::Planted,
                 kUrban, kShortGrass},
    SurfaceClass{"grass_good", Numbers{39, 61, 74, 80}, 0.24, kUnpaved, kPervious, SurfaceKind::Planted,
                 kUrban, kDenseGrass},
    SurfaceClass{"desert_shrub_poor", Numbers{63, 77, 85, 88}, 0.13, kUnpaved, kPervious,
                 SurfaceKind::Planted, kDesert, kRange},
    SurfaceClass{"desert_shrub_fair", Numbers{55, 72, 81, 86}, 0.13, kUnpaved, kPervious,
                 SurfaceKind::Planted, kDesert, kRange},
    SurfaceClass{"desert_shrub_good", Numbers{49, 68, 79, 84}, 0.13, kUnpaved, kPervious,
                 SurfaceKind::Planted, kDesert, kRange},
};

}  // namespace

SoilGroup soil_group(std::string_view name) {
  if (name.size() == 1) {
    const char upper = name[0] >= 'a' ? static_cast<char>(name[0] - 'a' + 'A') : name[0];
    if (upper >= 'A' && upper <= 'D') return static_cast<SoilGroup>(upper - 'A');
  }
  throw base::InputError({}, fmt::format("“{}” is not a hydrologic soil group", name), "A, B, C or D",
                         "give the group from the soil survey; of a pair such as A/D the undrained one (D)");
}

char letter(SoilGroup group) { return static_cast<char>('A' + static_cast<int>(group)); }

std::span<const SurfaceClass> surface_classes() { return kClasses; }

const SurfaceClass& surface_class(std::string_view name) {
  std::string names;
  for (const SurfaceClass& row : kClasses) {
    if (row.name == name) return row;
    names += (names.empty() ? "" : ", ") + std::string(row.name);
  }
  throw base::InputError({}, fmt::format("“{}” is not a surface class", name), names,
                         "use one of these, or map your value to one of them");
}

}  // namespace curbshed::water
