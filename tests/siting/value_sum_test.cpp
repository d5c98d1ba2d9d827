#include "curbshed/siting/value_sum.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/siting/plan_value.hpp"
#include "curbshed/study/yearly_water.hpp"

#include "support/chain_worlds.hpp"

#include <gtest/gtest.h>

namespace curbshed::siting {
namespace {

using enum street::NodeKind;

study::ChainModel three_cuts() {
  testing::ChainBuilder world({Cut, Cut, Cut, Outfall});
  for (std::int32_t node = 0; node < 3; ++node) world.patch({node, testing::kPavement, 300, 2, 0});
  return world.build();
}

std::unique_ptr<PlanValue> two_rains(const study::ChainModel& model) {
  std::vector<WeightedValue> parts;
  parts.push_back({storm_value(model, testing::hour_storm(0.004), {0, 1, 2}, {}), 20.0});
  parts.push_back({storm_value(model, testing::hour_storm(0.020), {0, 1, 2}, {}), 3.0});
  return value_sum(std::move(parts));
}

TEST(ValueSum, IsTheWeightedSumOfItsParts) {
  const study::ChainModel model = three_cuts();
  const auto sum = two_rains(model);
  const auto small = storm_value(model, testing::hour_storm(0.004), {0, 1, 2}, {});
  const auto large = storm_value(model, testing::hour_storm(0.020), {0, 1, 2}, {});
  const std::vector<std::size_t> set = {0, 2};
  const double want = 20.0 * small->worth_with(set).value + 3.0 * large->worth_with(set).value;
  EXPECT_NEAR(sum->worth_with(set).value, want, 1e-12 * want);
  EXPECT_NEAR(sum->alone(1).gain, 20.0 * small->alone(1).gain + 3.0 * large->alone(1).gain, 1e-9);
  const auto copy = sum->copy();
  copy->flip(set);
  EXPECT_NEAR(copy->worth().value, want, 1e-12 * want);
  EXPECT_EQ(sum->worth().value, 0.0) << "a copy of its own";
}

TEST(ValueSum, ItsBoundHoldsForEverySet) {
  const study::ChainModel model = three_cuts();
  const auto sum = two_rains(model);
  std::vector<ChoiceSite> sites(3);
  std::vector<AloneWorth> alone;
  for (std::size_t s = 0; s < 3; ++s) alone.push_back(sum->alone(s));
  PackLimits limits;
  limits.count = 2;
  const double bound = sum->bound(sites, limits, alone);
  for (const std::vector<std::size_t>& set :
       {std::vector<std::size_t>{0}, {1}, {2}, {0, 1}, {0, 2}, {1, 2}}) {
    EXPECT_LE(sum->worth_with(set).value, bound * (1.0 + 1e-12));
  }
}

TEST(ValueSum, TheRainsOfAYearGiveTheMeanYearOfABasin) {
  study::Settings settings;
  settings.rain.month_rain_m.assign(12, 0.020);
  settings.rain.wet_days.assign(12, 3.0);
  settings.trees.reference_et_m.assign(12, 0.15);
  const study::ChainModel model = three_cuts();
  const auto year = study::yearly_water(model, settings, {});
  ASSERT_TRUE(year.has_value());
  const std::vector<study::RainOfYear> rains = study::rains_of_year(settings);
  for (std::size_t node = 0; node < 3; ++node) {
    double sum = 0.0;
    for (std::size_t i = 0; i < rains.size(); ++i) sum += rains[i].times * year->event_m3[node][i + 1];
    EXPECT_NEAR(sum, year->year_m3[node], 1e-9 * year->year_m3[node]);
  }
  EXPECT_TRUE(study::rains_of_year({}).empty());
}

TEST(ValueSum, NothingToAddIsABug) { EXPECT_THROW(value_sum({}), base::BugError); }

}  // namespace
}  // namespace curbshed::siting
