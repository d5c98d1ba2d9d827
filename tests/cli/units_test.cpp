// One study written in SI and once more in US units gives the same numbers.
#include "support/program.hpp"
#include "support/small_study.hpp"

#include <cmath>
#include <string>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace curbshed::cli {
namespace {

using testing::run_program;
using testing::SmallStudy;
using testing::TempFolder;

constexpr double kAgree = 1e-9;

void expect_same(const nlohmann::json& a, const nlohmann::json& b, const std::string& where, int& numbers) {
  ASSERT_EQ(a.type(), b.type()) << where;
  if (a.is_object()) {
    ASSERT_EQ(a.size(), b.size()) << where;
    for (const auto& [key, value] : a.items()) {
      ASSERT_TRUE(b.contains(key)) << where << "." << key;
      expect_same(value, b.at(key), where + "." + key, numbers);
    }
  } else if (a.is_array()) {
    ASSERT_EQ(a.size(), b.size()) << where;
    for (std::size_t i = 0; i < a.size(); ++i)
      expect_same(a[i], b[i], where + "[" + std::to_string(i) + "]", numbers);
  } else if (a.is_number()) {
    const double x = a.get<double>();
    const double y = b.get<double>();
    EXPECT_LE(std::abs(x - y), kAgree * std::max(1.0, std::abs(x))) << where << ": " << x << " and " << y;
    ++numbers;
  } else {
    EXPECT_EQ(a, b) << where;
  }
}

/// Replaces everything from [rain] on.
std::string with_measures(const std::string& rest) {
  const std::string study = SmallStudy::study();
  return study.substr(0, study.find("[rain]")) + rest;
}

nlohmann::json summary_of(const TempFolder& folder, const std::string& name, const std::string& study) {
  folder.write(name + ".toml", study);
  const testing::Ran ran = run_program(folder, "run " + name + ".toml --out " + name + " -q");
  EXPECT_EQ(ran.exit_code, 0) << ran.err;
  return nlohmann::json::parse(testing::read_text(folder.file(name + "/summary.json")));
}

TEST(Units, OneCaseInSiAndInUsUnitsAgrees) {
  const TempFolder folder;
  SmallStudy::write(folder);
  const nlohmann::json si = summary_of(folder, "si", with_measures(R"([rain]
common_depth = "10.16 mm"
two_year_1h = "22.86 mm"
ten_year_1h = "35.56 mm"
sheet_limit = "30.48 m"
[basin]
opening = "0.4572 m"
length = "3.048 m"
width = "1.524 m"
ponding = "0.1524 m"
setback = "0.3048 m"
infiltration = "25.4 mm/h"
infiltration_origin = "measured"
)"));
  const nlohmann::json us = summary_of(folder, "us", with_measures(R"([rain]
common_depth = "0.4 in"
two_year_1h = "0.9 in"
ten_year_1h = "1.4 in"
sheet_limit = "100 ft"
[basin]
opening = "18 in"
length = "10 ft"
width = "5 ft"
ponding = "6 in"
setback = "1 ft"
infiltration = "1 in/h"
infiltration_origin = "measured"
)"));
  int numbers = 0;
  expect_same(si, us, "summary", numbers);
  EXPECT_GT(numbers, 200);
}

}  // namespace
}  // namespace curbshed::cli
