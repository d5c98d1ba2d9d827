#include "curbshed/study/yearly_water.hpp"

#include "support/chain_worlds.hpp"

#include <numeric>

#include <gtest/gtest.h>

namespace curbshed::study {
namespace {

using testing::ChainBuilder;
using testing::NodeKind;

Settings dry_town() {
  Settings settings;
  settings.file = "study.toml";
  settings.rain.two_year_1h_m = 0.022;
  settings.rain.ten_year_1h_m = 0.036;
  settings.rain.wet_days = {3, 3, 3, 1, 0.5, 0.5, 5, 6, 3, 2, 2, 3};
  const double depth_mm[] = {6, 6, 5, 4, 4, 3, 8, 9, 8, 7, 6, 6};
  for (std::size_t i = 0; i < trees::kMonths; ++i) {
    settings.rain.month_rain_m.push_back(settings.rain.wet_days[i] * depth_mm[i] / 1000.0);
    settings.trees.reference_et_m.push_back(0.15);
  }
  return settings;
}

ChainModel two_cuts(std::int64_t upper_m2, std::int64_t lower_m2) {
  ChainBuilder build({NodeKind::Cut, NodeKind::Cut, NodeKind::Outfall});
  build.patch({0, testing::kPavement, upper_m2, 3, 0});
  build.patch({1, testing::kPavement, lower_m2, 3, 0});
  return build.build();
}

TEST(YearlyWater, NothingWithoutMonths) {
  EXPECT_FALSE(yearly_water(two_cuts(100, 100), {}, {1}).has_value());
}

TEST(YearlyWater, MonthsAddUpAndNoBasinGetsMoreThanComesBy) {
  const Settings settings = dry_town();
  const YearlyWater year = *yearly_water(two_cuts(200, 300), settings, {1});
  EXPECT_NEAR(year.rain_m, 0.2205, 1e-12);
  EXPECT_NEAR(year.reference_et_m, 1.8, 1e-12);
  for (const std::size_t node : {0U, 1U}) {
    const auto& months = year.month_m3[node];
    EXPECT_NEAR(std::accumulate(months.begin(), months.end(), 0.0), year.year_m3[node], 1e-12);
    EXPECT_GT(year.year_m3[node], 1.0);
    // 500 m² and 220.5 mm: all the rain that there is.
    EXPECT_LT(year.year_m3[node], 500.0 * 0.2205);
    EXPECT_GT(year.canopy[node].bound_m2, 0.0);
  }
  EXPECT_EQ(year.year_m3[2], 0.0);
}

TEST(YearlyWater, BasinThatNeverFillsTakesItsOpeningsShare) {
  // A huge basin behind a mouth that takes everything: the year is the mean excess of its paving. For curve
  // number 98, S = 5.18 mm: excess of a rain P is (P − 1.04)²/(P + 4.15), here straight between the rains
  // run.
  ChainBuilder build({NodeKind::Cut, NodeKind::Outfall});
  build.patch({0, testing::kPavement, 100, 1, 0});
  ChainModel model = build.build();
  model.params[0].opening_m = 20.0;
  model.params[0].basin.length_m = 40.0;
  model.params[0].basin.width_m = 10.0;
  model.params[0].basin.ponding_m = 0.3;
  const YearlyWater year = *yearly_water(model, dry_town(), {1});
  const double retention_mm = 25.4 * (1000.0 / 98.0 - 10.0);
  for (std::size_t i = 1; i < year.event_depth_m.size(); ++i) {
    const double over_mm = std::max(0.0, 1000.0 * year.event_depth_m[i] - 0.2 * retention_mm);
    const double excess_m = over_mm * over_mm / (over_mm + retention_mm) / 1000.0;
    EXPECT_NEAR(year.event_m3[0][i], 100.0 * excess_m, 0.01 * 100.0 * excess_m + 1e-4) << i;
  }
}

TEST(YearlyWater, SameBitsForAnyThreads) {
  const ChainModel model = two_cuts(200, 300);
  const YearlyWater one = *yearly_water(model, dry_town(), {1});
  const YearlyWater four = *yearly_water(model, dry_town(), {4});
  EXPECT_EQ(one.year_m3, four.year_m3);
  EXPECT_EQ(one.event_m3, four.event_m3);
}

}  // namespace
}  // namespace curbshed::study
