#include "curbshed/cli/start_layers.hpp"

#include "curbshed/base/error.hpp"

#include "support/small_study.hpp"

#include <algorithm>

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

using base::InputError;
using testing::SmallStudy;
using testing::TempFolder;

bool any(const std::vector<std::string>& items, const std::string& words) {
  return std::any_of(items.begin(), items.end(),
                     [&](const std::string& item) { return item.find(words) != std::string::npos; });
}

/// One line a street: the properties of each.
StartLayer streets(const TempFolder& folder, const std::vector<std::string>& properties) {
  std::string features;
  for (std::size_t i = 0; i < properties.size(); ++i) {
    features +=
        (i == 0 ? "" : ",\n") +
        SmallStudy::feature("LineString", fmt::format("[{},{}]", SmallStudy::at(0, 0), SmallStudy::at(30, 0)),
                            properties[i]);
  }
  const std::string path = folder.write("roads.geojson", SmallStudy::collection(features));
  base::Box ground;
  ground.add({SmallStudy::kWest_m, SmallStudy::kSouth_m});
  ground.add({SmallStudy::kWest_m + 30.0, SmallStudy::kSouth_m + 20.0});
  return find_layer({"street.centrelines", path, "roads.geojson", ""},
                    geodata::read_projection("EPSG:26912", {}), ground, std::nullopt);
}

TEST(StartLayers, FieldsAreKnownByTheirNames) {
  const TempFolder folder;
  const StartLayer layer =
      streets(folder, {R"("FULLNAME":"Kiln Street","highway":"tertiary","WIDTH_FT":32)"});
  EXPECT_EQ(layer.source.fields.at("street").name, "FULLNAME");
  EXPECT_EQ(layer.source.fields.at("class").name, "highway");
  EXPECT_EQ(layer.source.classes.at("tertiary"), "collector");
  EXPECT_EQ(layer.source.fields.at("width").name, "WIDTH_FT");
  EXPECT_EQ(layer.source.fields.at("width").unit, "ft");
  EXPECT_TRUE(layer.questions.empty());
  EXPECT_TRUE(any(layer.found, "its name says so"));
}

TEST(StartLayers, WaysWithoutCurbsAreFilteredOut) {
  const TempFolder folder;
  const StartLayer layer = streets(folder, {R"("name":"Kiln Street","highway":"residential")",
                                            R"("name":"","highway":"footway")", R"("highway":"steps")"});
  EXPECT_EQ(layer.source.where, "\"highway\" IS NULL OR \"highway\" NOT IN ('footway', 'steps')");
}

TEST(StartLayers, UnknownWordsAreAskedAbout) {
  const TempFolder folder;
  const StartLayer layer = streets(folder, {R"("name":"Kiln Street","class":"K7")"});
  EXPECT_EQ(layer.source.classes.at("K7"), "residential");
  EXPECT_TRUE(any(layer.questions, "\"K7\""));
}

TEST(StartLayers, WithoutAStreetNameThereIsAQuestion) {
  const TempFolder folder;
  EXPECT_TRUE(any(streets(folder, {R"("kerb":1)"}).questions, "street's name"));
}

TEST(StartLayers, TheUnitOfAWidthComesFromItsNameOrItsSize) {
  EXPECT_EQ(width_unit("PAVE_WIDTH_FT", {9.0}).first, "ft");
  EXPECT_EQ(width_unit("width_m", {36.0}).first, "m");
  EXPECT_EQ(width_unit("WIDTH", {30.0, 36.0, 24.0}).first, "ft");
  EXPECT_EQ(width_unit("WIDTH", {9.0, 10.0, 30.0}).first, "m");
  EXPECT_EQ(width_unit("WIDTH", {18.0, 20.0, 16.0}).first, "");
  EXPECT_EQ(width_unit("WIDTH", {0.0, 0.0}).first, "");
}

TEST(StartLayers, AWidthThatCouldBeEitherIsNotGuessed) {
  const TempFolder folder;
  const StartLayer layer = streets(folder, {R"("name":"Kiln Street","width":18.0)"});
  EXPECT_EQ(layer.source.fields.count("width"), 0U);
  EXPECT_TRUE(any(layer.questions, "in which unit"));
}

TEST(StartLayers, ALayerOfAnotherShapeIsRefused) {
  const TempFolder folder;
  SmallStudy::write(folder);
  const StartFile lines{"lots.buildings", folder.file("curbs.geojson"), "curbs.geojson", ""};
  EXPECT_THROW(find_layer(lines, geodata::read_projection("EPSG:26912", {}), {}, std::nullopt), InputError);
}

}  // namespace
}  // namespace curbshed::cli
