// A street of 60 × 40 cells as text files: an ASCII raster, GeoJSON layers, a CSV of cuts.
//
//        lots, 1 % up from the walk
//   ---- curb, 15 cm -------- K1 -------- K2 ----- out ---   north side of Kiln Street
//        2 % cross slope, 1 % down to the east
//   ---- curb, 15 cm -------------------------------------   south side
//        lots
#pragma once

#include "support/temp_folder.hpp"

#include <cmath>
#include <string>

#include <fmt/format.h>

namespace curbshed::testing {

struct SmallStudy {
  static constexpr int kCols = 60;
  static constexpr int kRows = 40;
  static constexpr double kCell_m = 0.5;
  static constexpr double kWest_m = 500000.0;
  static constexpr double kSouth_m = 3560000.0;
  static constexpr double kMiddle_m = kSouth_m + 10.0;  ///< crown
  static constexpr double kHalf_m = 4.0;                ///< from the crown to a curb

  static double height_m(double x_m, double y_m) {
    const double off = std::abs(y_m - kMiddle_m);
    const double crown = 100.0 - 0.01 * (x_m - kWest_m);
    return off <= kHalf_m ? crown - 0.02 * off : crown - 0.02 * kHalf_m + 0.15 + 0.01 * (off - kHalf_m);
  }

  static std::string elevation() {
    std::string text =
        fmt::format("ncols {}\nnrows {}\nxllcorner {}\nyllcorner {}\ncellsize {}\nNODATA_value -9999\n",
                    kCols, kRows, kWest_m, kSouth_m, kCell_m);
    for (int row = 0; row < kRows; ++row) {
      for (int col = 0; col < kCols; ++col) {
        const double x = kWest_m + (col + 0.5) * kCell_m;
        const double y = kSouth_m + (kRows - row - 0.5) * kCell_m;
        text += fmt::format("{}{:.4f}", col == 0 ? "" : " ", height_m(x, y));
      }
      text += "\n";
    }
    return text;
  }

  /// NAD83 / UTM zone 12N, as a .prj file says it.
  static std::string projection() {
    return "PROJCS[\"NAD_1983_UTM_Zone_12N\",GEOGCS[\"GCS_North_American_1983\",DATUM[\"D_North_American_"
           "1983\","
           "SPHEROID[\"GRS_1980\",6378137.0,298.257222101]],PRIMEM[\"Greenwich\",0.0],UNIT[\"Degree\",0."
           "0174532925199433]],"
           "PROJECTION[\"Transverse_Mercator\"],PARAMETER[\"False_Easting\",500000.0],PARAMETER[\"False_"
           "Northing\",0.0],"
           "PARAMETER[\"Central_Meridian\",-111.0],PARAMETER[\"Scale_Factor\",0.9996],PARAMETER[\"Latitude_"
           "Of_Origin\",0.0],"
           "UNIT[\"Meter\",1.0]]\n";
  }

  static std::string collection(const std::string& features) {
    return "{\"type\":\"FeatureCollection\",\"crs\":{\"type\":\"name\",\"properties\":{\"name\":"
           "\"urn:ogc:def:crs:EPSG::26912\"}},\"features\":[\n" +
           features + "\n]}\n";
  }
  static std::string feature(const std::string& type, const std::string& coordinates,
                             const std::string& properties) {
    return fmt::format(
        "{{\"type\":\"Feature\",\"properties\":{{{}}},\"geometry\":{{\"type\":\"{}\",\"coordinates\":{}}}}}",
        properties, type, coordinates);
  }
  static std::string at(double east_m, double north_of_crown_m) {
    return fmt::format("[{},{}]", kWest_m + east_m, kMiddle_m + north_of_crown_m);
  }
  static std::string box(double west, double south, double east, double north) {
    return fmt::format("[[{},{},{},{},{}]]", at(west, south), at(east, south), at(east, north),
                       at(west, north), at(west, south));
  }

  static std::string pavement() {
    return collection(feature("Polygon", box(0, -kHalf_m, 30, kHalf_m), "\"id\":\"P1\""));
  }
  static std::string curbs() {
    return collection(
        feature(
            "LineString", fmt::format("[{},{}]", at(0, kHalf_m), at(30, kHalf_m)),
            "\"id\":\"north\",\"kind\":\"barrier\",\"h\":6.0,\"street\":\"Kiln Street\",\"side\":\"north\"") +
        ",\n" +
        feature(
            "LineString", fmt::format("[{},{}]", at(0, -kHalf_m), at(30, -kHalf_m)),
            "\"id\":\"south\",\"kind\":\"barrier\",\"h\":6.0,\"street\":\"Kiln Street\",\"side\":\"south\""));
  }
  static std::string cuts() {
    return fmt::format("name,east,north,opening\nK1,{},{},\nK2,{},{},2 ft\n", kWest_m + 10.0,
                       kMiddle_m + kHalf_m, kWest_m + 20.0, kMiddle_m + kHalf_m);
  }
  static std::string outfalls() {
    return fmt::format("id,x,y\nend,{},{}\n", kWest_m + 29.0, kMiddle_m + kHalf_m);
  }
  static std::string study() {
    return R"(format = 1
title = "Kiln Street, small"
[ground]
elevation = "elevation.asc"
height_unit = "m"
[street.pavement]
file = "pavement.geojson"
[street.curbs]
file = "curbs.geojson"
fields = { height = { field = "h", unit = "in" } }
classes = { barrier = "vertical" }
[street.cuts]
file = "cuts.csv"
fields = { id = "name", x = "east", y = "north" }
[street.outfalls]
file = "outfalls.csv"
[rain]
two_year_1h = "22 mm"
ten_year_1h = "36 mm"
[basin]
infiltration = "25 mm/h"
infiltration_origin = "measured"
)";
  }

  /// Writes all files; the study's path.
  static std::string write(const TempFolder& folder) {
    folder.write("elevation.asc", elevation());
    folder.write("elevation.prj", projection());
    folder.write("pavement.geojson", pavement());
    folder.write("curbs.geojson", curbs());
    folder.write("cuts.csv", cuts());
    folder.write("outfalls.csv", outfalls());
    return folder.write("study.toml", study());
  }
};

}  // namespace curbshed::testing
