#include "curbshed/geodata/ground.hpp"

#include "curbshed/base/quantity.hpp"

#include "support/small_rasters.hpp"
#include "support/temp_folder.hpp"

#include <cmath>
#include <filesystem>
#include <limits>
#include <thread>

namespace curbshed::geodata {
namespace {

using base::InputError;
using testing::make_raster;
using testing::SmallRaster;
using testing::TempFolder;

constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();
constexpr double kInf = std::numeric_limits<double>::infinity();

GroundData read(const SmallRaster& raster, const std::string& height_unit = "m") {
  const TempFolder folder;
  GroundSource source;
  source.file = make_raster(folder.file("dem.tif"), raster);
  source.height_unit = height_unit;
  return read_ground(source);
}

/// The message without the folder.
std::string refusal(const SmallRaster& raster, const std::string& height_unit = "m") {
  try {
    read(raster, height_unit);
  } catch (const InputError& e) {
    const std::string what = e.what();
    return what.substr(what.find("dem.tif"));
  }
  return "it was read";
}

TEST(ReadGround, CellsLieWhereTheFileSaysAndNodataIsAbsent) {
  const GroundData data = read({.cells = {1, -9999, 3, 4, kNaN, 6}, .unit = "m", .nodata = -9999}, "");
  EXPECT_DOUBLE_EQ(data.ground.frame.west_m, 500000);
  EXPECT_DOUBLE_EQ(data.ground.frame.north_m, 3600000);
  EXPECT_DOUBLE_EQ(data.ground.frame.cell_m, 0.5);
  EXPECT_EQ(data.ground.frame.rows, 2);
  EXPECT_EQ(data.ground.frame.cols, 3);
  EXPECT_EQ(data.ground.valid.values(), (std::vector<std::uint8_t>{1, 0, 1, 1, 0, 1}));
  EXPECT_EQ(data.ground.height_m.values(), (std::vector<float>{1, 0, 3, 4, 0, 6}));
  EXPECT_EQ(data.cells_without_height, 2);
  EXPECT_EQ(data.lowest_m, 1.0F);
  EXPECT_EQ(data.highest_m, 6.0F);
  EXPECT_EQ(data.projection.code, "EPSG:32612");
  EXPECT_EQ(data.height_unit_origin, HeightUnitOrigin::Band);
  EXPECT_EQ(data.height_unit_evidence, "the band's unit is \"m\"");
  EXPECT_FALSE(data.notes.has(base::NoteId::HeightUnitFromStudy));
  EXPECT_NO_THROW(terrain::check(data.ground));
}

TEST(ReadGround, NaNMayBeTheDeclaredNodataAndHugeNodataDoesNotLeak) {
  EXPECT_EQ(read({.cells = {1, kNaN, 3, 4, kNaN, 6}, .nodata = kNaN}).cells_without_height, 2);
  const double huge = -3.4028234663852886e+38;
  EXPECT_EQ(read({.cells = {1, huge, 3, 4, huge, 6}, .nodata = huge}).cells_without_height, 2);
}

TEST(ReadGround, SouthUpRastersAreTurned) {
  const GroundData data = read({.place = {500000, 0.5, 0, 3599999, 0, 0.5}});
  EXPECT_TRUE(data.turned_north_up);
  EXPECT_DOUBLE_EQ(data.ground.frame.north_m, 3600000);
  EXPECT_EQ(data.ground.height_m.values(), (std::vector<float>{4, 5, 6, 1, 2, 3}));
}

TEST(ReadGround, ScaledWholeNumbersAreHeights) {
  const GroundData data =
      read({.cells = {100, 200, 300, 400, 500, 600}, .type = GDT_Int16, .scale = 0.01, .offset = 10.0});
  EXPECT_FLOAT_EQ(data.lowest_m, 11.0F);
  EXPECT_FLOAT_EQ(data.highest_m, 16.0F);
}

TEST(ReadGround, FeetOfBothKindsBecomeMetresAlongAndUp) {
  // EPSG:2994 counts in international feet, EPSG:2225 in US survey feet.
  const GroundData feet =
      read({.crs = "EPSG:2994", .place = {635700, 3, 0, 853430, 0, -3}, .unit = "ft"}, "");
  EXPECT_DOUBLE_EQ(feet.ground.frame.cell_m, 3 * 0.3048);
  EXPECT_DOUBLE_EQ(feet.ground.frame.west_m, 635700 * 0.3048);
  EXPECT_EQ(feet.projection.unit, "ft");
  EXPECT_FLOAT_EQ(feet.highest_m, static_cast<float>(6 * 0.3048));
  const GroundData survey =
      read({.crs = "EPSG:2225", .place = {6000000, 3, 0, 2000000, 0, -3}, .unit = "US survey foot"}, "");
  EXPECT_EQ(survey.projection.unit, "usft");
  EXPECT_DOUBLE_EQ(survey.projection.metres_per_unit, base::kMetresPerUsSurveyFoot);
  EXPECT_EQ(survey.height_unit, "usft");
  EXPECT_DOUBLE_EQ(survey.ground.frame.west_m, 6000000 * base::kMetresPerUsSurveyFoot);
}

TEST(ReadGround, FeetOnAMetreGridKeepTheTrueGrade) {
  // Heights in feet that fall 2 % on 0.5 m cells: 0.01 m a cell.
  SmallRaster raster{.cols = 61, .cells = {}, .unit = "ft"};
  for (int i = 0; i < 61 * 3; ++i) {
    raster.cells.push_back((100.0 - 0.01 * (i % 61)) / 0.3048);
  }
  const GroundData data = read(raster, "");
  const float fall = data.ground.height_m.at(1, 0) - data.ground.height_m.at(1, 60);
  EXPECT_NEAR(static_cast<double>(fall) / 30.0, 0.02, 1e-6);
}

TEST(ReadGround, HeightUnitOfTheVerticalSystemComesBeforeTheStudy) {
  // 6360 = NAVD88 height (ftUS), 8228 = NAVD88 height (ft), 5703 = NAVD88 height (metres).
  const GroundData survey = read({.crs = "EPSG:6341+6360"}, "");
  EXPECT_EQ(survey.height_unit, "usft");
  EXPECT_EQ(survey.projection.code, "EPSG:6341");
  EXPECT_EQ(read({.crs = "EPSG:6341+8228"}, "").height_unit, "ft");
  EXPECT_EQ(read({.crs = "EPSG:6341+5703"}, "m").height_unit, "m");
}

TEST(ReadGround, TheStudyMayNameTheUnitOfAFileThatDoesNot) {
  const GroundData data = read({}, "ft");
  EXPECT_EQ(data.height_unit_origin, HeightUnitOrigin::Study);
  EXPECT_TRUE(data.notes.has(base::NoteId::HeightUnitFromStudy));
  EXPECT_FLOAT_EQ(data.highest_m, static_cast<float>(6 * 0.3048));
}

TEST(ReadGround, WithoutAnyUnitTheMessageShowsBothReadings) {
  SmallRaster raster{.cols = 101, .cells = {}};
  for (int i = 0; i < 101 * 5; ++i) {
    raster.cells.push_back(400.0 + 0.05 * (i % 101));  // 10 % as metres, 3.05 % as feet
  }
  const std::string message = refusal(raster, "");
  EXPECT_EQ(message,
            "dem.tif: the file does not say whether its heights are metres or feet. Read as metres: heights "
            "400.00 m to "
            "405.00 m, middle grade of the ground over 30 m 10.00 %. Read as feet: heights 121.92 m to "
            "123.44 m, middle grade "
            "of the ground over 30 m 3.05 %. Do: paste the line that fits the place into the study's "
            "[ground]: height_unit = "
            "\"m\" or height_unit = \"ft\" (US survey feet: height_unit = \"usft\").");
}

TEST(ReadGround, WithStreetsTheGradesAreThoseOfTheStreets) {
  // A flat yard north of a street that falls 4 % to the east.
  SmallRaster raster{.cols = 101, .cells = {}};
  for (int i = 0; i < 101 * 20; ++i) {
    raster.cells.push_back(i / 101 < 12 ? 50.0 : 50.0 - 0.02 * (i % 101));
  }
  const TempFolder folder;
  GroundSource source;
  source.file = make_raster(folder.file("dem.tif"), raster);
  source.streets = {
      {.rings = {
           {{500000, 3599990}, {500051, 3599990}, {500051, 3599994}, {500000, 3599994}, {500000, 3599990}}}}};
  try {
    read_ground(source);
    FAIL();
  } catch (const InputError& e) {
    EXPECT_NE(e.met().find("middle grade of the streets over 20 m 4.00 %"), std::string::npos) << e.what();
    EXPECT_NE(e.met().find("1.22 %"), std::string::npos) << e.what();
  }
}

TEST(ReadGround, ContradictingUnitsAreNamed) {
  EXPECT_EQ(refusal({.unit = "ft"}, "m"),
            "dem.tif: the study says height_unit = \"m\", but the band's unit is \"ft\". Do: take "
            "height_unit out of the study, "
            "or correct the file's unit.");
  EXPECT_EQ(refusal({}, "yards"),
            "dem.tif: the study's height_unit is \"yards\". Allowed: \"m\", \"ft\", \"usft\". Do: correct "
            "height_unit in the "
            "study's [ground].");
  EXPECT_EQ(read({.unit = "ft"}, "usft").height_unit, "ft");
}

TEST(ReadGround, RefusesWhatIsNoElevationModel) {
  EXPECT_EQ(
      refusal({.bands = 3}),
      "dem.tif: the raster has 3 bands. Allowed: one band of heights. Do: take the band with the heights out "
      "(gdal_translate -b 1 IN OUT).");
  EXPECT_EQ(refusal({.type = GDT_CFloat32}),
            "dem.tif: the cells are complex numbers (CFloat32). Allowed: whole or real numbers. Do: give an "
            "elevation model.");
  EXPECT_EQ(refusal({.type = GDT_Byte, .colours = true}),
            "dem.tif: the raster has a colour table: it holds classes or a picture. Allowed: one band of "
            "heights. Do: give an "
            "elevation model.");
  const TempFolder folder;
  GroundSource source;
  source.file = folder.write("dem.tif", "These are no heights.\n");
  EXPECT_THROW(read_ground(source), InputError);
  try {
    source.file = "no/such/dem.tif";
    read_ground(source);
    FAIL();
  } catch (const InputError& e) {
    EXPECT_STREQ(e.what(),
                 "no/such/dem.tif: there is no such file. Do: check the path; it counts from the folder of "
                 "the study file.");
  }
}

TEST(ReadGround, ATruncatedFileIsAnErrorNotACrash) {
  const TempFolder folder;
  SmallRaster raster{.cols = 400, .cells = std::vector<double>(400 * 400, 12.0)};
  GroundSource source;
  source.file = make_raster(folder.file("dem.tif"), raster);
  source.height_unit = "m";
  std::filesystem::resize_file(source.file, std::filesystem::file_size(source.file) / 2);
  EXPECT_THROW(read_ground(source), InputError);
}

TEST(ReadGround, RefusesPlacesThatAreNotSquareCellsOnAPlane) {
  EXPECT_EQ(refusal({.place = {500000, 0.5, 0.1, 3600000, 0.1, -0.5}}),
            "dem.tif: the raster is turned or sheared against its coordinate system. Allowed: rows from west "
            "to east. Do: "
            "resample it (gdalwarp -r bilinear IN OUT).");
  EXPECT_EQ(refusal({.place = {500000, 0.5, 0, 3600000, 0, -0.6}}),
            "dem.tif: the cells are 0.5 by 0.6. Allowed: square cells. Do: resample it (gdalwarp -tr 0.5 0.5 "
            "-r bilinear IN OUT).");
  EXPECT_EQ(refusal({.place = {500000, -0.5, 0, 3600000, 0, -0.5}}),
            "dem.tif: the rows run from east to west. Allowed: rows from west to east. Do: resample it "
            "(gdalwarp IN OUT).");
  EXPECT_EQ(refusal({.crs = "", .place = {}}),
            "dem.tif: the raster does not say where it lies. Allowed: a raster with a corner and a cell "
            "size. Do: give the file "
            "with its georeference, or its world file (.tfw) beside it.");
  EXPECT_EQ(refusal({.place = {500000, 90, 0, 3600000, 0, -90}}),
            "dem.tif: the cells are 90 m wide. Allowed: 0.05 m to 30 m; 0.5 m to 1 m shows a street's crown. "
            "Do: give a model of "
            "another cell size, or correct its coordinate system.");
  EXPECT_EQ(refusal({.place = {500000, 0.01, 0, 3600000, 0, -0.01}}).substr(0, 34),
            "dem.tif: the cells are 0.01 m wide");
}

TEST(ReadGround, RefusesDegreesAndWebMercatorAndNamesTheZone) {
  EXPECT_EQ(refusal({.crs = "EPSG:4326", .place = {-110.97, 0.000005, 0, 32.22, 0, -0.000005}}),
            "dem.tif: the coordinates are degrees (WGS 84). Allowed: a projected system in metres or feet: a "
            "UTM zone, a state or "
            "national grid. Do: bring the elevation model to WGS 84 / UTM zone 12N (EPSG:32612) (gdalwarp "
            "-t_srs CODE -tr 0.5 0.5 "
            "-r bilinear IN OUT).");
  const std::string web = refusal({.crs = "EPSG:3857", .place = {-12353124, 0.5, 0, 3795000, 0, -0.5}});
  EXPECT_NE(web.find("the coordinate system is WGS 84 / Pseudo-Mercator"), std::string::npos) << web;
  EXPECT_NE(web.find("WGS 84 / UTM zone 12N (EPSG:32612)"), std::string::npos) << web;
  EXPECT_EQ(refusal({.crs = ""}),
            "dem.tif: the file does not say its coordinate system. Allowed: a projected system in metres or "
            "feet: a UTM zone, a "
            "state or national grid. Do: ask its maker for it and write it into the file (gdal_edit.py "
            "-a_srs CODE FILE).");
  EXPECT_EQ(refusal({.crs = "LOCAL_CS[\"shed\",UNIT[\"metre\",1]]"}).substr(0, 65),
            "dem.tif: the coordinate system \"shed\" has no known place on Earth");
}

TEST(ReadGround, RefusesHeightsThatNoStreetHas) {
  EXPECT_EQ(refusal({.cells = {1, kInf, 3, -kInf, 5, 6}}),
            "dem.tif: 2 cells hold an infinite height, the first at row 1, column 2 (counted from 1 at the "
            "top left of the file). "
            "Allowed: finite heights or a declared no-data value. Do: replace them (gdal_calc.py), or ask "
            "the file's maker for a "
            "whole copy.");
  EXPECT_EQ(refusal({.cells = {1, 2, 3, 4, -9999, -9999}}),
            "dem.tif: 2 cells hold heights that no street has; the first is -9999 m at row 2, column 2 "
            "(counted from 1 at the top "
            "left of the file). Allowed: -500 m to 9000 m. Do: this looks like a no-data value that the file "
            "does not declare: "
            "declare it (gdal_edit.py -a_nodata -9999 FILE).");
  EXPECT_NE(refusal({.cells = {1, 2, 3, 4, 3.4e38, 6}}, "").find("gdal_edit.py -a_nodata 3.4e+38 FILE"),
            std::string::npos);
  EXPECT_NE(refusal({.cells = {12000, 2, 3, 4, 5, 6}}).find("check the height unit"), std::string::npos);
  EXPECT_EQ(refusal({.cells = {7, 7, 7, 7, 7, 7}, .nodata = 7}),
            "dem.tif: no cell of the raster holds a height. Allowed: at least one cell with data. Do: check "
            "the declared no-data "
            "value and the part of the map that was cut out.");
}

TEST(ReadGround, RefusesWhatDoesNotFitTheMemoryWithoutReadingIt) {
  const TempFolder folder;
  GroundSource source;
  source.file = make_raster(folder.file("dem.tif"), {.unit = "m"});
  source.bytes_a_cell = 100;
  source.memory_limit_bytes = 599;
  EXPECT_THROW(read_ground(source), InputError);
  source.memory_limit_bytes = 600;
  EXPECT_NO_THROW(read_ground(source));
}

TEST(ReadGround, SeveralThreadsReadAtOnce) {
  const TempFolder folder;
  GroundSource source;
  source.file =
      make_raster(folder.file("dem.tif"), {.cols = 50, .cells = std::vector<double>(2500, 9.0), .unit = "m"});
  std::vector<std::thread> threads;
  std::vector<float> found(4);
  for (std::size_t i = 0; i < found.size(); ++i) {
    threads.emplace_back([&source, &found, i] { found[i] = read_ground(source).highest_m; });
  }
  for (std::thread& thread : threads) {
    thread.join();
  }
  EXPECT_EQ(found, std::vector<float>(4, 9.0F));
}

TEST(ReadGround, RealFilesInMetresAndInFeet) {
  const std::string data = std::string(CURBSHED_SOURCE_DIR) + "/../shared/data/";
  if (!std::filesystem::exists(data)) {
    GTEST_SKIP() << "../shared/data is not there";
  }
  const GroundData autzen = read_ground({.file = data + "autzen-eugene-or-0.5m/dtm_3ft_epsg2994.tif"});
  EXPECT_DOUBLE_EQ(autzen.ground.frame.cell_m, 0.9144);
  EXPECT_NEAR(autzen.lowest_m, 407.81 * 0.3048, 0.002);
  EXPECT_NEAR(autzen.highest_m, 437.00 * 0.3048, 0.002);
  GroundSource delft{.file = data + "delft-nl-0.5m/dtm_0p5m_nodata.tif"};
  EXPECT_THROW(read_ground(delft), InputError);  // no unit stated
  delft.height_unit = "m";
  const GroundData read = read_ground(delft);
  EXPECT_EQ(read.projection.code, "EPSG:28992");
  const double share =
      1.0 - static_cast<double>(read.cells_without_height) / static_cast<double>(read.ground.frame.cells());
  EXPECT_NEAR(share, 0.673, 0.001);  // its SOURCE.md: 67.3 % valid
}

TEST(MiddleGrade, IsTheMedianOfFallOverRun) {
  terrain::Ground ground;
  ground.frame = {.west_m = 0, .north_m = 100, .cell_m = 1, .rows = 100, .cols = 100};
  ground.height_m = terrain::Grid<float>(100, 100);
  ground.valid = terrain::Grid<std::uint8_t>(100, 100, 1);
  for (std::int64_t r = 0; r < 100; ++r) {
    for (std::int64_t c = 0; c < 100; ++c) {
      ground.height_m.at(r, c) =
          static_cast<float>(0.03 * static_cast<double>(c) + 0.03 * static_cast<double>(r));
    }
  }
  EXPECT_NEAR(middle_grade(ground, 30.0, {}), 0.03, 1e-6);
  EXPECT_NEAR(middle_grade(ground, 500.0, {}), 0.03, 1e-6);
  ground.valid = terrain::Grid<std::uint8_t>(100, 100, 0);
  EXPECT_EQ(middle_grade(ground, 30.0, {}), 0.0);
}

}  // namespace
}  // namespace curbshed::geodata
