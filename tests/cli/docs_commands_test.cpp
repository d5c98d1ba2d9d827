// The commands of the pages in docs/, run as a reader would type them.
#include "support/program.hpp"

#include <filesystem>
#include <regex>

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

namespace fs = std::filesystem;
using testing::Ran;
using testing::read_text;
using testing::run_program;
using testing::TempFolder;

const std::string kSource = CURBSHED_SOURCE_DIR;

/// Lines of the fenced blocks that begin with the program's name, without it.
std::vector<std::string> commands_of(const std::string& page) {
  std::vector<std::string> commands;
  std::istringstream lines(read_text(kSource + "/docs/" + page));
  bool fenced = false;
  for (std::string line; std::getline(lines, line);) {
    if (line.rfind("```", 0) == 0) {
      fenced = !fenced;
    } else if (fenced && line.rfind("curbshed ", 0) == 0) {
      commands.push_back(line.substr(9));
    }
  }
  return commands;
}

/// A folder in which the sample lies as in a clone.
void lay_out_sample(const TempFolder& folder) {
  fs::create_directory_symlink(kSource + "/sample-rasters", folder.file("sample-rasters"));
}

TEST(DocsCommands, TheFirstTenMinutesEndWithAPageAndATable) {
  const TempFolder folder;
  lay_out_sample(folder);
  const std::vector<std::string> commands = commands_of("first-ten-minutes.md");
  ASSERT_EQ(commands.size(), 3U);
  std::string last;
  for (const std::string& command : commands) {
    const Ran ran = run_program(folder, command);
    ASSERT_EQ(ran.exit_code, 0) << command << "\n" << ran.err;
    last = ran.out;
  }
  EXPECT_NE(last.find("rank     comes by "), std::string::npos);
  for (const char* file : {"study.toml", "cuts.csv", "results/report.html", "results/cuts.csv"}) {
    EXPECT_TRUE(fs::exists(folder.file(std::string("my-street/") + file))) << file;
  }
}

TEST(DocsCommands, FlagsThatThePagesNameAreThere) {
  const TempFolder folder;
  lay_out_sample(folder);
  std::string help;
  for (const char* command : {"start", "check", "run", "ground"}) {
    const Ran ran = run_program(folder, std::string(command) + " --help");
    ASSERT_EQ(ran.exit_code, 0) << ran.err;
    help += ran.out;
  }
  const std::regex flag("--[a-z0-9][a-z0-9-]*");
  for (const char* page : {"first-ten-minutes.md", "where-data-comes-from.md", "other-systems.md"}) {
    const std::string text = read_text(kSource + "/docs/" + page);
    const std::regex ours("`(curbshed )?(start |check |run |ground )?(--[a-z0-9][^`]*)`");
    for (auto it = std::sregex_iterator(text.begin(), text.end(), ours); it != std::sregex_iterator(); ++it) {
      const std::string said = (*it)[3].str();
      for (auto f = std::sregex_iterator(said.begin(), said.end(), flag); f != std::sregex_iterator(); ++f) {
        EXPECT_NE(help.find(f->str()), std::string::npos) << page << ": " << f->str();
      }
    }
  }
}

TEST(DocsCommands, WhatThePageSaysThatStartSaysItSays) {
  const TempFolder folder;
  lay_out_sample(folder);
  const std::string start =
      "start town --elevation sample-rasters/quarter/little/elevation.tif --streets "
      "sample-rasters/quarter/little/streets.gpkg ";
  // Own values, points with longitude and latitude, a window in degrees: first-ten-minutes.md.
  folder.write("points.csv", "id,longitude,latitude\nA,-111.7179551,33.4840822\n");
  const Ran own = run_program(
      folder, start +
                  "--cuts points.csv --two-year-1h \"22 mm\" --ten-year-1h \"36 mm\" --infiltration "
                  "\"25 mm/h measured\"");
  ASSERT_EQ(own.exit_code, 0) << own.err;
  EXPECT_EQ(read_text(folder.file("town/study.toml")).find("assumed\""), std::string::npos);
  ASSERT_EQ(run_program(folder, "check town/study.toml").exit_code, 0);
  const Ran window = run_program(folder, start +
                                             "--overwrite --corners -111.7195 33.4835 -111.7165 33.4855 "
                                             "--corners-crs EPSG:4326");
  ASSERT_EQ(window.exit_code, 0) << window.err;
  EXPECT_NE(read_text(folder.file("town/study.toml")).find("20 mm assumed"), std::string::npos);
  ASSERT_EQ(run_program(folder, "check town/study.toml").exit_code, 0);
}

}  // namespace
}  // namespace curbshed::cli
