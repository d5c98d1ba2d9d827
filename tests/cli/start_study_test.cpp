#include "curbshed/cli/start_study.hpp"

#include "curbshed/study/settings.hpp"
#include "curbshed/study/study_keys.hpp"

#include "support/temp_folder.hpp"

#include <regex>

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

using testing::TempFolder;

StartStudy small() {
  StartStudy study;
  study.title = "A \"quoted\" name";
  study.values = {{"ground.elevation", "\"a.tif\""},
                  {"rain.two_year_1h", "\"20 mm assumed\""},
                  {"rain.ten_year_1h", "\"35 mm\""},
                  {"basin.infiltration", "\"10 mm/h\""},
                  {"basin.infiltration_origin", "\"assumed\""}};
  StartLayer streets;
  streets.part = "street.centrelines";
  streets.source.file = "roads.gpkg";
  streets.source.fields = {{"street", {"NAME", ""}}, {"width", {"W", "ft"}}};
  streets.source.classes = {{"Local Road", "residential"}};
  streets.questions = {"What is what?"};
  StartLayer cuts;
  cuts.part = "street.cuts";
  cuts.source.file = "cuts.csv";
  study.layers = {streets, cuts};
  return study;
}

TEST(StartStudy, IsReadBackAsItWasMeant) {
  const TempFolder folder;
  const study::Settings settings = study::read_study(folder.write("study.toml", study_text(small())));
  EXPECT_EQ(settings.title, "A \"quoted\" name");
  EXPECT_EQ(settings.street.centrelines.fields.at("width").unit, "ft");
  EXPECT_EQ(settings.street.centrelines.classes.at("Local Road"), "residential");
  EXPECT_DOUBLE_EQ(*settings.rain.two_year_1h_m, 0.020);
  EXPECT_EQ(study::assumed_keys(settings),
            (std::vector<std::string>{"basin.infiltration_origin", "rain.two_year_1h"}));
}

TEST(StartStudy, ShowsEveryKeyAndLayerOfTheTable) {
  const std::string text = study_text(small());
  for (const study::StudyKey& key : study::study_keys()) {
    if (key.part != "rain.storm") {
      EXPECT_NE(text.find(std::string(key.name) + " = "), std::string::npos) << key.part << "." << key.name;
    }
  }
  for (const study::LayerKey& layer : study::study_layers()) {
    EXPECT_NE(text.find("[" + std::string(layer.part) + "]"), std::string::npos) << layer.part;
  }
  EXPECT_NE(text.find("# QUESTION: What is what?"), std::string::npos);
}

TEST(StartStudy, DefaultsMayBeTakenIntoTheStudyAsTheyStand) {
  const TempFolder folder;
  std::string text = study_text(small());
  // Uncomment every default that has a value.
  text = std::regex_replace(text, std::regex("\n# ([a-z_0-9]+ = (\"[^\"\n]+\"|[-0-9.]+|true|false))    #"),
                            "\n$1 #");
  const study::Settings settings = study::read_study(folder.write("study.toml", text));
  EXPECT_EQ(settings.origin.at("basin.opening"), "study");
  EXPECT_EQ(settings.origin.at("street.snap"), "study");
}

}  // namespace
}  // namespace curbshed::cli
