#include "curbshed/cli/place.hpp"

#include "curbshed/base/error.hpp"

#include "support/program.hpp"
#include "support/small_study.hpp"

#include <algorithm>

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

using base::InputError;
using base::NoteId;
using testing::SmallStudy;
using testing::TempFolder;

/// The small street's study with a [place] of these metres from its south-west corner.
std::string with_place(double west, double south, double east, double north, const std::string& more) {
  return fmt::format("{}[place]\nwest = {}\nsouth = {}\neast = {}\nnorth = {}\n{}\n", SmallStudy::study(),
                     SmallStudy::kWest_m + west, SmallStudy::kSouth_m + south, SmallStudy::kWest_m + east,
                     SmallStudy::kSouth_m + north, more);
}

PreparedStudy prepared(const TempFolder& folder, const std::string& study, std::int64_t memory_bytes = 0) {
  folder.write("study.toml", study);
  PrepareOptions options;
  options.memory_bytes = memory_bytes;
  return prepare_study(study::read_study(folder.file("study.toml")), options, {});
}

std::int64_t cells_of(const PreparedStudy& study, const std::string& id) {
  const street::Network& net = study.preparation.model.network;
  const std::vector<std::int64_t> cells = street::cells_of_nodes(study.preparation.model.contribution);
  for (std::size_t n = 0; n < net.size(); ++n) {
    if (net.id[n] == id) return cells[n];
  }
  ADD_FAILURE() << "no place " << id;
  return -1;
}

std::string refusal(const TempFolder& folder, const std::string& study) {
  try {
    prepared(folder, study);
  } catch (const InputError& error) {
    return error.what();
  }
  return "it was taken";
}

TEST(Place, WithoutOneTheWholeModelIsRead) {
  const TempFolder folder;
  SmallStudy::write(folder);
  const PreparedStudy whole = prepared(folder, SmallStudy::study());
  EXPECT_FALSE(whole.place.given);
  EXPECT_EQ(whole.place.rounds, 1);
  EXPECT_EQ(whole.gathered.inputs.ground.frame.cols, SmallStudy::kCols);
}

TEST(Place, IsCutOutOnTheCellsOfTheFile) {
  const TempFolder folder;
  SmallStudy::write(folder);
  const PreparedStudy part =
      prepared(folder, with_place(8.2, 3, 25, 17, "margin = \"1 m\"\ngrow_limit = \"0 m\""));
  const terrain::GridFrame& frame = part.gathered.inputs.ground.frame;
  EXPECT_DOUBLE_EQ(frame.west_m, SmallStudy::kWest_m + 7.0);  // 7.2 m, out to the cell's side
  EXPECT_DOUBLE_EQ(frame.north_m, SmallStudy::kSouth_m + 18.0);
  EXPECT_EQ(frame.cols, 38);
  EXPECT_EQ(frame.rows, 32);
  const base::Point at = frame.centre(5, 7);
  EXPECT_NEAR(part.gathered.inputs.ground.height_m.at(5, 7), SmallStudy::height_m(at.x_m, at.y_m), 1e-4);
}

TEST(Place, GrowsUntilTheWaterOfItsCutsIsInside) {
  const TempFolder folder;
  SmallStudy::write(folder);
  const PreparedStudy whole = prepared(folder, SmallStudy::study());
  const PreparedStudy fixed =
      prepared(folder, with_place(8, 5, 25, 17, "margin = \"0 m\"\ngrow_limit = \"0 m\""));
  EXPECT_LT(cells_of(fixed, "K1"), cells_of(whole, "K1"));
  EXPECT_TRUE(fixed.preparation.model.notes.has(NoteId::PlaceStillCut));
  const PreparedStudy grown = prepared(folder, with_place(8, 5, 25, 17, "margin = \"0 m\""));
  EXPECT_EQ(cells_of(grown, "K1"), cells_of(whole, "K1"));
  EXPECT_EQ(cells_of(grown, "K2"), cells_of(whole, "K2"));
  EXPECT_GT(grown.place.grown_m[static_cast<std::size_t>(Side::West)], 0.0);
  EXPECT_EQ(grown.place.grown_m[static_cast<std::size_t>(Side::East)], 0.0);   // lies downhill
  EXPECT_EQ(grown.place.grown_m[static_cast<std::size_t>(Side::South)], 0.0);  // the other gutter's
  EXPECT_TRUE(grown.preparation.model.notes.has(NoteId::PlaceGrown));
  EXPECT_NE(place_words(grown.place).find("to the west"), std::string::npos);
}

