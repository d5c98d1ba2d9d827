// Checks of water that goes into the ground.
#include "curbshed/cli/desk_command.hpp"
#include "curbshed/water/infiltration.hpp"
#include "curbshed/water/soils.hpp"

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using base::Dimension;
using report::both_units;
using report::DeskAnswer;

std::optional<base::Rate> rain_of(const DeskValues& v) {
  if (!v.given("rain-rate")) return std::nullopt;
  return base::Rate::metres_per_second(v["rain-rate"]);
}

DeskAnswer answer_of(const DeskValues& v, const water::Infiltrated& in) {
  DeskAnswer answer;
  answer.title =
      v.given("rain-rate")
          ? fmt::format("Steady rain of {} for {}.", both_units(v["rain-rate"], Dimension::Rate),
                        both_units(v["time"], Dimension::Duration))
          : fmt::format("Water stands on the ground for {}.", both_units(v["time"], Dimension::Duration));
  report::DeskValue ponding{"ponding_time_s", "Water begins to stand after", Dimension::Duration, {}};
  if (in.ponding) {
    ponding.value = in.ponding->in_seconds();
  } else {
    ponding.words = "Water never begins to stand: the ground takes all of this rain.";
    ponding.value = std::monostate{};
  }
  answer.values = {ponding,
                   {"infiltrated_mm", "Goes in by then", Dimension::Length, in.depth.in_metres()},
                   {"rate_mm_h", "It then goes in at", Dimension::Rate, in.rate.in_metres_per_second()}};
  if (in.ponding && in.ponding->in_seconds() > v["time"]) {
    answer.cautions.emplace_back("Water begins to stand only after the time asked for.");
  }
  answer.cautions.emplace_back(
      "One kind of ground down to any depth, evenly moist at the start: a hard layer or a sealed surface "
      "takes "
      "less.");
  return answer;
}

DeskAnswer green_ampt_answer(const DeskValues& v) {
  const water::GreenAmptSoil soil{.suction = base::Length::metres(v["suction"]),
                                  .deficit = v["deficit"],
                                  .conductivity = base::Rate::metres_per_second(v["conductivity"])};
  DeskAnswer answer = answer_of(v, water::green_ampt(soil, base::Duration::seconds(v["time"]), rain_of(v)));
  answer.working = {
      "S = psi dtheta; standing water: F - S ln(1 + F/S) = K t, f = K (1 + S/F)",
      "rain i > K: it stands from Fp = K S/(i - K), tp = Fp/i, then F - Fp - S ln((S + F)/(S + Fp)) = "
      "K (t - tp); rain i <= K: never",
      fmt::format("psi = {:g} mm, dtheta = {:g}, S = {:g} mm, K = {:g} mm/h", v["suction"] * 1000.0,
                  v["deficit"], v["suction"] * v["deficit"] * 1000.0, v["conductivity"] * 3.6e6)};
  answer.sources = {std::string(water::kGreenAmptSource)};
  return answer;
}

DeskAnswer horton_answer(const DeskValues& v) {
  const water::HortonSoil soil{.initial = base::Rate::metres_per_second(v["initial-rate"]),
                               .final = base::Rate::metres_per_second(v["final-rate"]),
                               .decay_per_s = v["decay"]};
  DeskAnswer answer = answer_of(v, water::horton(soil, base::Duration::seconds(v["time"]), rain_of(v)));
  answer.working = {"f = fc + (f0 - fc) e^(-k t), F = fc t + (f0 - fc)/k (1 - e^(-k t))",
                    "rain i < f0: it stands once as much has gone in as by the time at which f = i",
                    fmt::format("f0 = {:g} mm/h, fc = {:g} mm/h, k = {:g} 1/h", v["initial-rate"] * 3.6e6,
                                v["final-rate"] * 3.6e6, v["decay"] * 3600.0)};
  answer.sources = {std::string(water::kHortonSource)};
  return answer;
}

DeskAnswer soil_answer(const DeskValues& v) {
  water::SoilDepths depths;
  if (v.given("impermeable")) depths.impermeable = base::Length::metres(v["impermeable"]);
  if (v.given("water-table")) depths.water_table = base::Length::metres(v["water-table"]);
  const water::SoilGroupFound found =
      water::soil_group_of(base::Rate::metres_per_second(v["conductivity"]), depths);
  DeskAnswer answer;
  answer.title =
      fmt::format("Ground whose tightest layer takes {}.", both_units(v["conductivity"], Dimension::Rate));
  answer.values = {{"soil_group", "Hydrologic soil group", Dimension::Plain, found.name()}};
  answer.working = {
      "deep ground (nothing tight within 100 cm, water below 100 or above 60 cm): A over 10 um/s, B 4 to 10, "
      "C 0.4 to 4, "
      "D up to 0.4",
      "else: A over 40 um/s, B 10 to 40, C 1 to 10, D up to 1; D where something tight lies within 50 cm; "
      "water above 60 "
      "cm: D unless drained",
      fmt::format("conductivity = {:g} um/s", v["conductivity"] * 1e6)};
  answer.sources = {std::string(water::kSoilGroupSource)};
  answer.cautions = {"A soil map's group is for natural ground: dug, filled and trodden ground takes less."};
  return answer;
}

}  // namespace

std::vector<DeskCheck> soil_checks() {
  const DeskFlag time{
      "time", Dimension::Duration, true, "", "30 d", "", "time since the rain or the ponding began"};
  const DeskFlag rain{"rain-rate",
                      Dimension::Rate,
                      false,
                      "0 mm/h",
                      "2000 mm/h",
                      "",
                      "steady rain; without it water stands from the start"};
  return {
      {"infiltrate",
       "depth of water that goes into a soil, by Green and Ampt",
       {{"suction", Dimension::Length, true, "0 mm", "5 m", "", "suction at the wetting front"},
        {"deficit", Dimension::Plain, true, "0", "1", "", "share of the soil that can still fill with water"},
        {"conductivity", Dimension::Rate, true, "", "10 m/s", "", "saturated conductivity"},
        time,
        rain},
       &green_ampt_answer},
      {"horton",
       "depth of water that goes into a soil, by Horton",
       {{"initial-rate", Dimension::Rate, true, "", "10 m/s", "", "rate at the start"},
        {"final-rate", Dimension::Rate, true, "0 mm/h", "10 m/s", "", "rate in the end"},
        {"decay", Dimension::Decay, true, "", "1 1/s", "", "how fast it falls"},
        time,
        rain},
       &horton_answer},
      {"soil",
       "hydrologic soil group from the saturated conductivity",
       {{"conductivity", Dimension::Rate, true, "0 um/s", "10 m/s", "", "of the tightest layer"},
        {"impermeable", Dimension::Length, false, "0 m", "100 m", "", "depth to an impermeable layer"},
        {"water-table", Dimension::Length, false, "0 m", "100 m", "", "depth to the water table"}},
       &soil_answer}};
}

}  // namespace curbshed::cli
