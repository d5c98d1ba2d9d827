#include "curbshed/geodata/geopackage.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/base/layer_fields.hpp"
#include "curbshed/geodata/layer.hpp"

#include "support/run_tool.hpp"
#include "support/small_disk.hpp"
#include "support/temp_folder.hpp"

#include <filesystem>
#include <limits>

#include <gtest/gtest.h>

namespace curbshed::geodata {
namespace {

using base::ColumnType;
using base::MapLayer;
using base::ShapeKind;
using testing::read_text;
using testing::run_tool;
using testing::TempFolder;

MapLayer layer_of(const std::string& name, ShapeKind kind) {
  MapLayer layer;
  layer.table.name = name;
  layer.table.title = "Layer of " + name;
  layer.table.description = "What " + name + " are";
  layer.table.columns = {{"site", "Site's id", "", ColumnType::Text},
                         {"peak_before_l_s", "Peak before", "L/s", ColumnType::Real},
                         {"cells", "Cells", "", ColumnType::Integer}};
  layer.kind = kind;
  return layer;
}

void add(MapLayer& layer, base::Shape shape, base::Cell site, base::Cell peak, base::Cell cells) {
  layer.shapes.push_back(std::move(shape));
  layer.table.rows.push_back({std::move(site), peak, cells});
}

std::vector<MapLayer> world() {
  MapLayer cuts = layer_of("cuts", ShapeKind::Point);
  add(cuts, base::point_shape({500001.25, 3599990.5}), std::string("O'Kiln ✓"), 1.5,
      std::int64_t{4000000000});
  add(cuts, base::Shape{}, std::monostate{}, std::monostate{}, std::monostate{});
  MapLayer curbs = layer_of("curbs", ShapeKind::Line);
  base::Shape two = base::line_shape({{500000, 3599990}, {500010, 3599990}});
  two.lines.push_back({{500020, 3599990}, {500030, 3599991}});
  add(curbs, two, std::string("a"), 0.1, std::int64_t{1});
  MapLayer areas = layer_of("contributing_areas", ShapeKind::Polygon);
  base::Shape ring = base::polygon_shape(
      {.rings = {
           {{500000, 3599980}, {500010, 3599980}, {500010, 3599990}, {500000, 3599990}, {500000, 3599980}},
           {{500002, 3599982}, {500002, 3599984}, {500004, 3599984}, {500002, 3599982}}}});
  add(areas, ring, std::string("b"), -2.0, std::int64_t{0});
  return {cuts, curbs, areas, layer_of("set_aside", ShapeKind::None), layer_of("sags", ShapeKind::Polygon)};
}

const GeoPackageInfo kInfo{.caution = "Screening only: not for drainage design."};

TEST(GeoPackage, ComesBackAsItWasWritten) {
  const TempFolder folder;
  const std::string file = folder.file("curbshed.gpkg");
  const Projection projection = read_projection("EPSG:32612", {});
  write_geopackage(file, world(), projection, kInfo);
  for (const MapLayer& written : {world()[1], world()[2]}) {
    const LayerData read = read_layer({.file = file, .layer = written.table.name}, projection, written.kind);
    ASSERT_EQ(read.layer.shapes.size(), written.shapes.size());
    EXPECT_TRUE(read.set_aside.empty());
    EXPECT_EQ(read.layer.shapes[0].lines, written.shapes[0].lines);
    ASSERT_EQ(read.layer.shapes[0].polygons.size(), written.shapes[0].polygons.size());
    EXPECT_EQ(read.layer.table.rows, written.table.rows);
  }
  const LayerData cuts = read_layer({.file = file, .layer = "cuts"}, projection, ShapeKind::Point);
  EXPECT_EQ(cuts.layer.shapes[0].points[0], (base::Point{500001.25, 3599990.5}));
  EXPECT_EQ(cuts.layer.table.rows[0], world()[0].table.rows[0]);
  EXPECT_EQ(cuts.set_aside.size(), 1U);  // the row without a shape
}

TEST(GeoPackage, FeetGoOutAsFeet) {
  const TempFolder folder;
  const std::string file = folder.file("feet.gpkg");
  const Projection feet = read_projection("EPSG:2994", {});
  MapLayer cuts = layer_of("cuts", ShapeKind::Point);
  add(cuts, base::point_shape({635700 * 0.3048, 853430 * 0.3048}), std::string("a"), 1.0, std::int64_t{1});
  write_geopackage(file, {cuts}, feet, kInfo);
  const auto run = run_tool("ogrinfo -al -so " + file);
  EXPECT_NE(run.text.find("Extent: (635700.000000, 853430.000000)"), std::string::npos) << run.text;
  EXPECT_EQ(read_layer({.file = file}, feet).layer.shapes[0].points[0], cuts.shapes[0].points[0]);
}

TEST(GeoPackage, TwoWritesGiveTheSameBytes) {
  const TempFolder folder;
  const Projection projection = read_projection("EPSG:32612", {});
  std::filesystem::create_directories(folder.file("a"));
  std::filesystem::create_directories(folder.file("b"));
  write_geopackage(folder.file("a/curbshed.gpkg"), world(), projection, kInfo);
  write_geopackage(folder.file("b/curbshed.gpkg"), world(), projection, kInfo);
  const std::string first = read_text(folder.file("a/curbshed.gpkg"));
  EXPECT_GT(first.size(), 10000U);
  EXPECT_TRUE(first == read_text(folder.file("b/curbshed.gpkg")));
  // Over an old file: the same again, and nothing is left beside it.
  write_geopackage(folder.file("b/curbshed.gpkg"), world(), projection, kInfo);
  EXPECT_TRUE(first == read_text(folder.file("b/curbshed.gpkg")));
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder.file("b")), {}), 1);
}

