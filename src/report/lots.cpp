#include "curbshed/report/lots.hpp"

#include "curbshed/report/sentences.hpp"

#include <fmt/format.h>

namespace curbshed::report {
namespace {

using base::Cell;
using base::ColumnType;
using study::LotResult;
using study::LotTank;

std::size_t at(std::int32_t tank) { return static_cast<std::size_t>(tank); }

}  // namespace

Sheet lots_sheet(const RunFacts& facts) {
  Sheet sheet;
  sheet.name = "lots";
  sheet.title = "Lots with rain tanks";
  sheet.description =
      "Lots that keep rain of their roofs: screen, first flush, tank, use, a basin on the lot, then the "
      "street.";
  const std::vector<LotTank>& tanks = facts.preparation->model.tanks;
  for (std::size_t i = 0; i < tanks.size(); ++i) sheet.nodes.push_back(static_cast<std::int32_t>(i));
  const auto number = [&](const char* name, const char* title, const char* unit, auto value) {
    sheet.columns.push_back({{name, title, unit, ColumnType::Real}, [&tanks, value](std::int32_t tank) {
                               return Cell(static_cast<double>(value(tanks[at(tank)])));
                             }});
  };
  sheet.columns.push_back({{"id", "Lot", "", ColumnType::Text},
                           [&tanks](std::int32_t tank) { return Cell(tanks[at(tank)].lot); }});
  number("roof_m2", "Roof of the lot whose water comes to the street", "m2",
         [](const LotTank& lot) { return lot.roof_m2; });
  number("led_m2", "Of it, led to the tank", "m2", [](const LotTank& lot) { return lot.tank.roof_m2; });
  number("tank_m3", "Tank", "m3", [](const LotTank& lot) { return lot.tank.size_m3; });
  number("start_m3", "In the tank when a storm begins", "m3",
         [](const LotTank& lot) { return lot.start_share * lot.tank.size_m3; });
  number("basin_m3", "Basin on the lot", "m3", [](const LotTank& lot) { return lot.tank.basin_m3; });
  sheet.columns.push_back(
      {{"in_base_case", "1 = the tank also stands in the case without cuts", "", ColumnType::Integer},
       [&facts](std::int32_t) {
         return Cell(static_cast<std::int64_t>(facts.preparation->model.tanks_are_new ? 0 : 1));
       }});
  const auto stormy = [&](const char* name, const char* title, auto value) {
    sheet.storm_columns.push_back({{name, title, "m3", ColumnType::Real},
                                   [value](const study::StormComparison& storm, std::int32_t tank) {
                                     return Cell(static_cast<double>(value(storm.with_cuts.lots[at(tank)])));
                                   }});
  };
  stormy("led_{}_m3", "Water off the roof that is led to the tank",
         [](const LotResult& r) { return r.led_m3; });
  stormy("screened_{}_m3", "Lost over the screen", [](const LotResult& r) { return r.screened_m3; });
  stormy("first_flush_{}_m3", "First flush, kept out of the tank",
         [](const LotResult& r) { return r.flushed_m3; });
  stormy("used_{}_m3", "Drawn from the tank", [](const LotResult& r) { return r.used_m3; });
  stormy("tank_gained_{}_m3", "In the tank at the end, less at the start",
         [](const LotResult& r) { return r.tank_gained_m3; });
  stormy("soaked_{}_m3", "Soaked in in the lot's basin", [](const LotResult& r) { return r.soaked_m3; });
  stormy("basin_gained_{}_m3", "In the lot's basin at the end, less at the start",
         [](const LotResult& r) { return r.basin_gained_m3; });
  stormy("to_street_{}_m3", "On to the street", [](const LotResult& r) { return r.to_street_m3; });
  stormy("kept_{}_m3", "Led less what went on to the street", [](const LotResult& r) { return r.kept_m3(); });
  return sheet;
}

std::optional<LotSums> lot_sums(const study::StormComparison& storm) {
  if (storm.with_cuts.lots.empty()) {
    return std::nullopt;
  }
  LotSums sums;
  for (const LotResult& lot : storm.with_cuts.lots) {
    sums.led_m3 += lot.led_m3;
    sums.kept_m3 += lot.kept_m3();
  }
  return sums;
}

std::string lots_sentence(const RunFacts& facts, const study::StormComparison& storm, Units units) {
  const std::optional<LotSums> sums = lot_sums(storm);
  if (!sums) {
    return {};
  }
  const std::size_t tanks = storm.with_cuts.lots.size();
  const std::string which =
      tanks == 1 ? "The rain tank on a lot keeps" : fmt::format("The {} rain tanks on lots keep", tanks);
  const std::string share =
      sums->led_m3 > 0.0 ? fmt::format(" ({})", show_share(sums->kept_m3 / sums->led_m3)) : std::string();
  return fmt::format("{} {} of the {} led to {} in {}{}; {}.", which, show_volume(sums->kept_m3, units),
                     show_volume(sums->led_m3, units), tanks == 1 ? "it" : "them",
                     storm_words(storm.storm, units), share,
                     facts.preparation->model.tanks_are_new
                         ? "they come with the cuts, so what changes downstream is the work of both"
                         : "they stand in the case without cuts, too");
}

}  // namespace curbshed::report
