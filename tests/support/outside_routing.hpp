// Outside checks of ponds and reaches.
#pragma once

#include "curbshed/water/pond_routing.hpp"

#include "support/outside_checks.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::testing {

/// A pond's published routing, in the units of its document.
struct PondExample {
  water::StageTable table;
  std::vector<double> inflow;
  double step_s = 0.0;
  double start = 0.0;

  std::vector<double> outflow(double scale = 1.0) const {
    std::vector<double> in = inflow;
    for (double& flow : in) flow *= scale;
    std::vector<double> out;
    for (const water::PondStep& step : water::level_pool(table, in, step_s, scale * start))
      out.push_back(step.outflow_m3_s);
    return out;
  }
  double peak(double scale = 1.0) const {
    const std::vector<double> out = outflow(scale);
    return *std::max_element(out.begin(), out.end());
  }
};

inline void compare(OutsideCheck& check, const std::string& name, const std::string& unit,
                    const std::vector<double>& printed, const std::vector<double>& ours, int decimals,
                    double tolerance, const std::string& why) {
  for (std::size_t j = 0; j < printed.size(); ++j) {
    check.printed.push_back(
        {fmt::format("{}, step {}", name, j), unit, printed[j], decimals, ours[j], tolerance, why});
  }
}

inline void add_linear_reservoir(std::vector<OutsideCheck>& all) {
  // S = K O, K 2 h; time in hours.
  PondExample pond{
      .table = {{{0.0, 0.0, 0.0}, {1.0, 20000.0, 40000.0}}},
      .inflow = {100, 150, 250, 400, 800, 1000, 900, 700, 550, 400, 300, 250, 200, 150, 120, 100},
      .step_s = 1.0,
      .start = 200.0};
  pond.inflow.resize(26, 100.0);
  OutsideCheck check{"V. M. Ponce, course page of Engineering Hydrology, ch. 8", "linear reservoir, K 2 h",
                     Read::Text, "outflow of a linear reservoir, 26 steps to 3 decimals"};
  compare(check, "outflow", "flow",
          {100,     110,    146,     217.6,   370.56,  582.336, 729.402, 757.641, 704.585,
           612.751, 507.65, 414.59,  338.754, 273.252, 217.951, 174.771, 144.863, 126.918,
           116.151, 109.69, 105.814, 103.489, 102.093, 101.256, 100.754, 100.452},
          pond.outflow(), 3, 0.00051, "");
  check.exact = {{"peak", 757.64096, pond.peak()},
                 {"peak, ten times", 7576.4096, pond.peak(10.0)},
                 {"peak, a tenth", 75.764096, pond.peak(0.1)}};
  all.push_back(check);
}

inline void add_chow_pond(std::vector<OutsideCheck>& all) {
  const double discharge[] = {0,   3,   8,   17,  30,  43,  60,  78,  97,  117, 137,
                              156, 173, 190, 205, 218, 231, 242, 253, 264, 275};
  PondExample pond{.table = {},
                   .inflow = {0, 60, 120, 180, 240, 300, 360, 320, 280, 240, 200, 160, 120, 80, 40, 0},
                   .step_s = 600.0};
  for (int i = 0; i <= 20; ++i) pond.table.rows.push_back({0.5 * i, discharge[i], 43560.0 * 0.5 * i});
  const auto indicator = [&](std::size_t row) {
    return 2.0 * pond.table.rows[row].storage_m3 / pond.step_s + pond.table.rows[row].discharge_m3_s;
  };
  all.push_back({kChow,
                 "example 8.2.1",
                 Read::SecondHand,
                 "storage indicator 2S/dt + Q of a pond of one acre",
                 {{"0.5 ft", "ft3/s", 76, 0, indicator(1)}, {"10 ft", "ft3/s", 1727, 0, indicator(20)}},
                 {{"0.5 ft", 75.6, indicator(1)}, {"10 ft", 1727.0, indicator(20)}}});
  OutsideCheck check{kChow, "example 8.2.2", Read::Memory, "outflow of that pond, rows through 150 min"};
  compare(
      check, "outflow", "ft3/s",
      {0, 2.4, 17.1, 61.1, 123.2, 182.2, 230.3, 259.3, 270.0, 267.4, 254.9, 235.2, 206.9, 168.5, 124.1, 79.8},
      pond.outflow(), 1, 0.0, "");
  check.exact = {{"peak", 269.9988562985418, pond.peak()},
                 {"peak, a tenth of the inflow", 22.279195506157038, pond.peak(0.1)}};
  all.push_back(check);
}

