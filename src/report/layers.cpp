#include "curbshed/report/layers.hpp"

#include "curbshed/report/block_faces.hpp"
#include "curbshed/report/candidate_tables.hpp"
#include "curbshed/report/cautions.hpp"
#include "curbshed/report/full.hpp"
#include "curbshed/report/lots.hpp"
#include "curbshed/report/screening.hpp"
#include "curbshed/report/sheets.hpp"
#include "curbshed/report/side_tables.hpp"

#include "report/text_cell.hpp"

#include <fmt/format.h>

namespace curbshed::report {
namespace {

using base::Cell;
using base::ColumnType;
using base::MapLayer;
using base::ShapeKind;
using street::NodeKind;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }
Cell number(const std::optional<double>& value) {
  Cell cell;
  if (value) {
    cell.emplace<double>(*value);
  }
  return cell;
}
Cell flag(bool value) { return static_cast<std::int64_t>(value ? 1 : 0); }

MapLayer named(std::string name, std::string title, const std::string& description, ShapeKind kind) {
  MapLayer layer;
  layer.table.name = std::move(name);
  layer.table.title = std::move(title);
  layer.table.description = fmt::format("{} {}", description, cautions_line());
  layer.kind = kind;
  return layer;
}

void add(MapLayer& layer, std::vector<Cell> row, base::Shape shape) {
  layer.table.rows.push_back(std::move(row));
  layer.shapes.push_back(std::move(shape));
}

MapLayer points_of(const RunFacts& facts, const Sheet& sheet) {
  MapLayer layer = named(sheet.name, sheet.title, sheet.description, ShapeKind::Point);
  base::Table table = table_of(sheet, facts);
  layer.table.columns = std::move(table.columns);
  layer.table.rows = std::move(table.rows);
  for (const std::int32_t node : sheet.nodes) {
    const street::Network& network = facts.preparation->model.network;
    const bool nowhere = network.kind[at(node)] == street::NodeKind::DataEdge;
    layer.shapes.push_back(nowhere ? base::Shape{} : base::point_shape(network.at[at(node)]));
  }
  return layer;
}

std::string kind_word(terrain::CurbKind kind) {
  switch (kind) {
    case terrain::CurbKind::Vertical:
      return "vertical";
    case terrain::CurbKind::Rolled:
      return "rolled";
    case terrain::CurbKind::Flush:
      return "flush";
    case terrain::CurbKind::None:
      return "none";
    case terrain::CurbKind::Gap:
      return "gap";
  }
  return {};
}

MapLayer curbs_layer(const RunFacts& facts) {
  MapLayer layer = named("curbs", "Curbs", "Curb lines as they were used.", ShapeKind::Line);
  layer.table.columns = {
      {"id", "Name", "", ColumnType::Text},
      {"street", "Street", "", ColumnType::Text},
      {"side", "Side of the street", "", ColumnType::Text},
      {"kind", "Kind of curb", "", ColumnType::Text},
      {"height_m", "Height, where the layer gives one", "m", ColumnType::Real},
      {"origin", "Where the line comes from", "", ColumnType::Text},
      {"position_error_m", "Standard error of its place across the street", "m", ColumnType::Real},
      {"water_runs_along", "0 = the pavement falls away from this curb", "", ColumnType::Integer},
      {"set_aside", "1 = could not be used", "", ColumnType::Integer},
      {"reason", "Why it was set aside", "", ColumnType::Text}};
  const terrain::CurbField& field = facts.preparation->maps.curbs;
  std::vector<std::string> reasons(facts.inputs->curbs.size());
  for (std::size_t i = 0; i < field.set_aside.size(); ++i) {
    reasons[at(field.set_aside[i])] = field.set_aside_reason[i];
  }
  for (std::size_t i = 0; i < facts.inputs->curbs.size(); ++i) {
    const terrain::CurbLine& curb = facts.inputs->curbs[i];
    const std::vector<street::CurbFacts>& all = facts.inputs->curb_facts;
    const street::CurbFacts known = all.empty() ? street::CurbFacts{} : all[i];
    add(layer,
        {text(curb.id), text(curb.street), text(curb.side), text(kind_word(curb.kind)), number(curb.height_m),
         text(curb_origin_words(facts, static_cast<std::int32_t>(i))), number(known.position_error_m),
         flag(known.water_runs_along), flag(!reasons[i].empty()), text(reasons[i])},
        base::line_shape(curb.line));
  }
  return layer;
}

MapLayer gutters_layer(const RunFacts& facts) {
  MapLayer layer =
      named("gutters", "Gutters",
            "Gutter from each place down to the next, with the peak that leaves the place.", ShapeKind::Line);
  base::Table table = reaches_table(facts);
  layer.table.columns = std::move(table.columns);
  const std::vector<ReachRow> rows = reaches_rows(facts);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    add(layer, std::move(table.rows[i]), base::line_shape(*rows[i].line));
  }
  return layer;
}

