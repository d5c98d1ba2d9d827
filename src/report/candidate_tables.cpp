#include "curbshed/report/candidate_tables.hpp"

#include "curbshed/report/cautions.hpp"
#include "curbshed/report/chosen.hpp"
#include "curbshed/report/screening.hpp"
#include "curbshed/report/sheets.hpp"
#include "curbshed/siting/cuts_to_choose.hpp"

#include "report/text_cell.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::report {
namespace {

using base::Cell;
using base::ColumnType;

std::size_t at(std::int32_t i) { return static_cast<std::size_t>(i); }

Cell number(const std::optional<double>& value) {
  Cell cell;
  if (value) cell.emplace<double>(*value);
  return cell;
}
Cell count(std::int64_t value) { return Cell(value); }

std::string currency(const RunFacts& facts) { return facts.settings->money.currency; }

void add_columns(const RunFacts& facts, base::Table& table) {
  const std::string& unit = facts.crs_unit;
  const auto real = [&](std::string name, std::string title, std::string in) {
    table.columns.push_back({std::move(name), std::move(title), std::move(in), ColumnType::Real});
  };
  const auto words = [&](std::string name, std::string title) {
    table.columns.push_back({std::move(name), std::move(title), "", ColumnType::Text});
  };
  const auto whole = [&](std::string name, std::string title) {
    table.columns.push_back({std::move(name), std::move(title), "", ColumnType::Integer});
  };
  whole("rank", "Rank by the water that it would keep in the first storm, 1 = most");
  words("id", "Name");
  words("place", "Where it is, measured along the curb from the corner");
  real("x_" + unit, "East in the reference system", unit);
  real("y_" + unit, "North in the reference system", unit);
  words("where", "strip, behind_walk or bulb");
  real("area_arriving_m2", "Ground whose water comes by", "m2");
  whole("at_least", "1 = the area is cut by the edge of the data: read \"at least\"");
  real("strip_m", "From the curb to what ends the strip (in a bulb: width of the lane); empty = not known",
       "m");
  real("free_curb_m", "Free curb that was looked at, no longer than the asked basin needs", "m");
  real("length_m", "Water line along the curb", "m");
  real("width_m", "Water line square to the curb", "m");
  real("ponding_m", "Depth from the cut's invert to the mulch, as the room allows", "m");
  real("setback_m", "Curb to the water line; below 0 it lies in the street", "m");
  real("channel_m", "Covered channel under the walk", "m");
  whole("on_lot", "1 = on a lot: its owner decides");
  whole("spills", "1 = the ground around lies below the cut: it would spill there");
  words("words", "What is less than asked, and what else there is to know");
  whole("build_order", "Build as number; empty = not chosen");
  words("basin", "Result of the rules for a basin");
  words("over_limit", "Rules over their limit");
  words("to_measure", "Rules to measure on the site");
  whole("without_data", "Number of rules without data");
  for (const siting::CandidateStorm& storm : facts.candidates->storms) {
    real(storm_column_name("kept_{}_m3", storm.storm_id),
         "Water that it would keep with the cuts of the study: captured less what runs on over its rim",
         "m3");
    real(storm_column_name("over_rim_{}_m3", storm.storm_id), "Water that would run on over its rim", "m3");
  }
  real("gain_m3", "More kept by all basins together in the first storm: less what the basins below then miss",
       "m3");
  real("dug_m3", "Soil dug, as it lies in the ground", "m3");
  real("soil_out_m3", "The same loosened, on the truck", "m3");
  real("stone_m3", "Stone at the mouth", "m3");
  real("mulch_m3", "Mulch", "m3");
  whole("plants", "Plants");
  real("pavement_m2", "Pavement broken up", "m2");
  real("cost", "Cost in the currency of [money], of what has a price; empty = no price given", "");
  words("cost_words", "The same in words, with what has no price");
}

}  // namespace

namespace {

void add_screening(const std::optional<siting::Screening>& screening, std::size_t site,
                   std::vector<Cell>& row) {
  if (!screening) {
    row.insert(row.end(), 4, Cell());
    return;
  }
  const auto keys = [&](siting::Outcome outcome) { return rules_with(*screening, site, outcome); };
  row.push_back(text(std::string(siting::word_of(screening->verdicts[site].basin))));
  row.push_back(text(fmt::format("{}", fmt::join(keys(siting::Outcome::OverLimit), " "))));
  row.push_back(text(fmt::format("{}", fmt::join(keys(siting::Outcome::MeasureOnSite), " "))));
  row.push_back(count(static_cast<std::int64_t>(keys(siting::Outcome::NoData).size())));
}

}  // namespace

