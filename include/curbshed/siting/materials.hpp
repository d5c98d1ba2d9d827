// What a basin takes to build, and what that costs where prices are given.
#pragma once

#include "curbshed/siting/basin_shape.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace curbshed::siting {

/// Common practice, no source, unless it says otherwise; each one is a key of the study.
struct MaterialRules {
  double bulking = 0.25;         ///< dug soil loosens by this share
  double stone_length_m = 0.6;   ///< pad behind the cut, into the basin …
  double stone_depth_m = 0.15;   ///< … and this deep, as wide as the cut
  double plant_spacing_m = 0.6;  ///< one plant on each square of this side, from the floor's edge to the rim
};

/// What else there is to do at the site.
struct WorkBesides {
  double opening_m = 0.0;    ///< curb to be cut
  double channel_m = 0.0;    ///< covered channel under a walk
  double pavement_m2 = 0.0;  ///< to be broken up: a bulb's place, a dip before the cut
};

struct Materials {
  double soil_dug_m3 = 0.0;  ///< in the ground
  double soil_out_m3 = 0.0;  ///< loosened, as it is carted away
  double stone_m3 = 0.0;
  double mulch_m3 = 0.0;
  std::int64_t plants = 0;
  double curb_cut_m = 0.0;
  double channel_m = 0.0;
  double pavement_m2 = 0.0;
};
Materials materials_of(const DugBasin& basin, const WorkBesides& besides, const MaterialRules& rules);
Materials operator+(const Materials& a, const Materials& b);

/// One priced thing. The list is the order of tables and messages.
enum class Priced : std::uint8_t { Soil, Stone, Mulch, Plant, CurbCut, Channel, Pavement, Site };
inline constexpr std::size_t kPriced = 8;
/// "soil", "stone", …: as in [money].
std::string_view priced_word(Priced what);

/// Per cubic metre, square metre, metre, plant or site; absent = no price given. No price has a default.
using Prices = std::array<std::optional<double>, kPriced>;

struct Cost {
  std::optional<double> total;        ///< of what has a price; absent = nothing that is needed has one
  std::vector<Priced> without_price;  ///< needed, but no price given
};
/// `sites`: how many of them; what is not needed needs no price.
Cost cost_of(const Materials& materials, std::int64_t sites, const Prices& prices);

/// "no price given"; "1,234 dollars"; "at least 1,234 dollars: no price given for stone, plants".
std::string cost_words(const Cost& cost, const std::string& currency);

}  // namespace curbshed::siting
