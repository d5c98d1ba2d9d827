// Sections of gutters and kinds of openings, from study, curbs and cuts, through the whole program.
#include "support/csv_rows.hpp"
#include "support/program.hpp"
#include "support/small_study.hpp"

#include <cstdlib>

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

using testing::run_program;
using testing::SmallStudy;
using testing::TempFolder;

struct Told {
  std::map<std::string, testing::CsvRow> cuts;
  std::string reaches;
  std::string manifest;
};

Told told(const std::string& more, const std::string& curbs = SmallStudy::curbs(),
          const std::string& cuts = SmallStudy::cuts()) {
  const TempFolder folder;
  SmallStudy::write(folder);
  folder.write("curbs.geojson", curbs);
  folder.write("cuts.csv", cuts);
  folder.write("study.toml", SmallStudy::study() + more);
  const testing::Ran ran = run_program(folder, "run study.toml --out out -q");
  EXPECT_EQ(ran.exit_code, 0) << more << ran.err;
  if (ran.exit_code != 0) return {};
  return {testing::csv_rows_by_id(testing::read_text(folder.file("out/cuts.csv"))),
          testing::read_text(folder.file("out/reaches.csv")),
          testing::read_text(folder.file("out/manifest.json"))};
}

double number(const Told& t, const std::string& cut, const std::string& column) {
  return std::atof(t.cuts.at(cut).at(column).c_str());
}

TEST(GutterRows, TheStudysSectionAndTheCurbsOwn) {
  const Told plain = told("");
  EXPECT_EQ(plain.cuts.at("K1").at("gutter_section"), "straight");
  EXPECT_EQ(plain.cuts.at("K1").at("opening_kind"), "sawn");
  EXPECT_EQ(plain.cuts.at("K1").at("opening_height_m"), "");
  const std::string dip = "[gutter]\nsection = \"depressed\"\nwidth = \"2 ft\"\ndepression = \"2 in\"\n";
  const Told dipped = told(dip);
  EXPECT_EQ(dipped.cuts.at("K1").at("gutter_section"), "depressed");
  EXPECT_LT(number(dipped, "K1", "spread_before_ten_year_m"),
            number(plain, "K1", "spread_before_ten_year_m"));
  EXPECT_GT(number(dipped, "K1", "depth_before_ten_year_m"), number(plain, "K1", "depth_before_ten_year_m"));
  std::string curbs = SmallStudy::curbs();
  curbs.replace(curbs.find("\"id\":\"north\""), 12, "\"id\":\"north\",\"gutter_section\":\"straight\"");
  const Told own = told(dip, curbs);
  EXPECT_EQ(own.cuts.at("K1").at("gutter_section"), "straight");
  EXPECT_EQ(number(own, "K1", "spread_before_ten_year_m"), number(plain, "K1", "spread_before_ten_year_m"));
  const Told crown = told("[gutter]\nsection = \"parabolic\"\nhalf_width = \"4 m\"\n");
  EXPECT_EQ(crown.cuts.at("K1").at("gutter_section"), "parabolic");
  EXPECT_GT(number(crown, "K1", "spread_before_ten_year_m"), 0.0);
}

TEST(GutterRows, WidestWaterBetweenPlacesIsInTheTables) {
  const Told plain = told("");
  EXPECT_GT(number(plain, "K1", "spread_below_before_ten_year_m"), 0.0);
  EXPECT_LE(number(plain, "K1", "spread_below_after_ten_year_m"),
            number(plain, "K1", "spread_below_before_ten_year_m"));
  EXPECT_NE(plain.reaches.find("cut K1,cut K2"), std::string::npos) << plain.reaches;
  EXPECT_NE(plain.reaches.find("m below cut K1"), std::string::npos) << plain.reaches;
}

TEST(GutterRows, ACoredCutTakesLessAndTheEditionIsNamed) {
  const Told plain = told("");
  std::string cuts = SmallStudy::cuts();
  cuts.replace(cuts.find("opening\n"), 8, "opening,opening_kind,core_diameter\n");
  cuts.replace(cuts.find(",\nK2"), 2, ",,core,3 in\n");
  cuts.replace(cuts.find("2 ft\n"), 5, "2 ft,,\n");
  const Told core = told("", SmallStudy::curbs(), cuts);
  EXPECT_EQ(core.cuts.at("K1").at("opening_kind"), "core");
  EXPECT_NEAR(number(core, "K1", "opening_height_m"), 0.0762, 1e-4);
  EXPECT_LE(number(core, "K1", "captured_ten_year_m3"), number(plain, "K1", "captured_ten_year_m3"));
  const Told table = told("[opening]\nedition = \"our own tests\"\nweir = 0.8\norifice = 0.6\n");
  EXPECT_NE(table.manifest.find("our own tests"), std::string::npos);
  EXPECT_LE(number(table, "K1", "captured_ten_year_m3"), number(plain, "K1", "captured_ten_year_m3"));
}

}  // namespace
}  // namespace curbshed::cli
