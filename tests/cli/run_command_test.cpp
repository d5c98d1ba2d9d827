#include "curbshed/cli/run_command.hpp"

#include "curbshed/base/error.hpp"

#include "support/program.hpp"
#include "support/small_study.hpp"
#include "support/summary_schema.hpp"

#include <filesystem>
#include <map>

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

namespace fs = std::filesystem;
using testing::Ran;
using testing::run_program;
using testing::SmallStudy;
using testing::TempFolder;

std::map<std::string, std::string> files_in(const std::string& folder) {
  std::map<std::string, std::string> files;
  for (const fs::directory_entry& entry : fs::recursive_directory_iterator(folder)) {
    if (entry.is_regular_file()) {
      files[fs::relative(entry.path(), folder).generic_string()] = testing::read_text(entry.path().string());
    }
  }
  return files;
}

TEST(RunCommand, WritesEverythingThatTheDesignNames) {
  const TempFolder folder;
  SmallStudy::write(folder);
  const Ran ran = run_program(folder, "run study.toml --out out");
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  EXPECT_EQ(ran.err, "");
  EXPECT_NE(ran.out.find("K1"), std::string::npos);
  const auto files = files_in(folder.file("out"));
  for (const char* name : {"basins.csv",
                           "existing_basins.csv",
                           "corners.csv",
                           "curbshed.gpkg",
                           "choice.csv",
                           "cuts.csv",
                           "inlets.csv",
                           "lots.csv",
                           "manifest.json",
                           "outfalls.csv",
                           "report.html",
                           "passed_hollows.csv",
                           "rasters/cells_arriving.tif",
                           "rasters/first_receiver.tif",
                           "rasters/ground_used_m.tif",
                           "rasters/standing_water_m.tif",
                           "rasters/travel_time_s.tif",
                           "rasters/water_runs_toward_deg.tif",
                           "reaches.csv",
                           "run-log.json",
                           "sags.csv",
                           "screening.csv",
                           "set_aside.csv",
                           "summary.json"}) {
    EXPECT_EQ(files.count(name), 1U) << name;
  }
  EXPECT_EQ(files.size(), 24U);
  EXPECT_EQ(testing::schema_faults(files.at("summary.json")), "");
}

TEST(RunCommand, CandidatesAreScreenedAndChosenBesideTheCuts) {
  const TempFolder folder;
  SmallStudy::write(folder);
  folder.write("both.toml", testing::read_text(folder.file("study.toml")) +
                                "\n[candidates]\non = true\n\n[choose]\ncount = 4\n");
  const Ran ran = run_program(folder, "run both.toml --out out");
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  EXPECT_NE(ran.out.find(" candidates), with at most 4"), std::string::npos) << ran.out;
  const auto files = files_in(folder.file("out"));
  const std::string& choice = files.at("choice.csv");
  EXPECT_NE(choice.find(",candidate,"), std::string::npos);
  EXPECT_NE(choice.find(",cut,"), std::string::npos);
  const std::string& candidates = files.at("candidates.csv");
  EXPECT_NE(candidates.substr(0, candidates.find('\n'))
                .find("build_order,basin,over_limit,to_measure,without_data"),
            std::string::npos);
  EXPECT_NE(files.at("report.html").find("class=\"ribbon stairs\""), std::string::npos);
  EXPECT_EQ(testing::schema_faults(files.at("summary.json")), "");
  // The run's own numbers are those of a run without candidates.
  ASSERT_EQ(run_program(folder, "run study.toml --out alone -q").exit_code, 0);
  EXPECT_EQ(files.at("inlets.csv"), files_in(folder.file("alone")).at("inlets.csv"));
}

TEST(RunCommand, GivesTheSameBytesForAnyThreadsAndEveryRun) {
  const TempFolder folder;
  SmallStudy::write(folder);
  ASSERT_EQ(run_program(folder, "run study.toml --out one --threads 1 -q").exit_code, 0);
  ASSERT_EQ(run_program(folder, "run study.toml --out two --threads 2 -q").exit_code, 0);
  ASSERT_EQ(run_program(folder, "run study.toml --out three --threads 2 -q --units us").exit_code, 0);
  auto one = files_in(folder.file("one"));
  for (const char* other : {"two", "three"}) {
    const auto files = files_in(folder.file(other));
    ASSERT_EQ(files.size(), one.size());
    for (const auto& [name, bytes] : files) {
      if (name != "run-log.json") {
        EXPECT_TRUE(bytes == one[name]) << name << " differs between one and " << other;
      }
    }
  }
}

