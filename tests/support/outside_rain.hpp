// Outside checks of rain, runoff and peaks.
#pragma once

#include "curbshed/water/peak_flow.hpp"
#include "curbshed/water/rain.hpp"
#include "curbshed/water/surfaces.hpp"
#include "curbshed/water/time_area.hpp"
#include "curbshed/water/travel.hpp"

#include "support/outside_checks.hpp"

#include <array>

#include <fmt/format.h>

namespace curbshed::testing {

inline double runoff_in(double curve, double rain_in) {
  return water::runoff_depth(water::CurveNumber::of(curve), base::Length::inches(rain_in)).in_inches();
}

struct RunoffRow {
  double rain_in;
  std::array<double, 13> runoff_in;
};
inline constexpr std::array<double, 13> kTableCurves{40, 45, 50, 55, 60, 65, 70, 75, 80, 85, 90, 95, 98};
inline constexpr std::array<RunoffRow, 19> kRunoffTable{{
    {1.0, {0.00, 0.00, 0.00, 0.00, 0.00, 0.00, 0.00, 0.03, 0.08, 0.17, 0.32, 0.56, 0.79}},
    {1.2, {0.00, 0.00, 0.00, 0.00, 0.00, 0.00, 0.03, 0.07, 0.15, 0.27, 0.46, 0.74, 0.99}},
    {1.4, {0.00, 0.00, 0.00, 0.00, 0.00, 0.02, 0.06, 0.13, 0.24, 0.39, 0.61, 0.92, 1.18}},
    {1.6, {0.00, 0.00, 0.00, 0.00, 0.01, 0.05, 0.11, 0.20, 0.34, 0.52, 0.76, 1.11, 1.38}},
    {1.8, {0.00, 0.00, 0.00, 0.00, 0.03, 0.09, 0.17, 0.29, 0.44, 0.65, 0.93, 1.29, 1.58}},
    {2.0, {0.00, 0.00, 0.00, 0.02, 0.06, 0.14, 0.24, 0.38, 0.56, 0.80, 1.09, 1.48, 1.77}},
    {3.0, {0.00, 0.02, 0.09, 0.19, 0.33, 0.51, 0.71, 0.96, 1.25, 1.59, 1.98, 2.45, 2.77}},
    {3.5, {0.02, 0.08, 0.20, 0.35, 0.53, 0.75, 1.01, 1.30, 1.64, 2.02, 2.45, 2.94, 3.27}},
    {4.0, {0.06, 0.18, 0.33, 0.53, 0.76, 1.03, 1.33, 1.67, 2.04, 2.46, 2.92, 3.43, 3.77}},
    {5.0, {0.24, 0.44, 0.69, 0.98, 1.30, 1.65, 2.04, 2.45, 2.89, 3.37, 3.88, 4.42, 4.76}},
    {6.0, {0.50, 0.80, 1.14, 1.52, 1.92, 2.35, 2.81, 3.28, 3.78, 4.30, 4.85, 5.41, 5.76}},
    {7.0, {0.84, 1.24, 1.68, 2.12, 2.60, 3.10, 3.62, 4.15, 4.69, 5.25, 5.82, 6.41, 6.76}},
    {8.0, {1.25, 1.74, 2.25, 2.78, 3.33, 3.89, 4.46, 5.04, 5.63, 6.21, 6.81, 7.40, 7.76}},
    {10.0, {2.23, 2.89, 3.56, 4.23, 4.90, 5.56, 6.22, 6.88, 7.52, 8.16, 8.78, 9.40, 9.76}},
    {11.0, {2.78, 3.52, 4.26, 5.00, 5.72, 6.43, 7.13, 7.81, 8.48, 9.13, 9.77, 10.39, 10.76}},
    {12.0, {3.38, 4.19, 5.00, 5.79, 6.56, 7.32, 8.05, 8.76, 9.45, 10.11, 10.76, 11.39, 11.76}},
    {13.0, {4.00, 4.89, 5.76, 6.61, 7.42, 8.21, 8.98, 9.71, 10.42, 11.10, 11.76, 12.39, 12.76}},
    {14.0, {4.65, 5.62, 6.55, 7.44, 8.30, 9.12, 9.91, 10.67, 11.39, 12.08, 12.75, 13.39, 13.76}},
    {15.0, {5.33, 6.36, 7.35, 8.29, 9.19, 10.04, 10.85, 11.63, 12.37, 13.07, 13.74, 14.39, 14.76}},
}};

inline void add_runoff_checks(std::vector<OutsideCheck>& all) {
  OutsideCheck depths{kTr55, "table 2-1", Read::SecondHand,
                      "runoff depth by rain and curve number, 247 cells"};
  for (const RunoffRow& row : kRunoffTable) {
    for (std::size_t c = 0; c < kTableCurves.size(); ++c) {
      const bool odd = row.rain_in == 7.0 && kTableCurves[c] == 50;
      depths.printed.push_back({fmt::format("rain {:g} in, curve number {:g}", row.rain_in, kTableCurves[c]),
                                "in", row.runoff_in[c], 2, runoff_in(kTableCurves[c], row.rain_in),
                                odd ? 0.015 : 0.0051,
                                odd ? "the one cell that its own equation does not give (1.667)" : ""});
    }
  }
  depths.exact = {{"3 in, curve number 80", 1.25, runoff_in(80, 3.0)},
                  {"ten times the rain", 27.1953125, runoff_in(80, 30.0)},
                  {"a tenth of the rain, curve number 98", 0.14500584374719055, runoff_in(98, 0.3)}};
  all.push_back(depths);

  OutsideCheck abstraction{kTr55, "table 4-1", Read::SecondHand, "initial abstraction by curve number"};
  const std::array<double, 2> rows[] = {{40, 3.000}, {50, 2.000}, {55, 1.636}, {60, 1.333},
                                        {65, 1.077}, {70, 0.857}, {75, 0.667}, {80, 0.500},
                                        {85, 0.353}, {90, 0.222}, {95, 0.105}, {98, 0.041}};
  for (const auto& row : rows) {
    const double ours = water::CurveNumber::of(row[0]).initial_abstraction().in_inches();
    abstraction.printed.push_back({fmt::format("curve number {:g}", row[0]), "in", row[1], 3, ours});
    abstraction.exact.push_back({fmt::format("curve number {:g}", row[0]), 200.0 / row[0] - 2.0, ours});
  }
  all.push_back(abstraction);
}

inline void add_curve_number_tables(std::vector<OutsideCheck>& all) {
  struct Row {
    const char* name;
    std::array<double, 4> curve;
  };
  const Row urban[] = {{"pavement", {98, 98, 98, 98}},    {"roof", {98, 98, 98, 98}},
                       {"gravel", {76, 85, 89, 91}},      {"dirt", {72, 82, 87, 89}},
                       {"yard_desert", {63, 77, 85, 88}}, {"yard_weed_barrier", {96, 96, 96, 96}},
                       {"grass_poor", {68, 79, 86, 89}},  {"grass_fair", {49, 69, 79, 84}},
                       {"grass_good", {39, 61, 74, 80}}};
  const Row desert[] = {{"desert_shrub_poor", {63, 77, 85, 88}},
                        {"desert_shrub_fair", {55, 72, 81, 86}},
                        {"desert_shrub_good", {49, 68, 79, 84}}};
  const auto add_rows = [](OutsideCheck& check, const auto& rows) {
    for (const Row& row : rows) {
      for (std::size_t g = 0; g < 4; ++g) {
        check.printed.push_back({fmt::format("{}, soil group {}", row.name, "ABCD"[g]), "", row.curve[g], 0,
                                 water::surface_class(row.name).curve_number[g]});
      }
    }
  };
  OutsideCheck table_a{
      kTr55, "table 2-2a", Read::SecondHand,
      "curve numbers of urban ground; the mixed rows by pervious ground in good condition and hard ground"};
  add_rows(table_a, urban);
  struct Mixed {
    const char* name;
    double hard;
    std::array<double, 4> curve;
  };
  const Mixed mixed[] = {{"commercial", 0.85, {89, 92, 94, 95}}, {"industrial", 0.72, {81, 88, 91, 93}},
                         {"1/8 acre", 0.65, {77, 85, 90, 92}},   {"1/4 acre", 0.38, {61, 75, 83, 87}},
                         {"1/3 acre", 0.30, {57, 72, 81, 86}},   {"1/2 acre", 0.25, {54, 70, 80, 85}},
                         {"1 acre", 0.20, {51, 68, 79, 84}},     {"2 acres", 0.12, {46, 65, 77, 82}}};
  for (const Mixed& row : mixed) {
    for (std::size_t g = 0; g < 4; ++g) {
      const water::CurveNumber grass =
          water::CurveNumber::of(water::surface_class("grass_good").curve_number[g]);
      table_a.printed.push_back({fmt::format("{}, soil group {}", row.name, "ABCD"[g]), "", row.curve[g], 0,
                                 water::composite_curve_number(grass, row.hard, 0.0), 0.61,
                                 "rounded up and down by hand"});
    }
  }
  table_a.exact = {{"1/4 acre, group B", 61.0 + 0.38 * 37.0,
                    water::composite_curve_number(water::CurveNumber::of(61), 0.38, 0.0)}};
  all.push_back(table_a);
  OutsideCheck table_d{kTr55, "table 2-2d, desert shrub", Read::SecondHand, "curve numbers of desert shrub"};
  add_rows(table_d, desert);
  all.push_back(table_d);
}

inline void add_tr55_examples(std::vector<OutsideCheck>& all) {
  const auto weighted = [](std::vector<water::AreaPart> parts) { return water::weighted_by_area(parts); };
  const auto lots = [](double pervious) {
    return std::round(water::composite_curve_number(water::CurveNumber::of(pervious), 0.35, 0.0));
  };
  const double w1 = weighted({{75, 61}, {175, 74}});
  const double w2 = weighted({{75, 70}, {100, 80}, {75, 74}});
  const double w3 = weighted({{75, lots(61)}, {100, lots(74)}, {75, 74}});
  const double w4 = water::composite_curve_number(water::CurveNumber::of(74), 0.25, 0.5);
  const auto example = [&](const char* number, const char* what, double curve, double printed_curve,
                           double used, double printed, double exact) {
    all.push_back({kTr55,
                   number,
                   Read::Memory,
                   what,
                   {{"weighted curve number", "", printed_curve, 1, curve},
                    {"runoff of 6 in", "in", printed, 2, runoff_in(used, 6.0)}},
                   {{"runoff of 6 in", exact, runoff_in(used, 6.0)}}});
  };
  example("example 2-1", "pasture on two soils", w1, 70.1, 70, 2.81, 2.8051948051948044);
  example("example 2-2", "half-acre lots and open space", w2, 75.2, 75, 3.28, 3.2820512820512815);
  example("example 2-3", "lots with 35 % hard ground", w3, 77.2, 77, 3.48, 3.4790720115797513);
  all[all.size() - 3].exact.push_back({"runoff of 60 in", 55.14671814671815, runoff_in(70, 60.0)});
  all[all.size() - 2].exact.push_back({"runoff of 60 in", 56.17730496453901, runoff_in(75, 60.0)});
  all[all.size() - 1].exact.push_back({"runoff of 60 in", 56.55859293743558, runoff_in(77, 60.0)});
  all.push_back(
      {kTr55,
       "example 2-4",
       Read::Memory,
       "hard ground half of which drains over soil",
       {{"curve number of the lots", "", 78, 0, w4, 0.6, "78 read from a figure, 78.5 by its formula"},
        {"runoff of 6 in, curve number 74", "in", 3.19, 2, runoff_in(74, 6.0), 0.0055,
         "3.185 by its equation"}},
       {{"curve number of the lots", 78.5, w4}, {"runoff of 6 in", 3.184878129663406, runoff_in(74, 6.0)}}});

  const auto peak = [](double scale) {
    return water::graphical_peak(water::DayShape::II, water::CurveNumber::of(75), base::Length::inches(6.0),
                                 base::Duration::hours(1.53), base::Area::acres(scale * 0.39 * 640.0))
        .flow.in_cubic_feet_per_second();
  };
  all.push_back({kTr55,
                 "example 4-1",
                 Read::SecondHand,
                 "graphical peak of 0.39 square miles, type II, Tc 1.53 h",
                 {{"peak", "ft3/s", 345, 0, peak(1.0), 3.45,
                   "345 with the unit peak read from a figure; 344.2 by appendix F"}},
                 {{"peak, ft3/s", 344.19497246633864, peak(1.0)},
                  {"ten times the area", 3441.9497246633864, peak(10.0)},
                  {"a tenth of the area", 34.419497246633864, peak(0.1)}}});
}

inline double rational_ft3_s(double c, double in_h, double acres) {
  return water::rational_flow(base::RunoffFraction::of(c), base::Rate::inches_per_hour(in_h),
                              base::Area::acres(acres))
      .in_cubic_feet_per_second();
}

inline void add_rational_checks(std::vector<OutsideCheck>& all) {
  const std::vector<water::AreaPart> before = {{22.1, 0.25}, {21.2, 0.22}};
  const std::vector<water::AreaPart> after = {{5.4, 0.90}, {1.6, 0.15}, {18.6, 0.25}, {17.7, 0.22}};
  all.push_back({kHec22,
                 "example 3-1",
                 Read::Text,
                 "runoff coefficient weighted by area",
                 {{"before", "", 0.235, 3, water::weighted_by_area(before)},
                  {"after", "", 0.315, 3, water::weighted_by_area(after)}},
                 {{"before", 0.2353117782909931, water::weighted_by_area(before)},
                  {"after", 0.3151039260969977, water::weighted_by_area(after)}}});
  const auto si = [](double c, double mm_h) {
    return water::rational_flow(base::RunoffFraction::of(c), base::Rate::millimetres_per_hour(mm_h),
                                base::Area::square_metres(175500.0))
        .in_cubic_metres_per_second();
  };
  const std::string acre = "1 acre-inch an hour taken as 1 ft3/s; it is 1.0083";
  all.push_back({kHec22,
                 "example 3-3",
                 Read::Text,
                 "rational peaks of 43.3 acres (17.55 ha)",
                 {{"before", "ft3/s", 19.3, 1, rational_ft3_s(0.235, 1.9, 43.3), 0.2, acre},
                  {"before, metric", "m3/s", 0.55, 2, si(0.235, 48.0)},
                  {"after", "ft3/s", 31.4, 1, rational_ft3_s(0.315, 2.3, 43.3), 0.3, acre},
                  {"after, metric", "m3/s", 0.89, 2, si(0.315, 58.0)}},
                 {{"before, ft3/s", 19.494562083333328, rational_ft3_s(0.235, 1.9, 43.3)},
                  {"ten times the rain", 194.94562083333328, rational_ft3_s(0.235, 19.0, 43.3)},
                  {"a tenth of the rain", 1.9494562083333328, rational_ft3_s(0.235, 0.19, 43.3)},
                  {"after, m3/s", 0.8906624999999999, si(0.315, 58.0)}}});
  const double connected = rational_ft3_s(0.95, 7.5, 1.29);
  const double whole = rational_ft3_s(0.37, 5.7, 4.59);
  const double mean = water::weighted_by_area(std::vector<water::AreaPart>{{1.29, 0.95}, {3.30, 0.15}});
  all.push_back(
      {kBedient,
       "example 6-7",
       Read::Text,
       "hard ground alone in a short rain, or all ground in a longer one",
       {{"coefficient of all", "", 0.37, 2, mean},
        {"hard ground alone", "ft3/s", 9.2, 1, connected, 0.08, acre},
        {"all ground", "ft3/s", 9.7, 1, whole, 0.09, acre}},
       {{"hard ground alone", 9.267843749999999, connected}, {"all ground", 9.760979249999998, whole}}});
  all.push_back({"NOAA unit hydrograph manual",
                 "1 in/h on a square mile",
                 Read::Text,
                 "unit factor of flow",
                 {{"1 in/h on 1 mi2", "ft3/s", 645.33, 2, rational_ft3_s(1.0, 1.0, 640.0)}},
                 {{"1 in/h", 645.3333333333333, rational_ft3_s(1.0, 1.0, 640.0)},
                  {"10 in/h", 6453.333333333333, rational_ft3_s(1.0, 10.0, 640.0)},
                  {"0.1 in/h", 64.53333333333333, rational_ft3_s(1.0, 0.1, 640.0)}}});
}

inline void add_sheet_peaks(std::vector<OutsideCheck>& all) {
  OutsideCheck lot{kBedient, "example 6-6", Read::Text, "time and peak of an asphalt lot of 4 acres, C 0.95"};
  const std::array<double, 5> rows[] = {{6.4, 8.45, 24.3, 8.46544554781732, 24.522666666666662},
                                        {6.6, 8.35, 25.1, 8.361885875516235, 25.288999999999994},
                                        {6.5, 8.40, 24.7, 8.413108066822454, 24.90583333333333}};
  for (const auto& row : rows) {
    const double minutes = water::sheet_flow_time({.length = base::Length::feet(1000.0),
                                                   .slope = base::Slope::percent(1.0),
                                                   .roughness = base::Roughness::manning(0.013)},
                                                  base::Rate::inches_per_hour(0.95 * row[0]))
                               .in_minutes();
    const double peak = rational_ft3_s(0.95, row[0], 4.0);
    const std::string at = fmt::format("{:g} in/h", row[0]);
    lot.printed.push_back({at + ", time", "min", row[1], 2, minutes, 0.02, "1.49 printed for 1.486"});
    lot.printed.push_back(
        {at + ", peak", "ft3/s", row[2], 1, peak, 0.25, "1 acre-inch an hour taken as 1 ft3/s"});
    lot.exact.push_back({at + ", time", row[3], minutes});
    lot.exact.push_back({at + ", peak", row[4], peak});
  }
  all.push_back(lot);
}

inline void add_storm_checks(std::vector<OutsideCheck>& all) {
  struct DayRow {
    double hours;
    std::array<double, 4> share;
  };
  const DayRow rows[] = {{0, {0.000, 0.000, 0.000, 0.000}},     {2, {0.035, 0.050, 0.022, 0.020}},
                         {4, {0.076, 0.116, 0.048, 0.043}},     {6, {0.125, 0.206, 0.080, 0.072}},
                         {7, {0.156, 0.268, 0.098, 0.089}},     {8, {0.194, 0.425, 0.120, 0.115}},
                         {8.5, {0.219, 0.480, 0.133, 0.130}},   {9, {0.254, 0.520, 0.147, 0.148}},
                         {9.5, {0.303, 0.550, 0.163, 0.167}},   {9.75, {0.362, 0.564, 0.172, 0.178}},
                         {10, {0.515, 0.577, 0.181, 0.189}},    {10.5, {0.583, 0.601, 0.204, 0.216}},
                         {11, {0.624, 0.624, 0.235, 0.250}},    {11.5, {0.654, 0.645, 0.283, 0.298}},
                         {11.75, {0.669, 0.655, 0.357, 0.339}}, {12, {0.682, 0.664, 0.663, 0.500}},
                         {12.5, {0.706, 0.683, 0.735, 0.702}},  {13, {0.727, 0.701, 0.772, 0.751}},
                         {13.5, {0.748, 0.719, 0.799, 0.785}},  {14, {0.767, 0.736, 0.820, 0.811}},
                         {16, {0.830, 0.800, 0.880, 0.886}},    {20, {0.926, 0.906, 0.952, 0.957}},
                         {24, {1.000, 1.000, 1.000, 1.000}}};
  OutsideCheck day{"SCS TP-149, 1973", "24-hour distributions, 23 points", Read::SecondHand,
                   "share of the day's rain fallen, types I, IA, II, III: sums of blocks of 15 min"};
  const char* names[] = {"I", "IA", "II", "III"};
  for (std::size_t type = 0; type < 4; ++type) {
    const std::vector<double> blocks = water::day_blocks_m(
        water::day_shape(names[type]), base::Length::metres(1.0), base::Duration::minutes(15.0));
    for (const DayRow& row : rows) {
      double fallen = 0.0;
      for (std::size_t k = 0; k < static_cast<std::size_t>(4.0 * row.hours); ++k) fallen += blocks[k];
      day.printed.push_back(
          {fmt::format("type {}, hour {:g}", names[type], row.hours), "", row.share[type], 3, fallen});
      if (row.hours == 12.0)
        day.exact.push_back({fmt::format("type {}, hour 12", names[type]), row.share[type], fallen});
    }
  }
  all.push_back(day);

  const double percent[] = {0.00,  1.00,  2.20,  3.55,  4.91,  6.20,  8.10,  10.00, 12.10,
                            14.70, 18.60, 23.50, 66.00, 77.40, 82.10, 85.30, 88.10, 90.10,
                            92.20, 93.50, 94.80, 96.10, 97.40, 98.70, 100.00};
  const double fallen_in[] = {0.00, 0.07, 0.16, 0.26, 0.36, 0.45, 0.59, 0.73, 0.89, 1.08, 1.36, 1.72, 4.83,
                              5.67, 6.01, 6.24, 6.45, 6.60, 6.75, 6.84, 6.94, 7.03, 7.13, 7.22, 7.32};
  const double rate_in_h[] = {0.07, 0.09, 0.10, 0.10, 0.09, 0.14, 0.14, 0.15, 0.19, 0.29, 0.36, 3.11,
                              0.83, 0.34, 0.23, 0.20, 0.15, 0.15, 0.10, 0.10, 0.10, 0.10, 0.10, 0.10};
  water::BlockStorm storm{.depth = base::Length::inches(7.32),
                          .duration = base::Duration::hours(24.0),
                          .block = base::Duration::hours(1.0)};
  for (int h = 1; h <= 24; ++h) storm.shape.push_back(percent[h] - percent[h - 1]);
  const std::vector<double> blocks = water::block_depths_m(storm);
  OutsideCheck tallahassee{kBedient, "table E6-4", Read::Text, "a storm of 7.32 in by its hourly shape"};
  double sum_in = 0.0;
  for (std::size_t h = 0; h < 24; ++h) {
    const double ours = blocks[h] / base::kMetresPerInch;
    sum_in += ours;
    tallahassee.printed.push_back(
        {fmt::format("fallen by hour {}", h + 1), "in", fallen_in[h + 1], 2, sum_in});
    tallahassee.printed.push_back({fmt::format("rate of hour {}", h + 1), "in/h", rate_in_h[h], 2, ours,
                                   0.0101, "differences of the rounded depths"});
  }
  tallahassee.exact = {{"hour 12, in", 0.425 * 7.32, blocks[11] / base::kMetresPerInch}};
  all.push_back(tallahassee);
}

inline void add_convolution_check(std::vector<OutsideCheck>& all) {
  const std::vector<double> rain = {0.05, 0.1, 0.8, 3.0, 0.7, 0.1};
  const std::vector<double> one = {0, 100, 300, 450, 350, 250, 150, 100, 50, 0};
  const std::vector<double> two = {0, 160, 480, 720, 560, 400, 240, 160, 80, 0};
  const double printed_one[] = {0, 5, 25, 133, 603, 1378, 1883, 1615, 1173, 745, 470, 235, 45, 5, 0};
  const double printed_two[] = {0, 8, 40, 212, 964, 2204, 3012, 2584, 1876, 1192, 752, 376, 72, 8, 0};
  const double printed_all[] = {0, 13, 65, 345, 1567, 3582, 4895, 4199, 3049, 1937, 1222, 611, 117, 13, 0};
  const auto flows = [](std::vector<double> excess, double scale, const std::vector<double>& unit) {
    for (double& depth : excess) depth *= scale;
    std::vector<double> out(15, 0.0);
    water::add_time_area(excess, unit, out);
    return out;
  };
  const std::vector<double> a = flows(rain, 1.0, one);
  const std::vector<double> b = flows(rain, 1.0, two);
  OutsideCheck check{kBedient, "example 2-7", Read::Text,
                     "net rain of six hours through two unit hydrographs, added"};
  for (std::size_t h = 0; h < 15; ++h) {
    check.printed.push_back({fmt::format("first, hour {}", h), "ft3/s", printed_one[h], 0, a[h]});
    check.printed.push_back({fmt::format("second, hour {}", h), "ft3/s", printed_two[h], 0, b[h]});
    check.printed.push_back({fmt::format("both, hour {}", h), "ft3/s", printed_all[h], 0, a[h] + b[h]});
  }
  check.exact = {{"first, hour 6", 1882.5, a[6]},
                 {"both, hour 6", 4894.5, a[6] + b[6]},
                 {"ten times the rain, hour 6", 18825.0, flows(rain, 10.0, one)[6]},
                 {"a tenth of the rain, hour 6", 188.25, flows(rain, 0.1, one)[6]}};
  all.push_back(check);
}

}  // namespace curbshed::testing