TEST(GeoPackage, OtherToolsOpenItQuietly) {
  const TempFolder folder;
  const std::string file = folder.file("curbshed.gpkg");
  write_geopackage(file, world(), read_projection("EPSG:32612", {}), kInfo);
  const auto run = run_tool("ogrinfo -al -so " + file);
  EXPECT_EQ(run.status, 0);
  EXPECT_EQ(run.text.find("Warning "), std::string::npos) << run.text;
  EXPECT_EQ(run.text.find("ERROR"), std::string::npos) << run.text;
  for (const char* part : {"Layer name: cuts", "Layer name: sags", "Layer name: set_aside",
                           "CAUTION=Screening only", "DESCRIPTION=What cuts are", "ID[\"EPSG\",32612]",
                           "Geometry: Multi Polygon", "peak_before_l_s: Real"}) {
    EXPECT_NE(run.text.find(part), std::string::npos) << part << "\n" << run.text;
  }
  const auto titles = run_tool(
      "ogrinfo -q " + file +
      " -sql \"SELECT title, description FROM gpkg_data_columns WHERE table_name = 'cuts' AND column_name = "
      "'peak_before_l_s'\"");
  EXPECT_NE(titles.text.find("title (String) = Peak before"), std::string::npos) << titles.text;
  EXPECT_NE(titles.text.find("description (String) = unit: L/s"), std::string::npos) << titles.text;
  const auto version = run_tool("ogrinfo -q " + file + " -sql \"PRAGMA user_version\"");
  EXPECT_NE(version.text.find("10300"), std::string::npos) << version.text;
  const auto whole = run_tool("ogrinfo -q " + file + " -sql \"PRAGMA integrity_check\"");
  EXPECT_NE(whole.text.find("= ok"), std::string::npos) << whole.text;
}

TEST(GeoPackage, RefusesBrokenLayers) {
  const TempFolder folder;
  const Projection projection = read_projection("EPSG:32612", {});
  MapLayer layer = layer_of("cuts", ShapeKind::Point);
  add(layer, base::point_shape({0, 0}), std::string("a"), std::numeric_limits<double>::quiet_NaN(),
      std::int64_t{1});
  EXPECT_THROW(write_geopackage(folder.file("a.gpkg"), {layer}, projection, kInfo), base::BugError);
  const MapLayer same = layer_of("cuts", ShapeKind::Point);
  EXPECT_THROW(write_geopackage(folder.file("a.gpkg"), {same, same}, projection, kInfo), base::BugError);
  EXPECT_TRUE(std::filesystem::is_empty(folder.path()));
}

TEST(GeoPackage, AFolderThatIsNotThereIsTheUsersError) {
  try {
    write_geopackage("/no/such/folder/a.gpkg", world(), read_projection("EPSG:32612", {}), kInfo);
    FAIL();
  } catch (const base::InputError& e) {
    EXPECT_EQ(std::string(e.what()).substr(0, 45), "/no/such/folder/a.gpkg: could not be written:");
  }
}

TEST(GeoPackage, AFullDiskLeavesTheOldFileWhole) {
  const TempFolder folder;
  const std::string file = folder.write("a.gpkg", "old");
  for (const std::int64_t bytes : {1000, 50000, 99000}) {
    const testing::SmallDisk disk(bytes);
    EXPECT_THROW(write_geopackage(file, world(), read_projection("EPSG:32612", {}), kInfo), base::InputError)
        << bytes;
  }
  EXPECT_EQ(read_text(file), "old");
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder.path()), {}), 1);
}

}  // namespace
}  // namespace curbshed::geodata
