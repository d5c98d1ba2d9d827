#include "curbshed/geodata/geopackage.hpp"

#include "gdal_support.hpp"
#include "shapes_to_ogr.hpp"

#include <algorithm>
#include <set>

#include <fmt/format.h>
#include <ogrsf_frmts.h>

namespace curbshed::geodata {
namespace {

using base::ColumnType;
using base::MapLayer;
using base::ShapeKind;

constexpr const char* kCannot = "could not be written";
constexpr const char* kCheckDisk = "check that the folder exists, may be written to and has room";

OGRFieldType field_type(ColumnType type) {
  switch (type) {
    case ColumnType::Integer:
      return OFTInteger64;
    case ColumnType::Real:
      return OFTReal;
    case ColumnType::Text:
      break;
  }
  return OFTString;
}

bool single_points(const MapLayer& layer) {
  return layer.kind == ShapeKind::Point &&
         std::all_of(layer.shapes.begin(), layer.shapes.end(),
                     [](const base::Shape& shape) { return shape.points.size() <= 1; });
}

OGRwkbGeometryType geometry_type(const MapLayer& layer) {
  switch (layer.kind) {
    case ShapeKind::Point:
      return single_points(layer) ? wkbPoint : wkbMultiPoint;
    case ShapeKind::Line:
      return wkbMultiLineString;
    case ShapeKind::Polygon:
      return wkbMultiPolygon;
    case ShapeKind::None: {
      const bool any = std::any_of(layer.shapes.begin(), layer.shapes.end(),
                                   [](const base::Shape& shape) { return shape.kind != ShapeKind::None; });
      return any ? wkbUnknown : wkbNone;  // shapes of several kinds in one layer
    }
  }
  return wkbNone;
}

void set_cell(OGRFeature& feature, int field, const base::Cell& cell) {
  if (const std::int64_t* whole = std::get_if<std::int64_t>(&cell)) {
    feature.SetField(field, static_cast<GIntBig>(*whole));
  } else if (const double* real = std::get_if<double>(&cell)) {
    feature.SetField(field, *real);
  } else if (const std::string* text = std::get_if<std::string>(&cell)) {
    feature.SetField(field, text->c_str());
  } else {
    feature.SetFieldNull(field);
  }
}

void write_rows(OGRLayer& target, const MapLayer& layer, const Projection& projection) {
  const bool multi = !single_points(layer);
  for (std::size_t r = 0; r < layer.table.rows.size(); ++r) {
    const OGRFeatureUniquePtr feature(OGRFeature::CreateFeature(target.GetLayerDefn()));
    for (std::size_t c = 0; c < layer.table.columns.size(); ++c) {
      set_cell(*feature, static_cast<int>(c), layer.table.rows[r][c]);
    }
    if (auto shape = detail::to_ogr(layer.shapes[r], projection.metres_per_unit, multi)) {
      feature->SetGeometryDirectly(shape.release());
    }
    if (target.CreateFeature(feature.get()) != OGRERR_NONE) {
      return;  // GDAL said why
    }
  }
}

void write_layer(GDALDataset& dataset, const MapLayer& layer, const Projection& projection,
                 const GeoPackageInfo& info) {
  const OGRSpatialReference system = detail::spatial_reference(projection.wkt);
  const std::string title = layer.table.title.empty() ? layer.table.name : layer.table.title;
  const std::string identifier = "IDENTIFIER=" + title;
  const std::string description = "DESCRIPTION=" + layer.table.description;
  const char* options[] = {identifier.c_str(), description.c_str(), "FID=fid", "GEOMETRY_NAME=geom", nullptr};
  OGRLayer* target = dataset.CreateLayer(layer.table.name.c_str(), const_cast<OGRSpatialReference*>(&system),
                                         geometry_type(layer), const_cast<char**>(options));
  if (target == nullptr) {
    return;
  }
  for (const base::Column& column : layer.table.columns) {
    OGRFieldDefn field(column.name.c_str(), field_type(column.type));
    if (target->CreateField(&field) != OGRERR_NONE) {
      return;
    }
  }
  if (!info.caution.empty()) {
    target->SetMetadataItem("CAUTION", info.caution.c_str());
  }
  write_rows(*target, layer, projection);
}

std::string sql_text(const std::string& text) {
  std::string out = "'";
  for (const char c : text) {
    out += c;
    if (c == '\'') {
      out += c;
    }
  }
  return out + "'";
}

void run_sql(GDALDataset& dataset, const std::string& statement) {
  OGRLayer* result = dataset.ExecuteSQL(statement.c_str(), nullptr, nullptr);
  if (result != nullptr) {
    dataset.ReleaseResultSet(result);
  }
}

/// GDAL 3.6 does not write column titles itself. Tables as in OGC 12-128r17 (GeoPackage 1.3), annex F.9
/// "Schema".
void write_titles(GDALDataset& dataset, const std::vector<MapLayer>& layers) {
  run_sql(dataset,
          "CREATE TABLE gpkg_data_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL, name TEXT, "
          "title TEXT, "
          "description TEXT, mime_type TEXT, constraint_name TEXT, "
          "CONSTRAINT pk_gdc PRIMARY KEY (table_name, column_name), CONSTRAINT gdc_tn UNIQUE (table_name, "
          "name))");
  run_sql(dataset,
          "CREATE TABLE gpkg_data_column_constraints (constraint_name TEXT NOT NULL, constraint_type TEXT "
          "NOT NULL, value TEXT, "
          "min NUMERIC, min_is_inclusive BOOLEAN, max NUMERIC, max_is_inclusive BOOLEAN, description TEXT, "
          "CONSTRAINT gdcc_ntv UNIQUE (constraint_name, constraint_type, value))");
  run_sql(dataset,
          "CREATE TABLE IF NOT EXISTS gpkg_extensions (table_name TEXT, column_name TEXT, extension_name "
          "TEXT NOT NULL, definition "
          "TEXT NOT NULL, scope TEXT NOT NULL, CONSTRAINT ge_tce UNIQUE (table_name, column_name, "
          "extension_name))");
  for (const char* table : {"gpkg_data_columns", "gpkg_data_column_constraints"}) {
    run_sql(dataset, fmt::format("INSERT INTO gpkg_extensions VALUES ('{}', NULL, 'gpkg_schema', "
                                 "'http://www.geopackage.org/spec/#extension_schema', 'read-write')",
                                 table));
  }
  for (const MapLayer& layer : layers) {
    for (const base::Column& column : layer.table.columns) {
      const std::string unit = column.unit.empty() ? "NULL" : sql_text("unit: " + column.unit);
      run_sql(dataset, fmt::format("INSERT INTO gpkg_data_columns VALUES ({}, {}, {}, {}, {}, NULL, NULL)",
                                   sql_text(layer.table.name), sql_text(column.name), sql_text(column.name),
                                   sql_text(column.title.empty() ? column.name : column.title), unit));
    }
  }
}

void check_layers(const std::vector<MapLayer>& layers) {
  std::set<std::string> names;
  for (const MapLayer& layer : layers) {
    base::check(layer);
    base::ensure(!layer.table.name.empty() && names.insert(layer.table.name).second,
                 "write_geopackage: each layer has a name of its own");
    for (const base::Column& column : layer.table.columns) {
      base::ensure(column.name != "fid" && column.name != "geom",
                   "write_geopackage: fid and geom are not our columns");
    }
  }
}

}  // namespace

void write_geopackage(const std::string& path, const std::vector<MapLayer>& layers,
                      const Projection& projection, const GeoPackageInfo& info) {
  check_layers(layers);
  detail::start_gdal();
  detail::GdalMessages messages;
  const detail::ThreadSetting date("OGR_CURRENT_DATE", info.date.c_str());
  detail::PartialFile file(path);
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
  base::ensure(driver != nullptr, "GDAL has its GeoPackage driver");
  const char* options[] = {"VERSION=1.3", "ADD_GPKG_OGR_CONTENTS=YES", nullptr};
  detail::DatasetPtr dataset(
      driver->Create(file.partial().c_str(), 0, 0, 0, GDT_Unknown, const_cast<char**>(options)));
  messages.throw_if_failed(path, kCannot, kCheckDisk);
  base::ensure(dataset != nullptr, "GDAL makes the GeoPackage or says why not");
  base::ensure(dataset->StartTransaction(FALSE) == OGRERR_NONE, "a GeoPackage takes transactions");
  for (const MapLayer& layer : layers) {
    write_layer(*dataset, layer, projection, info);
    messages.throw_if_failed(path, kCannot, kCheckDisk);
  }
  dataset->FlushCache(false);
  write_titles(*dataset, layers);
  messages.throw_if_failed(path, kCannot, kCheckDisk);
  dataset->CommitTransaction();
  dataset.reset();
  messages.throw_if_failed(path, kCannot, kCheckDisk);
  file.commit();
}

}  // namespace curbshed::geodata
