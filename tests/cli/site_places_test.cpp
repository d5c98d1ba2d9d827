// Cuts by words, coordinates and coordinates on Earth, read as the program reads them.
#include "curbshed/cli/gather_inputs.hpp"

#include "support/small_study.hpp"

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

using testing::SmallStudy;
using testing::TempFolder;

/// The small study with cuts.csv as given, its fields by our own names.
GatheredInputs gathered(const std::string& csv, const std::string& toml = "") {
  const TempFolder folder;
  std::string study = SmallStudy::study();
  const std::string fields = "fields = { id = \"name\", x = \"east\", y = \"north\" }\n";
  study.replace(study.find(fields), fields.size(), "");
  if (csv.empty()) {
    const std::string layer = "[street.cuts]\nfile = \"cuts.csv\"\n";
    study.replace(study.find(layer), layer.size(), "");
  }
  SmallStudy::write(folder);
  if (!csv.empty()) folder.write("cuts.csv", csv);
  const std::string path = folder.write("study.toml", study + toml);
  return gather_inputs(study::read_study(path), {});
}

std::string refusal(const std::string& csv, const std::string& toml = "") {
  try {
    gathered(csv, toml);
  } catch (const base::InputError& error) {
    return error.what();
  }
  return "none";
}

base::Point cut(const GatheredInputs& inputs, std::size_t i = 0) { return inputs.inputs.sites.at(i).at; }

TEST(SitePlaces, TapeWordsAndSentencesLeadToTheCurb) {
  const base::Point wanted{SmallStudy::kWest_m + 12.3, SmallStudy::kMiddle_m + SmallStudy::kHalf_m};
  for (const std::string csv :
       {"id,street,side,corner,distance\nA,Kiln Street,north,west end,12.3 m\n",
        "id,street,side,corner,toward,distance\nA,kiln street,North side,East End,west end,17.7 m\n",
        "id,place\nA,\"Kiln Street, north side, 12.3 m from west end toward east end\"\n",
        "id,place\nA,\"at 500012.3, 3560014.0 m\"\n"}) {
    const GatheredInputs inputs = gathered(csv);
    EXPECT_NEAR(base::distance_m(cut(inputs), wanted), 0.0, 1e-6) << csv;
  }
}

TEST(SitePlaces, FeetAndInchesAreReadAsATapeShowsThem) {
  const GatheredInputs inputs =
      gathered("id,street,side,corner,distance\nA,Kiln Street,south,west end,40 ft 6 in\n");
  EXPECT_NEAR(cut(inputs).x_m - SmallStudy::kWest_m, 40.5 * 0.3048, 1e-6);
}

TEST(SitePlaces, LongitudeAndLatitudeAreWgs84) {
  // PROJ's own program turns this place into 500010.00, 3560014.00.
  const GatheredInputs inputs = gathered("id,longitude,latitude\nA,-110.9998939,32.1766294\n");
  EXPECT_NEAR(cut(inputs).x_m, 500010.0, 0.01);
  EXPECT_NEAR(cut(inputs).y_m, 3560014.0, 0.01);
}

TEST(SitePlaces, EachCutMaySayItsPlaceInItsOwnWay) {
  const GatheredInputs inputs = gathered(
      "id,x,y,street,side,corner,distance\nB,500010,3560014,,,,\nA,,,Kiln Street,south,west end,5 m\n");
  ASSERT_EQ(inputs.inputs.sites.size(), 3U);
  EXPECT_EQ(inputs.inputs.sites[0].id, "A") << "sorted by name";
  EXPECT_NEAR(cut(inputs, 0).x_m, 500005.0, 1e-6);
  EXPECT_NEAR(cut(inputs, 1).x_m, 500010.0, 1e-6);
}

TEST(SitePlaces, CutsMayStandInTheStudy) {
  const GatheredInputs inputs = gathered("", R"(
[[street.cut]]
id = 7
street = "Kiln Street"
side = "north"
corner = "west end"
distance = "10 m"
opening = "2 ft"
[[street.cut]]
longitude = -111.0
latitude = 32.1753
)");
  ASSERT_EQ(inputs.inputs.sites.size(), 3U);
  EXPECT_EQ(inputs.inputs.sites[0].id, "7");
  EXPECT_NEAR(cut(inputs).x_m, 500010.0, 1e-6);
  EXPECT_NEAR(*inputs.inputs.overrides[0].opening_m, 0.6096, 1e-9);
  EXPECT_EQ(inputs.inputs.sites[1].id, "") << "its id comes from where it is";
}

TEST(SitePlaces, WaysThatDoNotAgreeAreAnError) {
  EXPECT_NE(refusal("id,x,y,place\nA,500010,3560014,\"Kiln Street, north side, 19 m from west end\"\n")
                .find("x and y and place are 9.0 m apart"),
            std::string::npos);
  EXPECT_EQ(refusal("id,x,y,place\nA,500010,3560014,\"Kiln Street, north side, 10.4 m from west end\"\n"),
            "none");
}

TEST(SitePlaces, HalfAPlaceIsAnErrorThatSaysWhatIsMissing) {
  EXPECT_NE(refusal("id,x,y\nA,500010,\n").find("x is there without y"), std::string::npos);
  EXPECT_NE(refusal("id,street,corner\nA,Kiln Street,west end\n").find("distance is missing"),
            std::string::npos);
  EXPECT_NE(refusal("id,opening\nA,2 ft\n").find("does not say where it is"), std::string::npos);
  EXPECT_NE(refusal("id,longitude,latitude\nA,-111,132\n").find("out of range"), std::string::npos);
}

TEST(SitePlaces, ErrorsOfCutsInTheStudyNameTheLine) {
  const std::string far = refusal("",
                                  "[[street.cut]]\nstreet = \"Kiln Street\"\nside = \"north\"\n"
                                  "corner = \"west end\"\ndistance = \"40 m\"\n");
  EXPECT_NE(far.find("[[street.cut]]"), std::string::npos) << far;
  EXPECT_NE(far.find("beyond the block"), std::string::npos) << far;
  EXPECT_NE(refusal("", "[[street.cut]]\ndistance = 40\n").find("has no unit"), std::string::npos);
  EXPECT_NE(refusal("", "[[street.cut]]\nwhere = 40\n").find("no key `where`"), std::string::npos);
}

}  // namespace
}  // namespace curbshed::cli