TEST(Place, StopsGrowingWhereTheMemoryEnds) {
  const TempFolder folder;
  SmallStudy::write(folder);
  const PreparedStudy small =
      prepared(folder, with_place(8, 3, 25, 17, "margin = \"0 m\""), kBytesBesides + 34 * 28 * kBytesACell);
  EXPECT_TRUE(small.place.memory_stopped);
  EXPECT_EQ(small.place.rounds, 1);
  EXPECT_TRUE(small.preparation.model.notes.has(NoteId::PlaceStillCut));
}

TEST(Place, ACutOutsideIsNamed) {
  const TempFolder folder;
  SmallStudy::write(folder);
  const std::string message = refusal(folder, with_place(15, 3, 25, 17, "margin = \"0 m\""));
  EXPECT_NE(message.find("K1"), std::string::npos) << message;
  EXPECT_NE(message.find("outside the study's place"), std::string::npos) << message;
}

TEST(Place, SaysHowManyOutfallsInletsAndHousesLieOutside) {
  const TempFolder folder;
  SmallStudy::write(folder);
  folder.write(
      "inlets.geojson",
      SmallStudy::collection(SmallStudy::feature("Point", SmallStudy::at(12, 3.9), "\"id\":\"I1\"") + ",\n" +
                             SmallStudy::feature("Point", SmallStudy::at(28, 3.9), "\"id\":\"I2\"")));
  folder.write("houses.csv",
               "number,longitude,latitude,x,y\n" +
                   fmt::format("7,,,{},{}\n", SmallStudy::kWest_m + 12, SmallStudy::kMiddle_m + 8));
  const std::string layers =
      "[street.inlets]\nfile = \"inlets.geojson\"\n[lots.addresses]\nfile = \"houses.csv\"\n";
  const std::string study = with_place(8, 3, 25, 17, "margin = \"0 m\"\ngrow_limit = \"0 m\"\n" + layers);
  const PreparedStudy part = prepared(folder, study);
  ASSERT_EQ(part.gathered.outside.count("street.inlets"), 1U);
  EXPECT_EQ(part.gathered.outside.at("street.outfalls"), 1);
  EXPECT_EQ(part.gathered.outside.at("street.inlets"), 1);
  EXPECT_EQ(part.gathered.outside.count("street.cuts"), 0U);
  const std::vector<std::string>& numbers = part.preparation.maps.house_numbers;
  const std::vector<std::string>& ids = part.preparation.model.network.id;
  const auto k1 = std::find(ids.begin(), ids.end(), "K1");
  ASSERT_NE(k1, ids.end());
  EXPECT_EQ(numbers[static_cast<std::size_t>(k1 - ids.begin())], "7");
  const testing::Ran check = testing::run_program(folder, "check study.toml");
  ASSERT_EQ(check.exit_code, 0) << check.err;
  EXPECT_NE(check.out.find("1 feature, 1 more outside the place left out"), std::string::npos) << check.out;
}

