#include "curbshed/report/side_tables.hpp"

#include "curbshed/report/sheets.hpp"

#include "report/text_cell.hpp"

#include <fmt/format.h>

namespace curbshed::report {

using base::Cell;
using base::Column;
using base::ColumnType;

namespace {

std::string way_word(street::CornerWay way) {
  switch (way) {
    case street::CornerWay::Turns:
      return "turns";
    case street::CornerWay::Crosses:
      return "crosses";
    case street::CornerWay::Splits:
      break;
  }
  return "splits";
}

std::string origin_word(street::CornerOrigin origin) {
  switch (origin) {
    case street::CornerOrigin::Ground:
      return "heights";
    case street::CornerOrigin::FlowLine:
      return "flow line";
    case street::CornerOrigin::CornerPoint:
      break;
  }
  return "corner point";
}

}  // namespace

base::Table passed_table(const RunFacts& facts) {
  base::Table table;
  table.name = "passed_hollows";
  table.title = "Hollows passed through";
  table.description =
      "Hollows too shallow or too small to keep as sags: water was led through them. The 10,000 largest; the "
      "notes count all.";
  const std::string& unit = facts.crs_unit;
  table.columns = {{"x_" + unit, "East in the reference system", unit, ColumnType::Real},
                   {"y_" + unit, "North in the reference system", unit, ColumnType::Real},
                   {"depth_m", "Depth", "m", ColumnType::Real},
                   {"volume_m3", "Volume up to the spill level", "m3", ColumnType::Real},
                   {"area_m2", "Area at the spill level", "m2", ColumnType::Real},
                   {"spill_level_m", "Level at which it spills", "m", ColumnType::Real},
                   {"over", "What it spills over", "", ColumnType::Text},
                   {"into", "Where its water goes", "", ColumnType::Text}};
  for (const street::PassedDepression& hollow : facts.preparation->maps.street.passed) {
    table.rows.push_back({hollow.at.x_m / facts.metres_per_unit, hollow.at.y_m / facts.metres_per_unit,
                          hollow.depth_m, hollow.volume_m3, hollow.area_m2, hollow.spill_level_m,
                          text(hollow.over), text(hollow.into)});
  }
  base::check(table);
  return table;
}

std::vector<ReachRow> reaches_rows(const RunFacts& facts) {
  std::vector<ReachRow> rows;
  const study::MapProducts& maps = facts.preparation->maps;
  const street::Network& network = facts.preparation->model.network;
  for (std::size_t node = 0; node < maps.gutters.size(); ++node) {
    if (maps.gutters[node].size() < 2) continue;
    const street::SecondWay* second = street::second_way(network, node);
    rows.push_back({static_cast<std::int32_t>(node), network.downstream[node], network.reach_length_m[node],
                    second == nullptr ? 1.0 : 1.0 - second->share, false, &maps.gutters[node]});
  }
  for (std::size_t i = 0; i < maps.second_gutters.size(); ++i) {
    const street::SecondWay& way = network.second_ways[i];
    if (maps.second_gutters[i].size() < 2) continue;
    rows.push_back({way.from, way.to, way.reach_length_m, way.share, true, &maps.second_gutters[i]});
  }
  return rows;
}

namespace {

Cell real(const std::optional<double>& value) {
  Cell cell;
  if (value) cell.emplace<double>(*value);
  return cell;
}

void add_storm_columns(const study::StormComparison& storm, base::Table& table) {
  const auto add = [&](std::string_view pattern, std::string_view title, const char* unit) {
    table.columns.push_back({storm_column_name(std::string(pattern), storm.storm.id),
                             fmt::format("{} ({})", title, storm.storm.title), unit, ColumnType::Real});
  };
  add("peak_before_{}_l_s", "Peak, without cuts", "L/s");
  add("peak_after_{}_l_s", "Peak, with cuts", "L/s");
  add("spread_flattest_before_{}_m", "Widest water at the flattest piece, without cuts", "m");
  add("spread_flattest_after_{}_m", "The same with cuts", "m");
  add("spread_end_before_{}_m", "Widest water at the lower end, which carries most, without cuts", "m");
  add("spread_end_after_{}_m", "The same with cuts", "m");
}

}  // namespace

base::Table reaches_table(const RunFacts& facts) {
  base::Table table;
  table.name = "reaches";
  table.title = "Gutters between places";
  table.description =
      "Gutter from each place down to the next, with its peaks and the widest water at its flattest piece "
      "and at "
      "its lower end.";
  table.columns = {
      {"from_place", "Upper end", "", ColumnType::Text},
      {"to_place", "Lower end", "", ColumnType::Text},
      {"length_m", "Length", "m", ColumnType::Real},
      {"grade_percent", "Grade at the upper end", "%", ColumnType::Real},
      {"gutter_section", "straight, depressed or parabolic", "", ColumnType::Text},
      {"flattest_percent", "Grade of the flattest 30 m; empty = not known", "%", ColumnType::Real},
      {"flattest_place", "Where their middle is", "", ColumnType::Text}};
  for (const study::StormComparison& storm : *facts.storms) add_storm_columns(storm, table);
  const study::ChainModel& model = facts.preparation->model;
  for (const ReachRow& reach : reaches_rows(facts)) {
    const auto n = static_cast<std::size_t>(reach.from);
    const std::string from = node_words(facts, reach.from);
    std::vector<Cell> row;
    row.reserve(table.columns.size());
    row.push_back(text(from));
    row.push_back(text(node_words(facts, reach.to)));
    row.emplace_back(reach.length_m);
    row.emplace_back(model.network.grade[n] * 100.0);
    row.push_back(text(std::string(study::word(model.params[n].section.form))));
    const bool known = !reach.second && n < model.reaches.size() && model.reaches[n].flattest_grade;
    row.push_back(real(known ? std::optional(*model.reaches[n].flattest_grade * 100.0) : std::nullopt));
    row.push_back(text(known ? fmt::format("{:.0f} m below {}", model.reaches[n].flattest_from_m, from)
                             : std::string()));
    for (const study::StormComparison& storm : *facts.storms) {
      const bool worked =
          !reach.second && n < storm.reaches_before.size() && n < storm.reaches_with_cuts.size();
      const study::ReachSpread before = worked ? storm.reaches_before[n] : study::ReachSpread{};
      const study::ReachSpread with = worked ? storm.reaches_with_cuts[n] : study::ReachSpread{};
      row.emplace_back(storm.base.nodes[n].peak_leaving_m3_s * reach.share * 1000.0);
      row.emplace_back(storm.with_cuts.nodes[n].peak_leaving_m3_s * reach.share * 1000.0);
      for (const auto& value : {before.flattest_m, with.flattest_m, before.lower_end_m, with.lower_end_m}) {
        row.push_back(real(value));
      }
    }
    table.rows.push_back(std::move(row));
  }
  base::check(table);
  return table;
}

base::Table corners_table(const RunFacts& facts) {
  base::Table table;
  table.name = "corners";
  table.title = "Street corners";
  table.description =
      "Gutters that come to a side street: whether their water turns round the corner or crosses.";
  const std::string& unit = facts.crs_unit;
  table.columns = {
      {"id", "Name", "", ColumnType::Text},
      {"place", "Where it is", "", ColumnType::Text},
      {"x_" + unit, "East in the reference system", unit, ColumnType::Real},
      {"y_" + unit, "North in the reference system", unit, ColumnType::Real},
      {"way", "turns, crosses or splits", "", ColumnType::Text},
      {"decided_by", "heights, flow line or corner point", "", ColumnType::Text},
      {"turns_percent", "Share of the water in the gutter that turns", "%", ColumnType::Real},
      {"difference_m",
       "Highest ground across less highest ground round the corner; above 0 the heights say "
       "that it turns",
       "m", ColumnType::Real},
      {"doubt_m", "Twice the standard error of that difference", "m", ColumnType::Real},
      {"uncertain", "1 = the heights do not tell", "", ColumnType::Integer},
      {"area_m2", "Ground whose water comes here with no place before, and what the places above pass on",
       "m2", ColumnType::Real},
      {"turns_to", "Place that it reaches when it turns", "", ColumnType::Text},
      {"crosses_to", "Place that it reaches when it crosses", "", ColumnType::Text}};
  const std::vector<double> areas_m2 = areas_arriving_m2(facts.preparation->model);
  for (const street::Corner& corner : facts.preparation->maps.street.corners) {
    const double area_m2 =
        street::area_through_m2(corner, areas_m2, facts.preparation->model.contribution.cell_area_m2);
    table.rows.push_back({text(corner.id), text(corner.words), corner.at.x_m / facts.metres_per_unit,
                          corner.at.y_m / facts.metres_per_unit, text(way_word(corner.way)),
                          text(origin_word(corner.origin)), corner.turns_share * 100.0, corner.difference_m,
                          corner.doubt_m, static_cast<std::int64_t>(corner.uncertain ? 1 : 0), area_m2,
                          text(node_words(facts, corner.to_turn)), text(node_words(facts, corner.to_cross))});
  }
  base::check(table);
  return table;
}

base::Table set_aside_table(const RunFacts& facts) {
  base::Table table;
  table.name = "set_aside";
  table.title = "Features set aside";
  table.description = "Features of the input layers that could not be used, with the reason.";
  table.columns = {{"layer", "Layer", "", ColumnType::Text},
                   {"id", "Feature", "", ColumnType::Text},
                   {"reason", "Why it was set aside", "", ColumnType::Text}};
  for (const SetAsideFeature& feature : facts.set_aside) {
    table.rows.push_back({text(feature.layer), text(feature.id), text(feature.reason)});
  }
  return table;
}

std::vector<std::pair<std::string, int>> digits_of(const base::Table& table) {
  const std::pair<std::string_view, int> by_unit[] = {{"m3", 4}, {"L/s", 3},  {"min", 1}, {"%", 2},
                                                      {"m2", 2}, {"mm/h", 2}, {"m", 4},   {"deg", 7},
                                                      {"ft", 3}, {"usft", 3}};
  std::vector<std::pair<std::string, int>> digits;
  for (const Column& column : table.columns) {
    for (const auto& rule : by_unit) {
      if (column.type == ColumnType::Real && column.unit == rule.first) {
        digits.emplace_back(column.name, rule.second);
      }
    }
  }
  return digits;
}

}  // namespace curbshed::report
