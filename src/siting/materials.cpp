#include "curbshed/siting/materials.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

constexpr std::array<std::string_view, kPriced> kWords = {
    "soil carted away",   "stone",    "mulch", "plants", "curb cut", "covered channel",
    "pavement broken up", "each site"};

std::array<double, kPriced> amounts(const Materials& m, std::int64_t sites) {
  return {m.soil_out_m3, m.stone_m3,  m.mulch_m3,    static_cast<double>(m.plants),
          m.curb_cut_m,  m.channel_m, m.pavement_m2, static_cast<double>(sites)};
}

/// Whole units with a comma at the thousands: nobody knows a cost better.
std::string whole(double value) {
  std::string digits = fmt::format("{:.0f}", value);
  const std::size_t first = digits.front() == '-' ? 1 : 0;
  for (std::size_t at = digits.size(); at > first + 3;) {
    at -= 3;
    digits.insert(at, ",");
  }
  return digits;
}

}  // namespace

std::string_view priced_word(Priced what) { return kWords[static_cast<std::size_t>(what)]; }

Materials materials_of(const DugBasin& basin, const WorkBesides& besides, const MaterialRules& rules) {
  base::ensure(rules.bulking >= 0.0 && rules.plant_spacing_m > 0.0, "soil loosens, plants keep apart");
  const DugFigures dug = figures_of(basin);
  Materials out;
  out.soil_dug_m3 = dug.dug_m3();
  out.soil_out_m3 = out.soil_dug_m3 * (1.0 + rules.bulking);
  out.stone_m3 = besides.opening_m * rules.stone_length_m * rules.stone_depth_m;
  out.mulch_m3 = dug.mulch_m3;
  const double planted_m2 = dug.rim_m2 - dug.floor_m2;
  out.plants = static_cast<std::int64_t>(
      std::floor(planted_m2 / (rules.plant_spacing_m * rules.plant_spacing_m) + 1e-9));
  out.curb_cut_m = besides.opening_m;
  out.channel_m = besides.channel_m;
  out.pavement_m2 = besides.pavement_m2;
  return out;
}

Materials operator+(const Materials& a, const Materials& b) {
  return {.soil_dug_m3 = a.soil_dug_m3 + b.soil_dug_m3,
          .soil_out_m3 = a.soil_out_m3 + b.soil_out_m3,
          .stone_m3 = a.stone_m3 + b.stone_m3,
          .mulch_m3 = a.mulch_m3 + b.mulch_m3,
          .plants = a.plants + b.plants,
          .curb_cut_m = a.curb_cut_m + b.curb_cut_m,
          .channel_m = a.channel_m + b.channel_m,
          .pavement_m2 = a.pavement_m2 + b.pavement_m2};
}

Cost cost_of(const Materials& materials, std::int64_t sites, const Prices& prices) {
  Cost cost;
  const std::array<double, kPriced> needed = amounts(materials, sites);
  for (std::size_t i = 0; i < kPriced; ++i) {
    const auto what = static_cast<Priced>(i);
    if (prices[i]) {
      if (needed[i] > 0.0) cost.total = cost.total.value_or(0.0) + needed[i] * *prices[i];
    } else if (needed[i] > 0.0 && what != Priced::Site) {  // a price a site is for who wants one
      cost.without_price.push_back(what);
    }
  }
  return cost;
}

std::string cost_words(const Cost& cost, const std::string& currency) {
  if (!cost.total) return "no price given";
  const std::string sum = fmt::format("{} {}", whole(*cost.total), currency);
  if (cost.without_price.empty()) return sum;
  std::string missing;
  for (const Priced what : cost.without_price) {
    missing += fmt::format("{}{}", missing.empty() ? "" : ", ", priced_word(what));
  }
  return fmt::format("at least {}: no price given for {}", sum, missing);
}

}  // namespace curbshed::siting
