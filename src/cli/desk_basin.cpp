// Checks of basins.
#include "curbshed/base/error.hpp"
#include "curbshed/cli/desk_command.hpp"
#include "curbshed/water/basin.hpp"
#include "curbshed/water/check_dams.hpp"

#include <cmath>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using base::Dimension;
using report::both_units;
using report::DeskAnswer;

int whole(double dams) {
  if (dams == std::floor(dams)) return static_cast<int>(dams);
  throw base::InputError({"", "--check-dams", ""}, fmt::format("{:g} is no number of dams", dams),
                         "a whole number from 0 to 50", "count them");
}

DeskAnswer basin_answer(const DeskValues& v) {
  const water::BasinShape shape{.length = base::Length::metres(v["length"]),
                                .width = base::Length::metres(v["width"]),
                                .side_slope = v["side-slope"],
                                .ponding = base::Length::metres(v["depth"]),
                                .floor_grade = v["floor-grade"],
                                .check_dams = whole(v["check-dams"]),
                                .dam_thickness = base::Length::metres(v["dam-thickness"])};
  const water::RawBasin basin = water::raw_basin(shape, {});
  const double rate_m_s = v["conductivity"] / v["safety"];
  const bool falls = shape.floor_grade > 0.0 || shape.check_dams > 0;
  const double floor_length_m = v["length"] - 2.0 * v["side-slope"] * v["depth"];
  const double floor_width_m = v["width"] - 2.0 * v["side-slope"] * v["depth"];
  const double wet_m2 = falls ? water::falling_floor({.floor_length_m = floor_length_m,
                                                      .floor_width_m = floor_width_m,
                                                      .side_slope = v["side-slope"],
                                                      .ponding_m = v["depth"],
                                                      .grade = shape.floor_grade,
                                                      .check_dams = shape.check_dams,
                                                      .dam_thickness_m = v["dam-thickness"]})
                                    .wet_floor_m2
                              : basin.floor_area_m2;
  if (!(wet_m2 > 0.0)) {
    throw base::InputError({"", "--check-dams", ""}, "the dams take the whole floor",
                           "dams that leave room between them", "take fewer or thinner dams");
  }
  const double floor_s = basin.invert_volume_m3 / (rate_m_s * wet_m2);
  const double wetted_s = v["depth"] / rate_m_s;
  DeskAnswer answer;
  answer.title =
      fmt::format("A basin {} × {} at its water line, {} deep, sides {:g} : 1.",
                  both_units(v["length"], Dimension::Length), both_units(v["width"], Dimension::Length),
                  both_units(v["depth"], Dimension::Length), v["side-slope"]);
  answer.values = {
      {"storage_m3", "It holds", Dimension::Volume, basin.invert_volume_m3},
      {"drain_time_floor_h", "It drains, through its floor alone, in", Dimension::Duration, floor_s},
      {"drain_time_wetted_h", "It drains, through all the ground under the water, in", Dimension::Duration,
       wetted_s}};
  answer.working = {
      "floor = (L - 2 z d) (W - 2 z d); V = l w d + z (l + w) d^2 + 4/3 z^2 d^3, l and w of the floor",
      fmt::format("floor = {:g} m × {:g} m; design rate = conductivity / safety = {}", floor_length_m,
                  floor_width_m, both_units(rate_m_s, Dimension::Rate)),
      "through the floor: V / (rate · floor); through the plan area under water: d / rate"};
  if (falls) {
    answer.working.push_back(
        fmt::format("the floor falls {:g} %; {} check dams: cells of depth y = d - s x hold (w (d^2 - y1^2) "
                    "/ 2 + z (d^3 - "
                    "y1^3) / 3) / s each, the end slopes z y^2 w / 2 + 2/3 z^2 y^3; floor under water {}",
                    shape.floor_grade * 100.0, shape.check_dams, both_units(wet_m2, Dimension::Area)));
  }
  answer.sources = {
      "volume of a frustum (geometry); drain time by a constant rate (common practice, no source)"};
  answer.cautions = {
      "A rate measured on the site beats one from a table; local rules limit how long water may stand."};
  return answer;
}

}  // namespace

std::vector<DeskCheck> basin_checks() {
  return {
      {"basin",
       "what a basin holds and how long it takes to drain",
       {{"length", Dimension::Length, true, "", "1000 m", "", "water line along the curb"},
        {"width", Dimension::Length, true, "", "1000 m", "", "water line square to the curb"},
        {"depth", Dimension::Length, true, "", "10 m", "", "from the water line down to the floor"},
        {"side-slope", Dimension::Plain, true, "0", "20", "", "horizontal to one vertical"},
        {"conductivity", Dimension::Rate, true, "", "10 m/s", "", "rate at which the ground takes water"},
        {"safety", Dimension::Plain, false, "1", "20", "1", "the rate is divided by it"},
        {"floor-grade", Dimension::Slope, false, "0", "30 %", "0", "fall of the floor along the basin"},
        {"check-dams", Dimension::Plain, false, "0", "50", "0", "dams across it, as high as the water line"},
        {"dam-thickness", Dimension::Length, false, "0 m", "2 m", "0 m", "of a dam, along the basin"}},
       &basin_answer}};
}

}  // namespace curbshed::cli