TEST(Place, WhatLiesOutsideIsCountedNowhere) {
  const TempFolder folder;
  SmallStudy::write(folder);
  std::string lots;
  for (int i = 0; i < 10; ++i) {  // east of the place, all but one of a class that nobody knows
    lots += (i == 0 ? "" : ",\n") +
            SmallStudy::feature("Polygon", SmallStudy::box(26, 5 + 0.1 * i, 29, 9), "\"yard\":\"moon dust\"");
  }
  lots += ",\n" + SmallStudy::feature("Polygon", SmallStudy::box(10, 5, 14, 9), "\"yard\":\"turf\"");
  folder.write("lots.geojson", SmallStudy::collection(lots));
  const std::string layer = "[lots.lots]\nfile = \"lots.geojson\"\nclasses = { turf = \"yard_desert\" }\n";
  const std::string place = "margin = \"0 m\"\ngrow_limit = \"0 m\"\n";
  const PreparedStudy part = prepared(folder, with_place(8, 3, 25, 17, place + layer));
  EXPECT_EQ(part.gathered.features.at("lots.lots"), 1);
  EXPECT_TRUE(part.gathered.set_aside.empty());
  EXPECT_NE(refusal(folder, SmallStudy::study() + layer).find("10 of 11"), std::string::npos);
}

TEST(Place, CornersMayBeLongitudeAndLatitude) {
  const TempFolder folder;
  SmallStudy::write(folder);
  study::Settings settings;
  const geodata::Projection utm = geodata::read_projection("EPSG:26912", {});
  settings.place.west = -111.0;  // the zone's middle line: 500 000 m east
  settings.place.east = -110.9990;
  settings.place.south = 32.17;
  settings.place.north = 32.171;
  settings.place.crs = "EPSG:4326";
  settings.place.margin_m = 10.0;
  const Place place = read_place(settings, utm);
  EXPECT_NEAR(place.asked.min_x_m, 500000.0, 0.01);
  EXPECT_NEAR(place.asked.max_x_m - place.asked.min_x_m, 94.3, 0.3);
  EXPECT_NEAR(place.asked.max_y_m - place.asked.min_y_m, 110.9, 0.3);
  EXPECT_NEAR(place.with_margin.min_x_m, 499990.0, 0.01);
}

TEST(Place, MayBeAPolygon) {
  const TempFolder folder;
  SmallStudy::write(folder);
  folder.write("place.geojson", SmallStudy::collection(SmallStudy::feature(
                                    "Polygon", SmallStudy::box(8, -7, 25, 7), "\"id\":\"P\"")));
  const PreparedStudy part = prepared(folder, SmallStudy::study() +
                                                  "[place]\nmargin = \"0 m\"\ngrow_limit = \"0 m\"\n"
                                                  "[place.area]\nfile = \"place.geojson\"\n");
  EXPECT_EQ(part.gathered.inputs.ground.frame.cols, 34);
  EXPECT_EQ(part.gathered.inputs.ground.frame.rows, 28);
}

TEST(Place, ThatIsNoRectangleOrNotOnTheModelIsRefused) {
  const TempFolder folder;
  SmallStudy::write(folder);
  EXPECT_NE(refusal(folder, with_place(25, 3, 8, 17, "")).find("no rectangle"), std::string::npos);
  EXPECT_NE(refusal(folder, with_place(900, 3, 950, 17, "")).find("does not lie on the elevation model"),
            std::string::npos);
  EXPECT_NE(refusal(folder, SmallStudy::study() + "[place]\nwest = 3\n").find("1 of the four sides is given"),
            std::string::npos);
}

TEST(Place, PlaceholdersOfTheStudyAreNoted) {
  const TempFolder folder;
  SmallStudy::write(folder);
  std::string study = SmallStudy::study();
  study.replace(study.find("\"22 mm\""), 7, "\"22 mm assumed\"");
  const PreparedStudy made = prepared(folder, study);
  EXPECT_EQ(made.preparation.model.notes.at(NoteId::ValuePlaceholder).count, 1);
  EXPECT_EQ(made.preparation.model.notes.at(NoteId::ValuePlaceholder).first_feature, "rain.two_year_1h");
}

}  // namespace
}  // namespace curbshed::cli
