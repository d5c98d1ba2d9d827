#include "curbshed/geodata/layer.hpp"

#include "curbshed/base/layer_fields.hpp"

#include "support/temp_folder.hpp"

#include <filesystem>
#include <limits>

#include <gtest/gtest.h>
#include <ogrsf_frmts.h>

namespace curbshed::geodata {
namespace {

using base::InputError;
using base::ShapeKind;
using testing::TempFolder;

const Projection& utm12() {
  static const Projection projection = read_projection("EPSG:32612", {});
  return projection;
}

/// A GeoJSON file in UTM zone 12N; `features` are the bodies of its list.
std::string geojson(const std::string& features, const std::string& crs = "EPSG:32612") {
  const std::string place =
      crs.empty() ? "" : R"("crs": {"type": "name", "properties": {"name": ")" + crs + R"("}}, )";
  return R"({"type": "FeatureCollection", )" + place + R"("features": [)" + features + "]}";
}

std::string feature(int id, const std::string& geometry, const std::string& properties = "") {
  return R"({"type": "Feature", "id": )" + std::to_string(id) + R"(, "properties": {)" + properties +
         R"(}, "geometry": )" + geometry + "}";
}

const char* const kPoint = R"({"type": "Point", "coordinates": [500010, 3599990, 7]})";
const char* const kLine = R"({"type": "LineString", "coordinates": [[500000, 3599990], [500010, 3599990]]})";

std::string refusal(const LayerSource& source, ShapeKind kind = ShapeKind::None, const base::Box& box = {}) {
  try {
    read_layer(source, utm12(), kind, box);
  } catch (const InputError& e) {
    std::string what = e.what();
    const std::size_t slash = what.substr(0, what.find(':')).rfind('/');
    return slash == std::string::npos ? what : what.substr(slash + 1);
  }
  return "it was read";
}

TEST(ReadLayer, KeepsColumnsShapesAndIds) {
  const TempFolder folder;
  const LayerData data = read_layer(
      {.file = folder.write(
           "cuts.geojson",
           geojson(feature(7, kPoint,
                           R"("street": "Kiln Street", "no": 3, "width": 0.45, "built": "2020-05-06")") +
                   "," + feature(9, kPoint, R"("street": " ", "no": null)")))},
      utm12());
  EXPECT_NO_THROW(base::check(data.layer));
  EXPECT_EQ(data.layer.kind, ShapeKind::Point);
  EXPECT_EQ(data.layer.ids, (std::vector<std::string>{"7", "9"}));
  EXPECT_EQ(data.layer.shapes[0].points[0], (base::Point{500010, 3599990}));
  const std::size_t street = base::field_column(data.layer, "street");
  EXPECT_EQ(base::text_at(data.layer, 0, street), "Kiln Street");
  EXPECT_EQ(base::text_at(data.layer, 1, street), "");
  EXPECT_EQ(base::number_at(data.layer, 0, base::field_column(data.layer, "no")), 3.0);
  EXPECT_EQ(base::number_at(data.layer, 0, base::field_column(data.layer, "width")), 0.45);
  EXPECT_EQ(base::text_at(data.layer, 0, base::field_column(data.layer, "built")), "2020-05-06");
  EXPECT_TRUE(data.set_aside.empty());
  EXPECT_FALSE(data.converted);
}

TEST(ReadLayer, IdsMayComeFromAField) {
  const TempFolder folder;
  LayerSource source{.file = folder.write("cuts.geojson", geojson(feature(7, kPoint, R"("cut": "K-N-62")"))),
                     .id_field = "cut"};
  EXPECT_EQ(read_layer(source, utm12()).layer.ids[0], "K-N-62");
  source.id_field = "name";
  EXPECT_EQ(refusal(source),
            "cuts.geojson: there is no field \"name\" for the id. Allowed: the fields cut. Do: name one of "
            "them in the study.");
}

TEST(ReadLayer, SeveralPartsStayOneFeature) {
  const TempFolder folder;
  const char* const polygons =
      R"({"type": "MultiPolygon", "coordinates": [[[[500000, 3599980], [500010, 3599980], [500010, 3599990], [500000, 3599980]]],
          [[[500020, 3599980], [500040, 3599980], [500040, 3600000], [500020, 3600000], [500020, 3599980]],
           [[500025, 3599985], [500025, 3599990], [500030, 3599990], [500025, 3599985]]]]})";
  const LayerData data =
      read_layer({.file = folder.write("lots.geojson", geojson(feature(1, polygons)))}, utm12());
  ASSERT_EQ(data.layer.shapes.size(), 1U);
  ASSERT_EQ(data.layer.shapes[0].polygons.size(), 2U);
  EXPECT_DOUBLE_EQ(base::area_m2(data.layer.shapes[0].polygons[0]), 50.0);
  EXPECT_DOUBLE_EQ(base::area_m2(data.layer.shapes[0].polygons[1]), 400.0 - 12.5);
}