inline PondExample hec22_pond_feet() {
  PondExample pond{
      .table = {},
      .inflow = {0,    1.4,  2.5, 4.2, 6.4, 11.7, 17.3, 23.7, 28.6, 31.1, 30.4, 27.9, 24.4, 20.1, 17.0,
                 13.8, 11.3, 9.2, 7.8, 6.4, 5.3,  3.9,  3.2,  1.8,  1.1,  0,    0,    0,    0},
      .step_s = 205.2};
  pond.table.rows = {{32.8, 0, 0},        {33.1, 0.2, 1236},   {33.5, 0.4, 2567},   {33.8, 0.6, 3849},
                     {34.1, 0.8, 5485},   {34.4, 1.0, 7028},   {34.8, 1.1, 8774},   {35.1, 1.2, 10559},
                     {35.4, 1.3, 12455},  {35.8, 6.0, 14620},  {36.1, 10.7, 16548}, {36.4, 13.3, 19070},
                     {36.7, 14.8, 21074}, {37.1, 16.4, 23731}, {37.4, 17.7, 26054}, {37.7, 18.7, 29099},
                     {38.0, 20.7, 31503}, {38.4, 40.6, 34820}, {38.7, 62.5, 37413}, {39.0, 73.1, 40965},
                     {39.4, 80.7, 43906}};
  return pond;
}

inline PondExample hec22_pond_metres() {
  PondExample pond{
      .table = {},
      .inflow = {0,    0.04, 0.07, 0.12, 0.18, 0.33, 0.49, 0.67, 0.81, 0.88, 0.86, 0.79, 0.69, 0.57, 0.48,
                 0.39, 0.32, 0.26, 0.22, 0.18, 0.15, 0.11, 0.09, 0.05, 0.03, 0,    0,    0,    0},
      .step_s = 205.2};
  pond.table.rows = {{10.0, 0, 0},       {10.1, 0.006, 35},  {10.2, 0.011, 72},   {10.3, 0.018, 109},
                     {10.4, 0.024, 155}, {10.5, 0.028, 199}, {10.6, 0.032, 248},  {10.7, 0.035, 299},
                     {10.8, 0.038, 353}, {10.9, 0.171, 414}, {11.0, 0.303, 470},  {11.1, 0.378, 540},
                     {11.2, 0.418, 600}, {11.3, 0.464, 672}, {11.4, 0.503, 744},  {11.5, 0.530, 824},
                     {11.6, 0.587, 902}, {11.7, 1.150, 986}, {11.8, 1.771, 1075}, {11.9, 2.069, 1160},
                     {12.0, 2.284, 1264}};
  return pond;
}

inline void add_hec22_pond(std::vector<OutsideCheck>& all) {
  const PondExample us = hec22_pond_feet();
  const PondExample si = hec22_pond_metres();
  OutsideCheck check{kHec22, "example 8-9", Read::Text, "outflow of a detention pond, in feet and in metres"};
  compare(check, "feet", "ft3/s",
          {0,    0,    0.1,  0.2,  0.3,  0.6,  1.0,  1.2,  7.5, 13.4, 15.7, 17.2, 18.0, 18.3, 18.3,
           18.1, 17.7, 16.9, 16.0, 15.0, 13.7, 12.1, 10.2, 7.1, 5.0,  3.3,  2.1,  1.4,  1.3},
          us.outflow(), 1, 0.06, "each row rounded by hand before the next");
  const std::vector<double> printed = {0,    0.00, 0.00, 0.00, 0.01, 0.01, 0.02, 0.03, 0.04, 0.21,
                                       0.38, 0.45, 0.49, 0.51, 0.52, 0.52, 0.51, 0.50, 0.48, 0.45,
                                       0.42, 0.39, 0.34, 0.28, 0.20, 0.14, 0.07, 0.06, 0.05, 0.04};
  const std::vector<double> ours = si.outflow();
  for (std::size_t j = 1; j < ours.size(); ++j) {
    const bool tail = j > 24;
    check.printed.push_back(
        {fmt::format("metres, step {}", j), "m3/s", printed[j + 1], 2, ours[j], tail ? 0.03 : 0.01,
         tail ? "the printed tail is rounded by hand" : "each row rounded by hand before the next"});
  }
  const std::vector<water::PondStep> steps = water::level_pool(us.table, us.inflow, us.step_s, 0.0);
  double most = 0.0;
  for (const water::PondStep& step : steps) most = std::max(most, step.storage_m3);
  check.printed.push_back({"feet, most storage", "ft3", 27816, 0, most});
  check.exact = {{"peak, feet", 18.278559164987517, us.peak()},
                 {"most storage, feet", 27815.712657386994, most},
                 {"peak, feet, a tenth of the inflow", 0.6917341676789196, us.peak(0.1)},
                 {"peak, metres", 0.5175939528977702, si.peak()},
                 {"peak, metres, a tenth of the inflow", 0.0205471332894517, si.peak(0.1)}};
  all.push_back(check);
}

