// Every flag of every hand check: nonsense is refused with the flag's name and its range.
#include "curbshed/base/error.hpp"
#include "curbshed/cli/desk_command.hpp"

#include "support/temp_folder.hpp"

#include <map>

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

using Flags = std::map<std::string, std::string>;

/// Sound flags of each check, every flag of the check among them where it can stand with the rest.
std::map<std::string, std::vector<Flags>> sound_flags(const testing::TempFolder& folder) {
  const std::string in = folder.write("in.csv", "time_h,inflow_m3_s\n0,0\n1,2\n2,0\n");
  const std::string pond = folder.write("pond.csv", "stage_m,discharge_m3_s,storage_m3\n0,0,0\n1,3,9000\n");
  const std::string depths = folder.write("depths.csv", "duration_min,2yr_mm,10yr_mm\n5,7,9\n60,22,30\n");
  const Flags street = {{"grade", "1%"}, {"cross-slope", "2%"}, {"roughness", "0.016"}};
  const Flags dip = {{"gutter-width", "2ft"}, {"depression", "2in"}};
  const auto with = [](Flags a, const Flags& b, const Flags& c = {}) {
    a.insert(b.begin(), b.end());
    a.insert(c.begin(), c.end());
    return a;
  };
  return {
      {"gutter",
       {with({{"flow", "1.8ft3/s"}}, street, dip),
        with({{"spread", "9ft"}}, street),
        {{"flow", "1ft3/s"},
         {"grade", "1%"},
         {"roughness", "0.016"},
         {"crown-height", "5in"},
         {"half-width", "15ft"}}}},
      {"opening",
       {with({{"flow", "1.8ft3/s"}, {"length", "18in"}, {"clogging", "10%"}, {"cuts", "3"}}, street, dip)}},
      {"sag",
       {with({{"depth", "3in"}, {"length", "18in"}, {"height", "6in"}}, dip),
        {{"depth", "3in"}, {"diameter", "4in"}, {"clogging", "20%"}}}},
      {"runoff", {{{"rain", "3in"}, {"curve-number", "80"}, {"abstraction-ratio", "0.05"}}}},
      {"harvest", {{{"roof", "2500ft2"}, {"rain", "1in"}, {"coefficient", "0.9"}, {"first-flush", "0.5mm"}}}},
      {"storm",
       {{{"kind", "day"}, {"shape", "II"}, {"depth", "3in"}, {"block", "15min"}},
        {{"kind", "chicago"}, {"table", depths}, {"column", "2yr"}, {"duration", "1h"}, {"peak-at", "0.4"}}}},
      {"infiltrate",
       {{{"suction", "6.6in"},
         {"deficit", "0.34"},
         {"conductivity", "0.26in/h"},
         {"time", "1h"},
         {"rain-rate", "2in/h"}}}},
      {"horton",
       {{{"initial-rate", "1.5in/h"},
         {"final-rate", "0.2in/h"},
         {"decay", "0.35 1/h"},
         {"time", "6h"},
         {"rain-rate", "2in/h"}}}},
      {"soil", {{{"conductivity", "1in/h"}, {"impermeable", "2ft"}, {"water-table", "4ft"}}}},
      {"composite", {{{"curve-number", "61"}, {"impervious", "20%"}, {"unconnected", "0.5"}}}},
      {"peak",
       {{{"method", "rational"}, {"area", "4ac"}, {"coefficient", "0.95"}, {"rain-rate", "6.4in/h"}},
        {{"method", "graphical"},
         {"area", "250ac"},
         {"shape", "II"},
         {"curve-number", "75"},
         {"rain", "6in"},
         {"concentration", "1.53h"}}}},
      {"basin",
       {{{"length", "8ft"},
         {"width", "5ft"},
         {"depth", "6in"},
         {"side-slope", "3"},
         {"conductivity", "0.5in/h"},
         {"safety", "2"},
         {"floor-grade", "2%"},
         {"check-dams", "1"},
         {"dam-thickness", "6in"}}}},
      {"route", {{{"inflow", in}, {"stage", pond}, {"step", "10min"}, {"start-storage", "10m3"}}}},
      {"travel",
       {{{"kind", "sheet"},
         {"length", "30m"},
         {"grade", "1%"},
         {"roughness", "0.24"},
         {"excess-rate", "2in/h"}},
        {{"kind", "sheet"}, {"length", "30m"}, {"grade", "1%"}, {"roughness", "0.24"}, {"day-rain", "3in"}},
        {{"kind", "shallow"}, {"length", "30m"}, {"grade", "1%"}, {"cover", "paved"}},
        with({{"kind", "gutter"}, {"length", "30m"}, {"flow", "0.05m3/s"}, {"upstream-flow", "0.01m3/s"}},
             street)}},
      {"pipe",
       {{{"flow", "1L/s"},
         {"diameter", "2in"},
         {"length", "40ft"},
         {"roughness", "0.011"},
         {"local-losses", "2.5"},
         {"drop", "4in"}}}},
  };
}

std::string refusal(const DeskCheck& check, const Flags& flags) {
  try {
    desk_answer(check, flags);
  } catch (const base::InputError& error) {
    return error.what();
  }
  return "";
}

std::string first_unit(base::Dimension dimension) {
  const std::string all = base::units_of(dimension);
  return all.substr(0, all.find(','));
}

