#include "curbshed/siting/materials.hpp"

#include "curbshed/base/error.hpp"

#include <gtest/gtest.h>

namespace curbshed::siting {
namespace {

const DugBasin kBasin{.length_m = 3.0,
                      .width_m = 1.5,
                      .side_slope = 2.0,
                      .ponding_m = 0.15,
                      .drop_m = 0.05,
                      .mulch_m = 0.075,
                      .ground_above_water_m = 0.15};

Prices all_at(double price) {
  Prices prices;
  prices.fill(price);
  return prices;
}

TEST(Materials, ByHand) {
  const Materials m = materials_of(kBasin, {.opening_m = 0.5, .channel_m = 0.0, .pavement_m2 = 0.0}, {});
  const double dug_m3 = (2.16 + 4.0 * 2.8 * 1.3 + 5.44) * 0.20 / 6.0 + 2.16 * 0.075 + 5.44 * 0.10;
  EXPECT_NEAR(m.soil_dug_m3, dug_m3, 1e-12);
  EXPECT_NEAR(m.soil_out_m3, 1.25 * dug_m3, 1e-12);
  EXPECT_NEAR(m.stone_m3, 0.5 * 0.6 * 0.15, 1e-12);
  EXPECT_NEAR(m.mulch_m3, 0.162, 1e-12);
  EXPECT_EQ(m.plants, 9);  // (5.44 − 2.16) m² / 0.36 m² = 9.1
  EXPECT_EQ((m + m).plants, 18);
  EXPECT_NEAR((m + m).soil_out_m3, 2.0 * m.soil_out_m3, 1e-12);
}

TEST(Materials, NoPriceIsNoCost) {
  const Materials m = materials_of(kBasin, {.opening_m = 0.5}, {});
  const Cost cost = cost_of(m, 1, {});
  EXPECT_FALSE(cost.total);
  EXPECT_EQ(cost_words(cost, "dollars"), "no price given");
}

TEST(Materials, SomePricesSayAtLeast) {
  const Materials m = materials_of(kBasin, {.opening_m = 0.5}, {});
  Prices prices;
  prices[static_cast<std::size_t>(Priced::CurbCut)] = 3000.0;
  const Cost cost = cost_of(m, 1, prices);
  EXPECT_EQ(cost_words(cost, "dollars"),
            "at least 1,500 dollars: no price given for soil carted away, stone, mulch, plants");
}

TEST(Materials, AllPricesAdd) {
  const Materials m = materials_of(kBasin, {.opening_m = 0.5, .channel_m = 1.0, .pavement_m2 = 2.0}, {});
  const Cost cost = cost_of(m, 1, all_at(10.0));
  ASSERT_TRUE(cost.total);
  EXPECT_NEAR(*cost.total, 10.0 * (m.soil_out_m3 + m.stone_m3 + m.mulch_m3 + 9.0 + 0.5 + 1.0 + 2.0 + 1.0),
              1e-9);
  EXPECT_TRUE(cost.without_price.empty());
}

TEST(Materials, WhatIsNotNeededNeedsNoPrice) {
  Prices prices = all_at(10.0);
  prices[static_cast<std::size_t>(Priced::Channel)].reset();
  prices[static_cast<std::size_t>(Priced::Pavement)].reset();
  const Materials m = materials_of(kBasin, {.opening_m = 0.5}, {});
  EXPECT_TRUE(cost_of(m, 1, prices).without_price.empty());
}

}  // namespace
}  // namespace curbshed::siting
