// Checks of basins.
#include "curbshed/base/error.hpp"
#include "curbshed/cli/desk_command.hpp"
#include "curbshed/water/basin.hpp"

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using base::Dimension;
using report::both_units;
using report::DeskAnswer;

DeskAnswer basin_answer(const DeskValues& v) {
  const water::BasinShape shape{.length = base::Length::metres(v["length"]),
                                .width = base::Length::metres(v["width"]),
                                .side_slope = v["side-slope"],
                                .ponding = base::Length::metres(v["depth"])};
  const water::RawBasin basin = water::raw_basin(shape, {});
  const double rate_m_s = v["conductivity"] / v["safety"];
  const double floor_s = basin.invert_volume_m3 / (rate_m_s * basin.floor_area_m2);
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
      fmt::format("floor = {:g} m × {:g} m; design rate = conductivity / safety = {}", basin.floor_length_m,
                  basin.floor_width_m, both_units(rate_m_s, Dimension::Rate)),
      "through the floor: V / (rate · floor); through the plan area under water: d / rate"};
  answer.sources = {
      "volume of a frustum (geometry); drain time by a constant rate (common practice, no source)"};
  answer.cautions = {
      "A rate measured on the site beats one from a table; local rules limit how long water may stand."};
  return answer;
}

}  // namespace

std::vector<DeskCheck> basin_checks() {
  return {{"basin",
           "what a basin holds and how long it takes to drain",
           {{"length", Dimension::Length, true, "", "1000 m", "", "water line along the curb"},
            {"width", Dimension::Length, true, "", "1000 m", "", "water line square to the curb"},
            {"depth", Dimension::Length, true, "", "10 m", "", "from the water line down to the floor"},
            {"side-slope", Dimension::Plain, true, "0", "20", "", "horizontal to one vertical"},
            {"conductivity", Dimension::Rate, true, "", "10 m/s", "", "rate at which the ground takes water"},
            {"safety", Dimension::Plain, false, "1", "20", "1", "the rate is divided by it"}},
           &basin_answer}};
}

}  // namespace curbshed::cli