TEST(ReadLayer, CoordinatesAreMetresAlsoOnAGridInFeet) {
  const TempFolder folder;
  const Projection feet = read_projection("EPSG:2994", {});
  const char* const point = R"({"type": "Point", "coordinates": [635700, 853430]})";
  const LayerData data =
      read_layer({.file = folder.write("a.geojson", geojson(feature(1, point), "EPSG:2994"))}, feet);
  EXPECT_DOUBLE_EQ(data.layer.shapes[0].points[0].x_m, 635700 * 0.3048);
  EXPECT_FALSE(data.converted);
}

TEST(ReadLayer, OtherSystemsAreBroughtToTheElevationModels) {
  const TempFolder folder;
  // The central meridian of zone 12 on the equator lies at x = 500000, y = 0; same datum: no doubt about the
  // shift.
  const char* const point = R"({"type": "Point", "coordinates": [-111, 0]})";
  const LayerData data =
      read_layer({.file = folder.write("a.geojson", geojson(feature(1, point), ""))}, utm12());
  EXPECT_TRUE(data.converted);
  EXPECT_EQ(data.crs_name, "WGS 84");
  EXPECT_NEAR(data.layer.shapes[0].points[0].x_m, 500000, 1e-6);
  EXPECT_NEAR(data.layer.shapes[0].points[0].y_m, 0, 1e-6);
  EXPECT_FALSE(data.notes.has(base::NoteId::DatumShiftUnknown));
  // NAD83 to WGS 84: no shift here, 1 to 2 m in the real world.
  const LayerData shifted = read_layer({.file = folder.file("a.geojson"), .crs = "EPSG:4269"}, utm12());
  EXPECT_TRUE(shifted.notes.has(base::NoteId::DatumShiftUnknown));
}

TEST(ReadLayer, BrokenFeaturesAreSetAsideWithTheirReason) {
  const TempFolder folder;
  const std::string bow =
      R"({"type": "Polygon", "coordinates": [[[500000, 3599980], [500010, 3599990], [500010, 3599980], [500000, 3599990], [500000, 3599980]]]})";
  const std::string good =
      R"({"type": "Polygon", "coordinates": [[[500000, 3599980], [500010, 3599980], [500010, 3599990], [500000, 3599980]]]})";
  const std::string far =
      R"({"type": "Polygon", "coordinates": [[[900000, 3599980], [900010, 3599980], [900010, 3599990], [900000, 3599980]]]})";
  base::Box ground;
  ground.add({500000, 3599900});
  ground.add({500100, 3600000});
  const LayerData data = read_layer(
      {.file = folder.write("lots.geojson",
                            geojson(feature(1, "null") + "," + feature(2, bow) + "," + feature(3, kLine) +
                                    "," + feature(4, good) + "," + feature(5, far) + "," +
                                    feature(6, R"({"type": "Polygon", "coordinates": []})")))},
      utm12(), ShapeKind::Polygon, ground);
  EXPECT_EQ(data.layer.ids, std::vector<std::string>{"4"});
  std::string list;
  for (const SetAside& aside : data.set_aside) {
    list += aside.id + ": " + aside.reason + "\n";
  }
  EXPECT_EQ(list,
            "1: the feature has no shape\n"
            "2: the polygon is not valid: Self-intersection at or near point 500005 3599985\n"
            "3: the feature is a line, not a polygon\n"
            "5: the feature lies 400 km from the elevation model\n"
            "6: the feature has no shape\n");
  EXPECT_EQ(data.notes.at(base::NoteId::FeatureSetAside).count, 5);
  EXPECT_EQ(data.notes.at(base::NoteId::FeatureSetAside).first_feature, "1");
}