std::optional<siting::DugBasin> dug_basin(const RunFacts& facts, std::int32_t node) {
  return siting::dug_basin(facts.preparation->model, at(node), *facts.settings);
}

std::optional<siting::Materials> materials_of(const RunFacts& facts, std::int32_t node) {
  const std::optional<siting::DugBasin> basin = dug_basin(facts, node);
  if (!basin) return std::nullopt;
  return siting::materials_of(*basin, {.opening_m = facts.preparation->model.params[at(node)].opening_m},
                              siting::material_rules(*facts.settings));
}

siting::Cost cost_of(const RunFacts& facts, const siting::Materials& materials, std::int64_t sites) {
  return siting::cost_of(materials, sites, siting::prices_of(facts.settings->money));
}

Work work_of(const RunFacts& facts) {
  Work work;
  for (const std::int32_t node : basins_sheet(facts).nodes) {
    if (const std::optional<siting::Materials> own = materials_of(facts, node)) {
      ++work.basins;
      work.materials = work.materials + *own;
    }
  }
  work.cost = cost_of(facts, work.materials, work.basins);
  return work;
}

std::string work_sentence(const RunFacts& facts, Units units) {
  const Work work = work_of(facts);
  if (work.basins == 0) return {};
  const siting::Materials& m = work.materials;
  return fmt::format(
      "To dig for {}: {} of soil ({} loosened), {} of stone, {} of mulch, {} plants; cost: {}.",
      work.basins == 1 ? std::string("the basin") : fmt::format("the {} basins", work.basins),
      show_volume(m.soil_dug_m3, units), show_volume(m.soil_out_m3, units), show_volume(m.stone_m3, units),
      show_volume(m.mulch_m3, units), m.plants, siting::cost_words(work.cost, currency(facts)));
}

base::Table candidates_table(const RunFacts& facts) {
  base::Table table;
  table.name = "candidates";
  table.title = "Candidates for further cuts";
  table.description =
      "Places along the curbs where a basin has room. They are closed in the run; each row says what that "
      "one "
      "would take with the cuts of the study and no other candidate.";
  if (facts.candidates == nullptr) return table;
  add_columns(facts, table);
  const siting::CandidateResults& all = *facts.candidates;
  const study::ChainModel& model = all.model.model;
  for (std::size_t rank = 0; rank < all.ranked.size(); ++rank) {
    const std::size_t i = at(all.ranked[rank]);
    const siting::CandidateSpot& spot = all.model.found.spots[i];
    const std::size_t node = at(all.model.node[i]);
    const siting::Materials& m = all.model.materials[i];
    const siting::Cost cost = cost_of(facts, m, 1);
    std::vector<Cell> row = {count(static_cast<std::int64_t>(rank) + 1),
                             text(model.network.id[node]),
                             text(all.model.place[i].words_metric),
                             Cell(model.network.at[node].x_m / facts.metres_per_unit),
                             Cell(model.network.at[node].y_m / facts.metres_per_unit),
                             text(std::string(place_word(spot.place))),
                             Cell(all.model.area_m2[i]),
                             count(all.model.at_least[i]),
                             number(spot.there.strip_m),
                             Cell(spot.there.free_m),
                             Cell(spot.basin.length_m),
                             Cell(spot.basin.width_m),
                             Cell(spot.basin.ponding_m),
                             Cell(spot.setback_m),
                             Cell(spot.channel_m),
                             count(spot.on_lot ? 1 : 0),
                             count(model.params[node].basin.rim_below_invert() ? 1 : 0),
                             text(spot.words)};
    const std::int64_t order = build_order(facts, model.network.id[node]);
    row.push_back(order > 0 ? count(order) : Cell());
    add_screening(all.model.screening, i, row);
    for (const siting::CandidateStorm& storm : all.storms) {
      row.emplace_back(storm.takes[i].kept_m3);
      row.emplace_back(storm.takes[i].over_rim_m3);
    }
    row.push_back(all.storms.empty() ? Cell() : number(all.storms.front().takes[i].gain_m3));
    for (const double amount : {m.soil_dug_m3, m.soil_out_m3, m.stone_m3, m.mulch_m3})
      row.emplace_back(amount);
    row.push_back(count(m.plants));
    row.emplace_back(m.pavement_m2);
    row.push_back(number(cost.total));
    row.push_back(text(siting::cost_words(cost, currency(facts))));
    table.rows.push_back(std::move(row));
  }
  base::check(table);
  return table;
}

