#include "curbshed/cli/start_command.hpp"

#include "support/program.hpp"

#include <filesystem>

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

namespace fs = std::filesystem;
using testing::Ran;
using testing::read_text;
using testing::run_program;
using testing::TempFolder;

const std::string kLittle = std::string(CURBSHED_SOURCE_DIR) + "/sample-rasters/quarter/little/";
const std::string kFiles = "--elevation '" + kLittle + "elevation.tif' --streets '" + kLittle +
                           "streets.gpkg' --buildings '" + kLittle + "buildings.gpkg'";

TEST(StartCommand, ThreeCommandsReachARankedTable) {
  const TempFolder folder;
  const Ran start = run_program(folder, "start town " + kFiles);
  ASSERT_EQ(start.exit_code, 0) << start.err;
  EXPECT_NE(start.out.find("Only you can answer"), std::string::npos);
  EXPECT_NE(start.out.find("rain.two_year_1h"), std::string::npos);
  const Ran check = run_program(folder, "check town/study.toml");
  ASSERT_EQ(check.exit_code, 0) << check.err;
  EXPECT_NE(check.out.find("rain.two_year_1h = \"20 mm assumed\""), std::string::npos);
  EXPECT_NE(check.out.find("You cannot decide yet:"), std::string::npos);
  const Ran run = run_program(folder, "run town/study.toml --out town/results");
  ASSERT_EQ(run.exit_code, 0) << run.err;
  EXPECT_NE(run.out.find("placeholder"), std::string::npos);
  EXPECT_EQ(read_text(folder.file("town/results/cuts.csv")).substr(0, 4), "rank");
}

TEST(StartCommand, APlaceOfTheModelAndOwnValuesGoIntoTheStudy) {
  const TempFolder folder;
  const Ran start = run_program(
      folder, "start town " + kFiles +
                  " --corners 433300 3705200 433500 3705400 --two-year-1h '22 mm' --ten-year-1h '36 mm' "
                  "--infiltration '1 in/h measured' --title 'Four blocks'");
  ASSERT_EQ(start.exit_code, 0) << start.err;
  const std::string study = read_text(folder.file("town/study.toml"));
  EXPECT_NE(study.find("west = 433300\n"), std::string::npos);
  EXPECT_NE(study.find("infiltration = \"1 in/h\"\n"), std::string::npos);
  EXPECT_NE(study.find("infiltration_origin = \"measured\"\n"), std::string::npos);
  EXPECT_EQ(study.find("REPLACE:"), std::string::npos);
  const Ran check = run_program(folder, "check town/study.toml");
  ASSERT_EQ(check.exit_code, 0) << check.err;
  EXPECT_NE(check.out.find("200 m × 200 m and 50 m around it"), std::string::npos) << check.out;
  EXPECT_EQ(check.out.find("Placeholders"), std::string::npos);
}

TEST(StartCommand, AnExistingStudyIsKept) {
  const TempFolder folder;
  folder.write("town/study.toml", "mine");
  const Ran refused = run_program(folder, "start town " + kFiles);
  EXPECT_EQ(refused.exit_code, 1);
  EXPECT_NE(refused.err.find("--overwrite"), std::string::npos);
  EXPECT_EQ(read_text(folder.file("town/study.toml")), "mine");
  EXPECT_EQ(run_program(folder, "start town --overwrite " + kFiles).exit_code, 0);
  EXPECT_NE(read_text(folder.file("town/study.toml")), "mine");
}

TEST(StartCommand, WhatFailsLeavesNothingBehind) {
  const TempFolder folder;
  for (const std::string more : {"--two-year-1h '22 bananas'", "--two-year-1h '22 m'", "--infiltration fast",
                                 "--corners 1 2 3 4", "--lots nothing.gpkg"}) {
    const Ran ran = run_program(folder, "start town " + kFiles + " " + more);
    EXPECT_EQ(ran.exit_code, 1) << more << ran.err;
    EXPECT_FALSE(fs::exists(folder.file("town"))) << more;
  }
  EXPECT_EQ(run_program(folder, "start town --elevation x.tif").exit_code, 2);
  EXPECT_EQ(run_program(folder, "start town " + kFiles + " --layer roads").exit_code, 2);
}

}  // namespace
}  // namespace curbshed::cli