TEST(ReadLayer, LinesWithoutLengthAreSetAside) {
  const TempFolder folder;
  const LayerData data = read_layer(
      {.file = folder.write(
           "curbs.geojson",
           geojson(
               feature(1,
                       R"({"type": "LineString", "coordinates": [[500000, 3599990], [500000, 3599990]]})") +
               "," + feature(2, kLine)))},
      utm12(), ShapeKind::Line);
  ASSERT_EQ(data.set_aside.size(), 1U);
  EXPECT_EQ(data.set_aside[0].reason, "a line has no length");
}

TEST(ReadLayer, FiltersBySql) {
  const TempFolder folder;
  LayerSource source{
      .file = folder.write("cuts.geojson", geojson(feature(1, kPoint, R"("kind": "cut")") + "," +
                                                   feature(2, kPoint, R"("kind": "inlet")"))),
      .where = "kind = 'inlet'"};
  EXPECT_EQ(read_layer(source, utm12()).layer.ids, std::vector<std::string>{"2"});
  source.where = "kind = 'outfall'";
  EXPECT_EQ(refusal(source),
            "cuts.geojson: no feature passes the filter. Allowed: at least one feature. Do: check the layer "
            "and its filter, or leave "
            "the layer out of the study.");
  source.where = "kin = 'inlet'";
  EXPECT_EQ(refusal(source),
            "cuts.geojson: the filter kin = 'inlet' does not work: \"kin\" not recognised as an available "
            "field. Allowed: a "
            "condition in SQL on the layer's fields, such as kind = 'curb'. Do: correct it in the study.");
}

TEST(ReadLayer, MissingFilesAndLayersAreNamed) {
  EXPECT_EQ(
      refusal({.file = "none.gpkg"}),
      "none.gpkg: there is no such file. Do: check the path; it counts from the folder of the study file.");
  const TempFolder folder;
  EXPECT_EQ(refusal({.file = folder.write("empty.geojson", geojson(""))}),
            "empty.geojson: the layer has no feature. Allowed: at least one feature. Do: check the layer and "
            "its filter, or leave the "
            "layer out of the study.");
  const std::string cuts = folder.write("cuts.geojson", geojson(feature(1, kPoint)));
  EXPECT_EQ(refusal({.file = cuts, .layer = "curbs"}),
            "cuts.geojson, curbs: there is no layer \"curbs\". Allowed: the layers cuts. Do: name one of "
            "them in the study.");
  const std::string text = refusal({.file = folder.write("note.gpkg", "no map")});
  EXPECT_EQ(text.substr(0, 45), "note.gpkg: is not a map file that can be read") << text;
  EXPECT_EQ(refusal({.file = cuts, .crs = "EPSG:0"}).substr(0, 55),
            "cuts.geojson: \"EPSG:0\" is not a coordinate system. Allo");
}

TEST(ReadLayer, ALayerBesideTheElevationModelIsAnError) {
  const TempFolder folder;
  base::Box ground;
  ground.add({500100, 3599900});
  ground.add({500200, 3600000});
  EXPECT_EQ(
      refusal({.file = folder.write("cuts.geojson", geojson(feature(1, kPoint)))}, ShapeKind::Point, ground),
      "cuts.geojson: none of its 1 features lies on the elevation model (the layer: x 500010 to 500010 m, y "
      "3599990 to 3599990 "
      "m). Allowed: features on the elevation model (x 500100 to 500200 m, y 3599900 to 3600000 m). Do: "
      "check the coordinate "
      "systems of both files, or take another part of the map.");
}

