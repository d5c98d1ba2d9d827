#include "curbshed/water/travel.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>
#include <cstddef>
#include <random>
#include <vector>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

using base::Length;
using base::Rate;
using base::Roughness;
using base::Slope;

SheetFlow sheet(double length_m, double slope, double n) {
  return {.length = Length::metres(length_m),
          .slope = Slope::fraction(slope),
          .roughness = Roughness::manning(n)};
}

// HEC-22 example 3-2 prints 6.92 for the exact unit constant 6.988: 1.1 % apart.
TEST(SheetFlow, Hec22Example3_2) {
  const SheetFlow bermuda = sheet(68.0, 0.005, 0.41);
  EXPECT_NEAR(sheet_flow_time(bermuda, Rate::millimetres_per_hour(90.0)).in_minutes(), 41.3, 0.011 * 41.3);
  EXPECT_NEAR(sheet_flow_time(bermuda, Rate::millimetres_per_hour(69.0)).in_minutes(), 45.9, 0.011 * 45.9);
  SheetFlow us = bermuda;
  us.length = Length::feet(223.0);
  EXPECT_NEAR(sheet_flow_time(us, Rate::inches_per_hour(3.4)).in_minutes(), 42.1, 0.011 * 42.1);
  EXPECT_NEAR(sheet_flow_time(us, Rate::inches_per_hour(2.7)).in_minutes(), 46.2, 0.011 * 46.2);
}

TEST(SheetFlow, UnitConstantsAreTheExactOnes) {
  // 6.988 (min, m, mm/h) and 0.938 with 1.49, so 0.9397 with the exact 1.486.
  const SheetFlow unit = sheet(1.0, 1.0, 1.0);
  EXPECT_NEAR(sheet_flow_time(unit, Rate::millimetres_per_hour(1.0)).in_minutes(), 6.988, 0.0005);
}

// Bedient, Huber & Vieux, 5th ed., example 6-6.
TEST(SheetFlow, BedientExample6_6) {
  const SheetFlow lot{
      .length = Length::feet(1000.0), .slope = Slope::percent(1.0), .roughness = Roughness::manning(0.013)};
  const double cases[][2] = {{6.4, 8.45}, {6.6, 8.35}, {6.5, 8.40}};
  for (const auto& c : cases) {
    EXPECT_NEAR(sheet_flow_time(lot, Rate::inches_per_hour(0.95 * c[0])).in_minutes(), c[1], 0.02);
  }
}

TEST(SheetFlow, KinematicPlaneTimeToEquilibrium) {
  EXPECT_NEAR(sheet_flow_time(sheet(100.0, 0.02, 0.015), Rate::millimetres_per_hour(50.0)).in_seconds(),
              361.642, 0.0005);
}

TEST(SheetFlow, Tr55Example3_1) {
  const SheetFlow grass{
      .length = Length::feet(100.0), .slope = Slope::fraction(0.01), .roughness = Roughness::manning(0.24)};
  EXPECT_NEAR(sheet_flow_time_from_day_rain(grass, Length::inches(3.6)).in_hours(), 0.2959, 0.00005);
  const double v_ft_s = shallow_speed_m_s(Slope::fraction(0.01), false) / base::kMetresPerFoot;
  EXPECT_NEAR(v_ft_s, 1.6, 0.05);
  EXPECT_NEAR(1400.0 / v_ft_s / 3600.0, 0.24, 0.005);
  EXPECT_NEAR(shallow_speed_m_s(Slope::fraction(0.01), true) / base::kMetresPerFoot, 2.03282, 1e-9);
}

TEST(SheetFlow, NoSlopeOrNoRainIsRefused) {
  EXPECT_THROW(sheet_flow_time(sheet(30.0, 0.0, 0.1), Rate::millimetres_per_hour(20.0)), base::InputError);
  EXPECT_THROW(sheet_flow_time(sheet(30.0, 0.02, 0.1), Rate::millimetres_per_hour(0.0)), base::InputError);
  EXPECT_THROW(sheet_flow_time(sheet(0.0, 0.02, 0.1), Rate::millimetres_per_hour(20.0)), base::InputError);
  EXPECT_THROW(sheet_flow_time_from_day_rain(sheet(30.0, 0.0, 0.1), Length::inches(2.0)), base::InputError);
  EXPECT_EQ(shallow_speed_m_s(Slope::fraction(0.0), true), 0.0);
}

TEST(SheetTimeAdded, StepsOfTheWayAddUpToTheWhole) {
  const RawSheet cell{.slope = 0.02, .roughness = 0.015, .excess_m_s = 50.0 / 3.6e6};
  double sum = 0.0;
  for (int k = 0; k < 200; ++k) sum += sheet_time_added_s(cell, 0.5 * k, 0.5);
  EXPECT_NEAR(sum, 361.642, 0.0005);
  EXPECT_EQ(sheet_time_added_s(cell, 10.0, 0.0), 0.0);
}

TEST(SheetTimeAdded, ManyAtOnceFollowTheSingleOnes) {
  std::mt19937_64 random(22);
  std::uniform_real_distribution<double> part(0.0, 1.0);
  SheetCells cells;
  std::vector<double> single;
  for (int i = 0; i < 3000; ++i) {
    const RawSheet cell{.slope = 0.002 + 0.3 * part(random),
                        .roughness = 0.011 + 0.3 * part(random),
                        .excess_m_s = (1.0 + 80.0 * part(random)) / 3.6e6};
    const double to_end_m = i % 7 == 0 ? 0.0 : 40.0 * part(random);
    const double step_m = 0.5 + part(random);
    cells.unit_s.push_back(sheet_unit_s(cell.roughness, cell.excess_m_s));
    cells.slope.push_back(cell.slope);
    cells.to_end_m.push_back(to_end_m);
    cells.step_m.push_back(step_m);
    single.push_back(sheet_time_added_s(cell, to_end_m, step_m));
  }
  std::vector<double> many;
  sheet_times_added_s(cells, many);
  for (std::size_t i = 0; i < single.size(); ++i) ASSERT_NEAR(many[i], single[i], 1e-10 * single[i]);
  cells.step_m.pop_back();
  EXPECT_THROW(sheet_times_added_s(cells, many), base::BugError);
}

}  // namespace
}  // namespace curbshed::water