std::vector<std::string> nonsense(const DeskFlag& flag) {
  if (flag.text)
    return flag.choices.empty() ? std::vector<std::string>{""} : std::vector<std::string>{"", "x", "IV"};
  const bool bare = flag.dimension == base::Dimension::Plain || flag.dimension == base::Dimension::Slope;
  const std::string unit = bare ? "" : first_unit(flag.dimension);
  std::vector<std::string> all = {
      "",          "nan",        "inf",          "-inf",        "NaN" + unit,  "inf" + unit,
      unit + "x",  "1,5" + unit, "1e999" + unit, "1e30" + unit, "0x10" + unit, "-1e6" + unit,
      "1 furlong", "--",         "1 2" + unit};
  if (!bare) all.emplace_back("1");
  if (flag.least.empty()) all.emplace_back("0" + unit);
  if (flag.least != "-100 m") all.emplace_back("-1" + unit);
  return all;
}

TEST(DeskRefusals, EveryFlagOfEveryCheckNamesItselfAndItsRange) {
  const testing::TempFolder folder;
  const auto sound = sound_flags(folder);
  for (const DeskCheck& check : desk_checks()) {
    const auto rows = sound.find(std::string(check.name));
    ASSERT_NE(rows, sound.end()) << check.name << " has no row in this test";
    std::map<std::string, int> seen;
    for (const Flags& flags : rows->second) {
      EXPECT_EQ(refusal(check, flags), "") << check.name;
      for (const DeskFlag& flag : check.flags) {
        const std::string name(flag.name);
        if (flags.count(name) == 0) continue;
        ++seen[name];
        for (const std::string& bad : nonsense(flag)) {
          Flags broken = flags;
          broken[name] = bad;
          const std::string message = refusal(check, broken);
          EXPECT_NE(message.find("--" + name), std::string::npos)
              << check.name << " --" << name << " \"" << bad << "\": " << message;
          const std::string most(flag.most);
          EXPECT_NE(message.find(flag.text ? "Allowed: " : " to " + most), std::string::npos)
              << check.name << " --" << name << " \"" << bad << "\": " << message;
        }
        if (!flag.required) continue;
        Flags missing = flags;
        missing.erase(name);
        EXPECT_NE(refusal(check, missing).find("--" + name), std::string::npos)
            << check.name << " --" << name;
      }
    }
    for (const DeskFlag& flag : check.flags)
      EXPECT_GT(seen[std::string(flag.name)], 0) << check.name << " " << flag.name;
  }
}

TEST(DeskRefusals, FlagsThatExcludeEachOtherSaySo) {
  const testing::TempFolder folder;
  const auto find = [](std::string_view name) -> const DeskCheck& {
    for (const DeskCheck& check : desk_checks()) {
      if (check.name == name) return check;
    }
    throw base::BugError("no such check");
  };
  Flags gutter = {
      {"flow", "1ft3/s"}, {"spread", "9ft"}, {"grade", "1%"}, {"cross-slope", "2%"}, {"roughness", "0.016"}};
  EXPECT_NE(refusal(find("gutter"), gutter).find("one of --flow and --spread"), std::string::npos);
  gutter.erase("spread");
  gutter["crown-height"] = "5in";
  gutter["half-width"] = "15ft";
  EXPECT_NE(refusal(find("gutter"), gutter).find("parabolic"), std::string::npos);
  gutter.erase("crown-height");
  gutter.erase("cross-slope");
  EXPECT_NE(refusal(find("gutter"), gutter).find("--cross-slope"), std::string::npos);
  Flags travel = {{"kind", "gutter"},           {"length", "30m"},      {"grade", "1%"},
                  {"cross-slope", "2%"},        {"roughness", "0.016"}, {"flow", "0.01m3/s"},
                  {"upstream-flow", "0.02m3/s"}};
  EXPECT_NE(refusal(find("travel"), travel).find("--upstream-flow"), std::string::npos);
  Flags opening = {{"flow", "1ft3/s"},     {"grade", "1%"},    {"cross-slope", "2%"},
                   {"roughness", "0.016"}, {"length", "18in"}, {"cuts", "2.5"}};
  EXPECT_NE(refusal(find("opening"), opening).find("whole number"), std::string::npos);
  opening["cuts"] = "2";
  opening["depression"] = "2in";
  EXPECT_NE(refusal(find("opening"), opening).find("width"), std::string::npos);
}

TEST(DeskRefusals, FilesAreNamedWithTheirLine) {
  const testing::TempFolder folder;
  const auto sound = sound_flags(folder);
  for (const DeskCheck& check : desk_checks()) {
    for (Flags flags : sound.at(std::string(check.name))) {
      for (const char* name : {"inflow", "stage", "table"}) {
        if (flags.count(name) == 0) continue;
        Flags broken = flags;
        broken[name] = folder.write("broken.csv", "time_h,inflow_m3_s\n1,2\n0,x\n");
        EXPECT_NE(refusal(check, broken).find("broken.csv, line 3"), std::string::npos)
            << refusal(check, broken);
        broken[name] = folder.write("other.csv", "week,cubits\n1,2\n");
        EXPECT_NE(refusal(check, broken).find("other.csv"), std::string::npos) << refusal(check, broken);
        broken[name] = folder.file("none.csv");
        EXPECT_NE(refusal(check, broken).find("none.csv"), std::string::npos) << refusal(check, broken);
      }
    }
  }
}

}  // namespace
}  // namespace curbshed::cli