TEST(RunCommand, OutputsNameNoFolderOfTheMachine) {
  const TempFolder folder;
  SmallStudy::write(folder);
  ASSERT_EQ(run_program(folder, "run '" + folder.file("study.toml") + "' --out out -q").exit_code, 0);
  for (const auto& [name, bytes] : files_in(folder.file("out"))) {
    EXPECT_EQ(bytes.find(folder.path()), std::string::npos) << name;
  }
}

TEST(RunCommand, CheckTellsWhatItFoundAndWritesNothing) {
  const TempFolder folder;
  SmallStudy::write(folder);
  const Ran check = run_program(folder, "check study.toml");
  EXPECT_EQ(check.exit_code, 0) << check.err;
  EXPECT_EQ(check.err, "");
  for (const char* part : {"60 × 40 cells of 0.5 m", "NAD83 / UTM zone 12N", "the study says height_unit",
                           "memory", "pavement.geojson: 1 feature", "cuts 2", "Nothing was written."}) {
    EXPECT_NE(check.out.find(part), std::string::npos) << part << "\n" << check.out;
  }
  const Ran dry = run_program(folder, "run study.toml --out out --dry-run");
  EXPECT_EQ(dry.out, check.out);
  EXPECT_FALSE(fs::exists(folder.file("out")));
}

TEST(RunCommand, QuietPrintsNothingAndVerboseTalksOnStderr) {
  const TempFolder folder;
  SmallStudy::write(folder);
  const Ran quiet = run_program(folder, "run study.toml --out out -q");
  EXPECT_EQ(quiet.out + quiet.err, "");
  const Ran verbose = run_program(folder, "check study.toml -v");
  EXPECT_NE(verbose.err.find("reading the layers"), std::string::npos);
  EXPECT_EQ(verbose.out.find("reading the layers"), std::string::npos);
}

TEST(RunCommand, UnitsChangeWhatIsShown) {
  const TempFolder folder;
  SmallStudy::write(folder);
  EXPECT_NE(run_program(folder, "run study.toml --out a --units us").out.find(" gal"), std::string::npos);
  const std::string metric = run_program(folder, "run study.toml --out b --units metric").out;
  EXPECT_EQ(metric.find(" gal"), std::string::npos);
  EXPECT_NE(metric.find(" L/s"), std::string::npos);
}

TEST(RunCommand, WithoutPavementOrCurbsTheOtherIsEnough) {
  const TempFolder folder;
  SmallStudy::write(folder);
  std::string text = SmallStudy::study();
  const std::size_t begin = text.find("[street.curbs]");
  text.erase(begin, text.find("[street.cuts]") - begin);
  folder.write("study.toml", text);
  const Ran ran = run_program(folder, "run study.toml --out out");
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  EXPECT_NE(testing::read_text(folder.file("out/cuts.csv")).find("K2"), std::string::npos);
}

TEST(RunCommand, VersionNamesTheLibraries) {
  const TempFolder folder;
  const Ran ran = run_program(folder, "--version");
  EXPECT_EQ(ran.exit_code, 0);
  for (const char* name : {"curbshed ", "GDAL ", "PROJ ", "GEOS ", "Boost ", "fmt ", "oneTBB ", "toml++ ",
                           "nlohmann-json ", "OpenSSL ", "CLI11 ", "spdlog "}) {
    EXPECT_NE(ran.out.find(name), std::string::npos) << name;
  }
}

TEST(RunCommand, HelpGoesToStdoutAndEndsWell) {
  const TempFolder folder;
  for (const char* words : {"--help", "run --help", "check -h"}) {
    const Ran ran = run_program(folder, words);
    EXPECT_EQ(ran.exit_code, 0) << words;
    EXPECT_EQ(ran.err, "");
    EXPECT_NE(ran.out.find("STUDY.toml"), std::string::npos);
  }
}

TEST(Threads, FlagCountsBeforeTheEnvironment) {
  Options options;
  EXPECT_EQ(choose_threads(options, "3").threads, 3);
  EXPECT_STREQ(choose_threads(options, "3").origin, "environment");
  options.threads = 7;
  EXPECT_EQ(choose_threads(options, "3").threads, 7);
  EXPECT_STREQ(choose_threads(options, "3").origin, "flag");
  options.threads.reset();
  EXPECT_GE(choose_threads(options, nullptr).threads, 1);
  EXPECT_STREQ(choose_threads(options, "").origin, "default");
  for (const char* bad : {"0", "257", "2.5", "many", "-1"}) {
    EXPECT_THROW(choose_threads(options, bad), base::InputError) << bad;
  }
}

}  // namespace
}  // namespace curbshed::cli
