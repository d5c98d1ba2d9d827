#include "curbshed/trees/supply.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>
#include <numeric>
#include <random>

#include <gtest/gtest.h>

namespace curbshed::trees {
namespace {

/// 200 m² of paving that loses the first 2 mm; the basin is full at 1 m³, so at 7 mm.
EventCurve paving() { return {{0.0, 0.002, 0.007, 0.1}, {0.0, 0.0, 1.0, 1.0}}; }

// By hand, each month: days × 200 m² × d × (e^(−2/d) − e^(−7/d)), d in mm, invented climate.
//   month  days   d    e^(−2/d)  e^(−7/d)  m³ a rain  m³ a month
//   Jan     3     6    0.716531  0.311403  0.486154   1.458461
//   Feb     3     6    0.716531  0.311403  0.486154   1.458461
//   Mar     3     5    0.670320  0.246597  0.423723   1.271169
//   Apr     1     4    0.606531  0.173774  0.346205   0.346205
//   May     0.5   4    0.606531  0.173774  0.346205   0.173103
//   Jun     0.5   3    0.513417  0.096972  0.249867   0.124934
//   Jul     5     8    0.778801  0.416862  0.579102   2.895510
//   Aug     6     9    0.800737  0.459426  0.614361   3.686165
//   Sep     3     8    0.778801  0.416862  0.579102   1.737306
//   Oct     2     7    0.751477  0.367879  0.537037   1.074074
//   Nov     2     6    0.716531  0.311403  0.486154   0.972307
//   Dec     3     6    0.716531  0.311403  0.486154   1.458461
//   year   32                                        16.656157
TEST(YearlySupply, TwelveMonthsByHand) {
  const double days[] = {3, 3, 3, 1, 0.5, 0.5, 5, 6, 3, 2, 2, 3};
  const double depth_mm[] = {6, 6, 5, 4, 4, 3, 8, 9, 8, 7, 6, 6};
  const double by_hand_m3[] = {1.458461, 1.458461, 1.271169, 0.346205, 0.173103, 0.124934,
                               2.895510, 3.686165, 1.737306, 1.074074, 0.972307, 1.458461};
  std::array<RainMonth, kMonths> months{};
  for (std::size_t i = 0; i < kMonths; ++i) months[i] = {days[i], depth_mm[i] / 1000.0};
  const std::array<double, kMonths> supply = monthly_supply_m3(paving(), months);
  for (std::size_t i = 0; i < kMonths; ++i) EXPECT_NEAR(supply[i], by_hand_m3[i], 1e-6) << i;
  EXPECT_NEAR(std::accumulate(supply.begin(), supply.end(), 0.0), 16.656157, 2e-6);
}

TEST(YearlySupply, MeanIsThatOfDrawnRains) {
  std::mt19937_64 draw(20261);
  std::exponential_distribution<double> depth_m(1.0 / 0.0055);
  const EventCurve curve = {{0.0, 0.001, 0.004, 0.01, 0.05}, {0.0, 0.0, 0.3, 0.7, 0.6}};
  double sum = 0.0;
  constexpr int kRains = 400000;
  for (int i = 0; i < kRains; ++i) {
    const double p = depth_m(draw);
    double volume = curve.volume_m3.back();
    for (std::size_t k = 1; k < curve.depth_m.size(); ++k) {
      if (p < curve.depth_m[k]) {
        const double share = (p - curve.depth_m[k - 1]) / (curve.depth_m[k] - curve.depth_m[k - 1]);
        volume = curve.volume_m3[k - 1] + share * (curve.volume_m3[k] - curve.volume_m3[k - 1]);
        break;
      }
    }
    sum += volume;
  }
  EXPECT_NEAR(mean_event_m3(curve, 0.0055), sum / kRains, 0.002);
}

TEST(YearlySupply, NoRainBringsNothing) {
  EXPECT_EQ(mean_event_m3(paving(), 0.0), 0.0);
  for (const double volume : monthly_supply_m3(paving(), {})) EXPECT_EQ(volume, 0.0);
}

TEST(YearlySupply, EndlessStraightCurveGivesTheMeanDepth) {
  // With no loss and no cap the mean volume is area × mean depth.
  EXPECT_NEAR(mean_event_m3({{0.0, 10.0}, {0.0, 2000.0}}, 0.006), 200.0 * 0.006, 1e-12);
}

TEST(YearlySupply, BadCurvesAreRefused) {
  EXPECT_THROW(mean_event_m3({{0.0}, {0.0}}, 0.005), base::BugError);
  EXPECT_THROW(mean_event_m3({{0.001, 0.002}, {0.0, 1.0}}, 0.005), base::BugError);
  EXPECT_THROW(mean_event_m3({{0.0, 0.0}, {0.0, 1.0}}, 0.005), base::BugError);
  EXPECT_THROW(mean_event_m3({{0.0, 0.01}, {0.0, -1.0}}, 0.005), base::BugError);
}

}  // namespace
}  // namespace curbshed::trees
