// Outside checks of infiltration, soils, volumes and roofs.
#pragma once

#include "curbshed/water/infiltration.hpp"
#include "curbshed/water/soils.hpp"

#include "support/outside_checks.hpp"

#include <array>

#include <fmt/format.h>

namespace curbshed::testing {

inline void add_green_ampt_checks(std::vector<OutsideCheck>& all) {
  const water::GreenAmptSoil silt{.suction = base::Length::centimetres(16.7),
                                  .deficit = 0.340,
                                  .conductivity = base::Rate::millimetres_per_hour(6.5)};
  const auto ponded = [&](double hours) {
    return water::green_ampt(silt, base::Duration::hours(hours), std::nullopt);
  };
  const auto cm = [](base::Length depth) { return depth.in_millimetres() / 10.0; };
  const auto cm_h = [](base::Rate rate) { return rate.in_millimetres_per_hour() / 10.0; };
  const double deficit = water::green_ampt_soil(water::soil_texture("silt_loam"), 0.30).deficit;
  all.push_back(
      {kChow,
       "example 4.3.1",
       Read::Memory,
       "ponded silt loam, psi 16.7 cm, K 0.65 cm/h, effective saturation 0.30, after 1 h",
       {{"deficit", "", 0.340, 3, deficit},
        {"gone in", "cm", 3.17, 2, cm(ponded(1.0).depth)},
        {"rate", "cm/h", 1.81, 2, cm_h(ponded(1.0).rate), 0.0065, "printed from the rounded depth"}},
       {{"gone in, 1 h, cm", 3.1664192304484344, cm(ponded(1.0).depth)},
        {"rate, 1 h, cm/h", 1.8155752859602599, cm_h(ponded(1.0).rate)},
        {"gone in, a tenth of the time", 0.9030195663103476, cm(ponded(0.1).depth)},
        {"gone in, ten times the time", 13.373478090279288, cm(ponded(10.0).depth)},
        {"rate, ten times the time", 0.9259715890724524, cm_h(ponded(10.0).rate)}}});

  const auto rained = [&](double rain_cm_h) {
    return water::green_ampt(silt, base::Duration::hours(30.0),
                             base::Rate::millimetres_per_hour(10.0 * rain_cm_h));
  };
  const auto ponding_h = [&](double rain_cm_h) { return rained(rain_cm_h).ponding->in_hours(); };
  const std::string hand = "psi dtheta rounded to 5.68 cm and the time to a tenth";
  all.push_back({kChow,
                 "example 4.4.1",
                 Read::Memory,
                 "ponding time of the same soil under steady rain",
                 {{"1 cm/h, time", "h", 10.5, 1, ponding_h(1.0)},
                  {"1 cm/h, gone in", "cm", 10.5, 1, ponding_h(1.0) * 1.0},
                  {"5 cm/h, time", "h", 0.17, 2, ponding_h(5.0)},
                  {"5 cm/h, gone in", "cm", 0.85, 2, ponding_h(5.0) * 5.0}},
                 {{"1 cm/h, h", 10.544857142857143, ponding_h(1.0)},
                  {"5 cm/h, h", 0.1696873563218391, ponding_h(5.0)},
                  {"50 cm/h, h", 0.0014957244174265453, ponding_h(50.0)}}});

  const water::GreenAmptSoil clay{.suction = base::Length::inches(9.37),
                                  .deficit = 0.518 - 0.318,
                                  .conductivity = base::Rate::inches_per_hour(1.97)};
  const double saturated_in =
      7.88 * water::green_ampt(clay, base::Duration::hours(1.0), base::Rate::inches_per_hour(7.88))
                 .ponding->in_hours();
  all.push_back({kBedient,
                 "example 2-12",
                 Read::Text,
                 "depth gone in when the surface is saturated, rain 7.88 in/h",
                 {{"gone in", "in", 0.625, 3, saturated_in}},
                 {{"gone in, in", 0.6246666666666667, saturated_in}}});
}

inline void add_horton_checks(std::vector<OutsideCheck>& all) {
  const water::HortonSoil soil{.initial = base::Rate::inches_per_hour(1.5),
                               .final = base::Rate::inches_per_hour(0.2),
                               .decay_per_s = 0.35 / 3600.0};
  OutsideCheck horton{kBedient, "example 2-10", Read::Text,
                      "rate by Horton, f0 1.5, fc 0.2 in/h, k 0.35 1/h"};
  const std::array<double, 3> rows[] = {{1.0 / 6.0, 1.43, 1.4263360848355398},
                                        {0.5, 1.29, 1.2912941269999696},
                                        {1.0, 1.12, 1.1160945166343275},
                                        {2.0, 0.85, 0.8455608949288325},
                                        {6.0, 0.36, 0.35919335672887653}};
  for (const auto& row : rows) {
    const double ours =
        water::horton(soil, base::Duration::hours(row[0]), std::nullopt).rate.in_inches_per_hour();
    const std::string at = fmt::format("{:.3g} h", row[0]);
    horton.printed.push_back({at, "in/h", row[1], 2, ours});
    horton.exact.push_back({at, row[2], ours});
  }
  horton.exact.push_back({"gone in by 6 h, in", 4.459447552203211,
                          water::horton(soil, base::Duration::hours(6.0), std::nullopt).depth.in_inches()});
  all.push_back(horton);

  // A constant loss is Horton's without a decay.
  const auto runoff_in = [](double loss_in_h) {
    const water::RawInfiltration law =
        water::raw_infiltration(water::HortonSoil{.initial = base::Rate::inches_per_hour(loss_in_h),
                                                  .final = base::Rate::inches_per_hour(loss_in_h),
                                                  .decay_per_s = 1.0});
    const double rain_in[] = {1.4, 1.4, 2.3, 2.3, 2.3, 1.1, 1.1, 0.7, 0.7, 0.7, 0.3, 0.3};
    water::InfiltrationState state;
    double sum = 0.0;
    for (const double depth : rain_in) {
      sum += depth - water::infiltration_of_step_m(state, law, depth * base::kMetresPerInch, 3600.0) /
                         base::kMetresPerInch;
    }
    return sum;
  };
  all.push_back({kBedient,
                 "example 2-11",
                 Read::Text,
                 "runoff of a storm with a constant loss",
                 {{"trial loss 1.5 in/h", "in", 2.4, 1, runoff_in(1.5)},
                  {"loss that gives the measured runoff, 1.0 in/h", "in", 4.9, 1, runoff_in(1.0)}},
                 {{"loss 1.5 in/h", 2.4, runoff_in(1.5)},
                  {"loss 1.0 in/h", 4.9, runoff_in(1.0)},
                  {"loss 0.15 in/h", 12.8, runoff_in(0.15)}}});
}

inline void add_soil_tables(std::vector<OutsideCheck>& all) {
  struct Row {
    const char* name;
    double porosity, effective, suction_cm, conductivity_cm_h;
  };
  const Row rows[] = {
      {"sand", 0.437, 0.417, 4.95, 11.78},       {"loamy_sand", 0.437, 0.401, 6.13, 2.99},
      {"sandy_loam", 0.453, 0.412, 11.01, 1.09}, {"loam", 0.463, 0.434, 8.89, 0.34},
      {"silt_loam", 0.501, 0.486, 16.68, 0.65},  {"sandy_clay_loam", 0.398, 0.330, 21.85, 0.15},
      {"clay_loam", 0.464, 0.309, 20.88, 0.10},  {"silty_clay_loam", 0.471, 0.432, 27.30, 0.10},
      {"sandy_clay", 0.430, 0.321, 23.90, 0.06}, {"silty_clay", 0.479, 0.423, 29.22, 0.05},
      {"clay", 0.475, 0.385, 31.63, 0.03}};
  OutsideCheck textures{kBedient, "table 2-4", Read::Text,
                        "Green-Ampt parameters by texture (after Rawls and others 1983)"};
  for (const Row& row : rows) {
    const water::SoilTexture& ours = water::soil_texture(row.name);
    const std::string name = row.name;
    textures.printed.push_back({name + ", porosity", "", row.porosity, 3, ours.porosity});
    textures.printed.push_back(
        {name + ", effective porosity", "", row.effective, 3, ours.effective_porosity});
    textures.printed.push_back({name + ", suction", "cm", row.suction_cm, 2, ours.suction_m * 100.0});
    textures.printed.push_back(
        {name + ", K", "cm/h", row.conductivity_cm_h, 2, ours.conductivity_m_s * 360000.0});
  }
  all.push_back(textures);

  // The least conductivity of each group, found by halving between 0.01 and 100 um/s.
  const auto limit = [](double impermeable_cm, double water_cm, water::SoilGroup better) {
    double low = 0.01;
    double high = 100.0;
    for (int i = 0; i < 60; ++i) {
      const double middle = 0.5 * (low + high);
      const water::SoilGroupFound found =
          water::soil_group_of(base::Rate::metres_per_second(middle * 1e-6),
                               {.impermeable = base::Length::centimetres(impermeable_cm),
                                .water_table = base::Length::centimetres(water_cm)});
      (found.group <= better ? high : low) = middle;
    }
    return high;
  };
  OutsideCheck groups{"NRCS NEH 630, ch. 7, January 2009", "table 7-1", Read::SecondHand,
                      "limits of saturated conductivity between soil groups"};
  struct Limits {
    const char* what;
    double impermeable_cm, water_cm;
    std::array<double, 3> um_s;
  };
  const Limits limits[] = {{"tight layer 50-100 cm, water < 60 cm", 70, 50, {40, 10, 1}},
                           {"tight layer 50-100 cm, water >= 60 cm", 70, 80, {40, 10, 1}},
                           {"deep, water < 60 cm", 150, 50, {10, 4, 0.4}},
                           {"deep, water 60-100 cm", 150, 80, {40, 10, 1}},
                           {"deep, water > 100 cm", 150, 150, {10, 4, 0.4}}};
  for (const Limits& row : limits) {
    for (std::size_t g = 0; g < 3; ++g) {
      groups.printed.push_back(
          {fmt::format("{}, {} over {}", row.what, "ABC"[g], "BCD"[g]), "um/s", row.um_s[g], 1,
           limit(row.impermeable_cm, row.water_cm, static_cast<water::SoilGroup>(g)), 1e-6, "a limit"});
    }
  }
  all.push_back(groups);
}

inline void add_volume_checks(std::vector<OutsideCheck>& all) {
  const auto acre_feet = [](double ft3_s) {
    return (base::Flow::cubic_feet_per_second(ft3_s) * base::Duration::hours(24.0)).in_cubic_feet() / 43560.0;
  };
  OutsideCheck storage{kBedient, "example 4-1", Read::Text,
                       "storage of a reservoir from daily inflow less outflow"};
  const double net[] = {250, 2500, 6000, 5250, 2250, -1500, -3000, -3000, -3000, -2500, -1500, -1000, -750};
  const double printed[] = {496, 5455, 17356, 27769, 32232, 29256, 23306, 17356, 11405, 6446, 3471, 1488, 0};
  double sum = 0.0;
  for (std::size_t day = 0; day < 13; ++day) {
    sum += acre_feet(net[day]);
    storage.printed.push_back({fmt::format("end of day {}", day + 1), "acre-ft", printed[day], 0, sum, 0.7,
                               "each day rounded by hand"});
  }
  storage.exact = {{"250 ft3/s for a day", 495.8677685950413, acre_feet(250.0)},
                   {"2500 ft3/s for a day", 4958.677685950413, acre_feet(2500.0)},
                   {"25 ft3/s for a day", 49.58677685950413, acre_feet(25.0)}};
  all.push_back(storage);

  const double runoff = (base::Area::acres(43.37) * base::Length::inches(0.43)).in_cubic_feet() / 43560.0;
  all.push_back({kHec22,
                 "eq. 8-2, as worked in example 8-1",
                 Read::Text,
                 "volume of 0.43 in on 43.37 acres",
                 {{"volume", "acre-ft", 1.55, 2, runoff}},
                 {{"volume, acre-ft", 1.5540916666666666, runoff}}});

  const auto roof_gal = [](double rain_in) {
    return (base::Area::square_feet(2500.0) * base::Length::inches(rain_in)).in_gallons() * 0.90;
  };
  all.push_back(
      {"Public page on rainwater harvesting (wiki), worked example",
       "2,500 ft2, 36 in, 0.90",
       Read::Text,
       "a year's rain from a roof",
       {{"harvest", "gal", 50490, 0, roof_gal(36.0), 4.0, "7.48 printed for 7.480519 gal in a cubic foot"}},
       {{"36 in, gal", 50493.5064935065, roof_gal(36.0)},
        {"360 in, gal", 504935.064935065, roof_gal(360.0)},
        {"3.6 in, gal", 5049.35064935065, roof_gal(3.6)}}});
}

}  // namespace curbshed::testing