TEST(ReadLayer, PointsFromATableOfText) {
  const TempFolder folder;
  LayerSource source{.file = folder.write("cuts.csv",
                                          "cut,east,north,length\n"
                                          "007,500010.5,3599990,18 in\n"
                                          "B,\"500010,5\",3599990,\n"
                                          "C,,3599990,\n"),
                     .id_field = "cut",
                     .x_field = "east",
                     .y_field = "north"};
  const LayerData data = read_layer(source, utm12(), ShapeKind::Point);
  EXPECT_EQ(data.layer.ids, std::vector<std::string>{"007"});
  EXPECT_EQ(data.layer.shapes[0].points[0], (base::Point{500010.5, 3599990}));
  EXPECT_EQ(base::text_at(data.layer, 0, base::field_column(data.layer, "length")), "18 in");
  ASSERT_EQ(data.set_aside.size(), 2U);
  EXPECT_EQ(data.set_aside[0].reason,
            "field \"east\" reads \"500010,5\": a coordinate is one number with a point as decimal sign");
  EXPECT_EQ(data.set_aside[1].id, "C");
  source.y_field = "y";
  EXPECT_EQ(refusal(source),
            "cuts.csv: there is no field \"y\" for the points' y. Allowed: the fields cut, east, north, "
            "length. Do: name one of them in "
            "the study.");
  source.x_field.clear();
  source.y_field.clear();
  EXPECT_EQ(refusal(source),
            "cuts.csv: the layer does not say its coordinate system. Do: ask its maker, then write crs = "
            "\"EPSG:…\" beside the layer in "
            "the study, or into the file (ogr2ogr -a_srs).");
}

TEST(ReadLayer, CurvesBecomeShortStraightPieces) {
  const TempFolder folder;
  // WKT in a table: the CSV driver reads a column named WKT as shapes.
  const std::string file = folder.write(
      "curbs.csv", "WKT,name\n\"CIRCULARSTRING (500000 3599990, 500005 3599995, 500010 3599990)\",return\n");
  const LayerData data = read_layer({.file = file, .crs = "EPSG:32612"}, utm12(), ShapeKind::Line);
  ASSERT_EQ(data.layer.shapes.size(), 1U);
  EXPECT_GT(data.layer.shapes[0].lines[0].size(), 10U);
  EXPECT_NEAR(base::length_m(data.layer.shapes[0].lines[0]), 5.0 * 3.14159265, 0.01);
}

TEST(ReadLayer, CoordinatesThatAreNoNumbersAreSetAside) {
  const TempFolder folder;
  GDALAllRegister();
  const std::string file = folder.file("curbs.gpkg");
  GDALDataset* made =
      GetGDALDriverManager()->GetDriverByName("GPKG")->Create(file.c_str(), 0, 0, 0, GDT_Unknown, nullptr);
  OGRSpatialReference system;
  system.importFromEPSG(32612);
  OGRLayer* layer = made->CreateLayer("curbs", &system, wkbLineString, nullptr);
  for (const double y : {std::numeric_limits<double>::quiet_NaN(), 3599995.0}) {
    OGRFeature feature(layer->GetLayerDefn());
    OGRLineString line;
    line.addPoint(500000, 3599990);
    line.addPoint(500001, y);
    feature.SetGeometry(&line);
    EXPECT_EQ(layer->CreateFeature(&feature), OGRERR_NONE);
  }
  GDALClose(made);
  const LayerData data = read_layer({.file = file}, utm12(), ShapeKind::Line);
  EXPECT_EQ(data.layer.ids, std::vector<std::string>{"2"});
  ASSERT_EQ(data.set_aside.size(), 1U);
  EXPECT_EQ(data.set_aside[0].reason, "a coordinate is not a finite number");
}

TEST(ReadLayer, RealLayersWithForeignFieldNames) {
  const std::string file = std::string(CURBSHED_SOURCE_DIR) + "/../shared/data/delft-nl-0.5m/bgt.gpkg";
  if (!std::filesystem::exists(file)) {
    GTEST_SKIP() << "../shared/data is not there";
  }
  const Projection projection = read_projection("EPSG:28992", {});
  const LayerData curbs = read_layer({.file = file, .layer = "curb_derived"}, projection, ShapeKind::Line);
  double length_m = 0.0;
  for (const base::Shape& shape : curbs.layer.shapes) {
    for (const base::Polyline& line : shape.lines) {
      length_m += base::length_m(line);
    }
  }
  EXPECT_EQ(curbs.layer.shapes.size(), 31U);  // its SOURCE.md: 31 lines, 877 m
  EXPECT_NEAR(length_m, 877.0, 1.0);
  const LayerData roads =
      read_layer({.file = file, .layer = "wegdeel", .where = "\"function\" = 'rijbaan lokale weg'"},
                 projection, ShapeKind::Polygon);
  EXPECT_EQ(roads.layer.shapes.size() + roads.set_aside.size(), 32U);
  EXPECT_NE(refusal({.file = file}).find("curb_derived"), std::string::npos);
}

}  // namespace
}  // namespace curbshed::geodata