MapLayer basins_layer(const RunFacts& facts) {
  const Sheet sheet = basins_sheet(facts);
  base::Table table = table_of(sheet, facts);
  MapLayer layer = named(sheet.name, sheet.title, sheet.description, ShapeKind::Polygon);
  layer.table.columns = std::move(table.columns);
  for (std::size_t i = 0; i < sheet.nodes.size(); ++i) {
    const base::Polygon& line = facts.preparation->maps.basins[at(sheet.nodes[i])];
    add(layer, std::move(table.rows[i]), line.rings.empty() ? base::Shape() : base::polygon_shape(line));
  }
  return layer;
}

MapLayer areas_layer(const RunFacts& facts) {
  MapLayer layer = named("contributing_areas", "Contributing areas",
                         "Ground whose water reaches each place first, before any other place on the street.",
                         ShapeKind::Polygon);
  layer.table.columns = {
      {"receiver", "Number of the place in rasters/first_receiver.tif", "", ColumnType::Integer},
      {"id", "Place", "", ColumnType::Text},
      {"place", "What the place is", "", ColumnType::Text},
      {"own_area_m2", "Area", "m2", ColumnType::Real},
      {"at_least", "1 = cut by the edge of the data: read \"at least\"", "", ColumnType::Integer}};
  const study::Preparation& preparation = *facts.preparation;
  const street::Network& network = preparation.model.network;
  for (const terrain::LabelArea& area : preparation.maps.areas) {
    const std::size_t node = at(area.label);
    base::Shape shape;
    shape.kind = area.polygons.empty() ? ShapeKind::None : ShapeKind::Polygon;
    shape.polygons = area.polygons;
    add(layer,
        {static_cast<std::int64_t>(area.label), text(network.id[node]), text(node_words(facts, area.label)),
         static_cast<double>(area.cells) * preparation.model.contribution.cell_area_m2,
         flag(network.edge_cuts_area[node] != 0)},
        std::move(shape));
  }
  return layer;
}

MapLayer lots_layer(const RunFacts& facts) {
  base::Table table = table_of(lots_sheet(facts), facts);
  MapLayer layer = named(table.name, table.title, table.description, ShapeKind::Polygon);
  layer.table.columns = std::move(table.columns);
  layer.table.rows = std::move(table.rows);
  layer.shapes = facts.inputs->tank_lots;
  return layer;
}

MapLayer corners_layer(const RunFacts& facts) {
  base::Table table = corners_table(facts);
  MapLayer layer = named(table.name, table.title, table.description, ShapeKind::Point);
  layer.table.columns = std::move(table.columns);
  layer.table.rows = std::move(table.rows);
  for (const street::Corner& corner : facts.preparation->maps.street.corners) {
    layer.shapes.push_back(base::point_shape(corner.at));
  }
  return layer;
}

MapLayer set_aside_layer(const RunFacts& facts) {
  base::Table table = set_aside_table(facts);
  MapLayer layer = named(table.name, table.title, table.description, ShapeKind::None);
  layer.table.columns = std::move(table.columns);
  layer.table.rows = std::move(table.rows);
  for (const SetAsideFeature& feature : facts.set_aside) {
    layer.shapes.push_back(feature.shape);
  }
  return layer;
}

}  // namespace

std::vector<MapLayer> map_layers(const RunFacts& facts) {
  std::vector<MapLayer> layers;
  layers.push_back(curbs_layer(facts));
  layers.push_back(gutters_layer(facts));
  layers.push_back(points_of(facts, cuts_sheet(facts)));
  layers.push_back(basins_layer(facts));
  layers.push_back(screening_layer(facts));
  layers.push_back(overflow_layer(facts));
  layers.push_back(basin_outlines_layer(facts));
  if (facts.candidates != nullptr) layers.push_back(candidates_layer(facts));
  layers.push_back(areas_layer(facts));
  layers.push_back(points_of(facts, existing_basins_sheet(facts)));
  layers.push_back(points_of(facts, outfalls_sheet(facts)));
  layers.push_back(points_of(facts, inlets_sheet(facts)));
  layers.push_back(points_of(facts, sags_sheet(facts)));
  layers.push_back(lots_layer(facts));
  layers.push_back(corners_layer(facts));
  layers.push_back(block_faces_layer(facts));
  layers.push_back(set_aside_layer(facts));
  for (const MapLayer& layer : layers) {
    base::check(layer);
  }
  return layers;
}

}  // namespace curbshed::report