inline void add_bedient_pond(std::vector<OutsideCheck>& all) {
  PondExample pond{
      .table = {}, .inflow = {0, 20, 40, 60, 50, 40, 30, 20, 10, 0, 0, 0, 0, 0, 0, 0, 0}, .step_s = 600.0};
  pond.table.rows = {{0, 0.0, 0},         {1, 12.8, 6772},  {2, 18.0, 15161},   {3, 22.1, 25310},
                     {4, 25.5, 37361},    {5, 28.5, 51457}, {5.5, 49.8, 59173}, {6, 87.5, 67167},
                     {6.5, 135.7, 75443}, {7, 192.7, 84006}};
  OutsideCheck check{kBedient, "example 4-5", Read::Text, "outflow of a pond with an orifice and a weir"};
  compare(check, "outflow", "ft3/s",
          {0, 7.2, 17.6, 24.0, 28.1, 40.4, 35.5, 28.2, 26.6, 23.5, 19.0, 13.5, 4.6, 1.3, 0.4, 0.1, 0.0},
          pond.outflow(), 1, 0.1, "the indicator is rounded to whole ft3/s in the book's table");
  check.exact = {{"peak", 40.45946092856335, pond.peak()},
                 {"peak, a tenth of the inflow", 5.1611714953653705, pond.peak(0.1)}};
  all.push_back(check);
}

inline void add_muskingum(std::vector<OutsideCheck>& all) {
  const water::ReachWeights w = water::muskingum_weights(2.3, 0.15, 1.0);
  const auto routed = [&](double scale) {
    std::vector<double> in = {93,  137, 208, 320, 442, 546, 630, 678, 691, 675,
                              634, 571, 477, 390, 329, 247, 184, 134, 108, 90};
    for (double& flow : in) flow *= scale;
    return water::route_reach(w, in, 85.0 * scale);
  };
  OutsideCheck check{kChow, "example 8.4.1", Read::SecondHand,
                     "a reach by Muskingum, K 2.3 h, X 0.15, dt 1 h"};
  check.printed = {{"weight of the inflow now", "", 0.0631, 4, w.now_in},
                   {"weight of the inflow before", "", 0.3442, 4, w.before_in},
                   {"weight of the outflow before", "", 0.5927, 4, w.before_out}};
  compare(check, "outflow", "ft3/s",
          {85, 91, 114, 159, 233, 324, 420, 509, 578, 623, 642, 635, 603, 546, 479, 413, 341, 274, 215, 170},
          routed(1.0), 0, 0.6, "worked with weights of four decimals");
  const auto peak = [&](double scale) {
    const std::vector<double> out = routed(scale);
    return *std::max_element(out.begin(), out.end());
  };
  check.exact = {{"peak", 641.7456377635854, peak(1.0)},
                 {"peak, ten times", 6417.456377635854, peak(10.0)},
                 {"peak, a tenth", 64.17456377635854, peak(0.1)}};
  all.push_back(check);
}

inline void add_muskingum_cunge(std::vector<OutsideCheck>& all) {
  const water::ReachWeights w = water::cunge_weights(
      {.length_m = 6000.0, .celerity_m_s = 2.0, .top_width_m = 25.3, .slope = 0.001, .flow_m3_s = 150.0},
      7200.0);
  const auto routed = [&](double scale) {
    std::vector<std::vector<double>> at = {{10, 18, 50, 107, 147, 146, 105, 59, 33, 17, 10, 10, 10, 10, 10}};
    for (double& flow : at[0]) flow *= scale;
    for (int reach = 0; reach < 3; ++reach) at.push_back(water::route_reach(w, at.back(), 10.0 * scale));
    return at;
  };
  OutsideCheck check{kBedient, "example 4-7", Read::Text,
                     "three reaches of 6 km by Muskingum-Cunge; one weight is negative"};
  const std::string rounded = "the book's D is 97.33 for 97.35 min";
  check.printed = {{"weight of the inflow before", "", 0.7466, 4, w.before_in, 0.0005, rounded},
                   {"weight of the inflow now", "", 0.4863, 4, w.now_in, 0.0005, rounded},
                   {"weight of the outflow before", "", -0.2329, 4, w.before_out, 0.0005, rounded}};
  const std::vector<std::vector<double>> at = routed(1.0);
  compare(
      check, "6 km", "m3/s",
      {10, 13.89, 34.51, 81.32, 132.44, 149.91, 125.16, 77.93, 41.94, 23.14, 12.17, 9.49, 10.12, 9.97, 10.01},
      at[1], 2, 0.05, rounded);
  compare(
      check, "12 km", "m3/s",
      {10, 11.89, 24.38, 59.63, 111.23, 145.88, 138.82, 99.01, 55.52, 29.63, 16.29, 9.91, 9.70, 10.15, 9.95},
      at[2], 2, 0.05, rounded);
  compare(check, "18 km", "m3/s",
          {10, 10.92, 18.19, 42.96, 88.60, 133.35, 145.37, 117.94, 73.45, 38.75, 21.02, 12.09, 9.30, 10.01,
           10.08},
          at[3], 2, 0.05, rounded);
  check.exact = {{"18 km, hour 12", 145.3426134233678, at[3][6]},
                 {"18 km, hour 12, ten times", 1453.426134233678, routed(10.0)[3][6]},
                 {"18 km, hour 12, a tenth", 14.53426134233678, routed(0.1)[3][6]}};
  all.push_back(check);
}

}  // namespace curbshed::testing
