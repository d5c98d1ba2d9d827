#include "curbshed/study/rain_table.hpp"

#include "curbshed/base/error.hpp"

#include "support/temp_folder.hpp"

#include <gtest/gtest.h>

namespace curbshed::study {
namespace {

TEST(RainTable, DepthsAndRatesReadTheSame) {
  const testing::TempFolder folder;
  const std::string file =
      folder.write("rain.csv", "duration_min,2yr_mm,2yrrate_mm_h,10yr_in\n5,7,84,0.5\n60,22,22,1.2\n");
  const water::DepthCurve depths = read_depth_curve(file, "2yr");
  const water::DepthCurve rates = read_depth_curve(file, "2yrrate");
  ASSERT_EQ(depths.points.size(), 2U);
  for (std::size_t i = 0; i < 2; ++i) {
    EXPECT_NEAR(depths.points[i].depth_m, rates.points[i].depth_m, 1e-15);
    EXPECT_EQ(depths.points[i].duration_s, rates.points[i].duration_s);
  }
  EXPECT_NEAR(read_depth_curve(file, "10yr").points[1].depth_m, 1.2 * 0.0254, 1e-15);
}

TEST(RainTable, WhatIsMissingIsNamedWithTheFile) {
  const testing::TempFolder folder;
  const auto error_of = [&](const std::string& text, const std::string& column) -> std::string {
    try {
      read_depth_curve(folder.write("rain.csv", text), column);
    } catch (const base::InputError& error) {
      return error.what();
    }
    return "";
  };
  EXPECT_NE(error_of("duration_min,2yr_mm,10yr_mm\n5,7,9\n60,22,30\n", "").find("2yr, 10yr"),
            std::string::npos);
  EXPECT_NE(error_of("duration_min,2yr_mm\n5,7\n60,22\n", "5yr").find("rain.csv"), std::string::npos);
  EXPECT_NE(error_of("duration_min,rain\n5,7\n", "").find("none"), std::string::npos);
  EXPECT_NE(error_of("duration_min,2yr_mm\n60,22\n5,7\n", "2yr").find("row 2"), std::string::npos);
}

}  // namespace
}  // namespace curbshed::study