base::MapLayer candidates_layer(const RunFacts& facts) {
  base::MapLayer layer;
  layer.table = candidates_table(facts);
  layer.table.description += " " + cautions_line();
  layer.kind = base::ShapeKind::Polygon;
  if (facts.candidates == nullptr) return layer;
  for (const std::int32_t i : facts.candidates->ranked) {
    layer.shapes.push_back(base::polygon_shape(facts.candidates->model.water_line[at(i)]));
  }
  return layer;
}

std::string candidates_sentence(const RunFacts& facts, Units units) {
  if (facts.candidates == nullptr) return {};
  const siting::CandidatePlaces& found = facts.candidates->model.found;
  std::array<std::int64_t, 3> by_place{};
  for (const siting::CandidateSpot& spot : found.spots) ++by_place[static_cast<std::size_t>(spot.place)];
  std::string words = fmt::format(
      "Further places along the curbs: {} on {} stretches of {} ({} in the strip, {} behind a walk, {} in a "
      "parking lane), closed in this run; candidates.csv has them.",
      found.spots.size(), found.stretches, show_distance(facts.settings->candidates.spacing_m, units),
      by_place[0], by_place[1], by_place[2]);
  std::string none;
  for (std::size_t i = 0; i < siting::kWhyNone; ++i) {
    if (found.without[i] == 0) continue;
    none += fmt::format("{}{} {}", none.empty() ? "" : ", ", found.without[i],
                        siting::why_word(static_cast<siting::WhyNone>(i)));
  }
  if (!none.empty()) words += fmt::format(" None on the rest: {}.", none);
  if (const std::optional<siting::Screening>& screening = facts.candidates->model.screening) {
    words += " " + screening_sentence(*screening);
    const std::vector<std::string> lines = biting_lines(*screening, 3);
    if (!lines.empty()) words += fmt::format(" What keeps most of them out: {}.", fmt::join(lines, "; "));
  }
  return words;
}

base::MapLayer basin_outlines_layer(const RunFacts& facts) {
  base::MapLayer layer;
  layer.table.name = "basin_outlines";
  layer.table.title = "Basins as they are dug";
  layer.table.description =
      fmt::format("Rim of the slopes, water line at the cut's invert, and level floor. {}", cautions_line());
  layer.kind = base::ShapeKind::Polygon;
  layer.table.columns = {{"id", "Cut or candidate", "", ColumnType::Text},
                         {"kind", "cut or candidate", "", ColumnType::Text},
                         {"line", "rim, water line or floor", "", ColumnType::Text},
                         {"below_invert_m", "How far it lies below the cut's invert; above it is negative",
                          "m", ColumnType::Real},
                         {"area_m2", "Area", "m2", ColumnType::Real}};
  const auto add = [&](const std::string& id, const char* kind, const base::Polygon& water,
                       const siting::DugBasin& basin) {
    const siting::BasinOutline outline = siting::outline_of(water, basin);
    const auto one = [&](const char* line, double below_m, const base::Polygon& polygon) {
      layer.table.rows.push_back(
          {text(id), text(kind), text(line), Cell(below_m), Cell(base::area_m2(polygon))});
      layer.shapes.push_back(base::polygon_shape(polygon));
    };
    one("rim", -basin.drop_m, outline.rim);
    one("water line", 0.0, outline.water_line);
    one("floor", basin.ponding_m, outline.floor);
  };
  const study::Preparation& run = *facts.preparation;
  for (const std::int32_t node : basins_sheet(facts).nodes) {
    const std::optional<siting::DugBasin> basin = dug_basin(facts, node);
    if (basin && !run.maps.basins[at(node)].rings.empty()) {
      add(run.model.network.id[at(node)], "cut", run.maps.basins[at(node)], *basin);
    }
  }
  if (facts.candidates != nullptr) {
    const siting::CandidateModel& model = facts.candidates->model;
    for (const std::int32_t i : facts.candidates->ranked) {
      add(model.model.network.id[at(model.node[at(i)])], "candidate", model.water_line[at(i)],
          siting::dug_basin(model.found.spots[at(i)], *facts.settings));
    }
  }
  return layer;
}

}  // namespace curbshed::report
