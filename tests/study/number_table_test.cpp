#include "curbshed/study/number_table.hpp"

#include "curbshed/base/error.hpp"

#include "support/temp_folder.hpp"

#include <gtest/gtest.h>

namespace curbshed::study {
namespace {

using base::Dimension;

TEST(NumberTable, ColumnsAreFoundByNameAndUnit) {
  const testing::TempFolder folder;
  const NumberTable table = read_number_table(folder.write(
      "a.csv",
      "\xEF\xBB\xBF# made by hand\ntime_h,\"inflow [ft3/s]\",Stage (ft)\r\n\r\n0,1.5,2\n0.5,2,+3e0\n"));
  EXPECT_EQ(table_column(table, "time", Dimension::Duration), (std::vector<double>{0.0, 1800.0}));
  EXPECT_NEAR(table_column(table, "inflow", Dimension::Flow)[0], 1.5 * 0.028316846592, 1e-15);
  EXPECT_NEAR(table_column(table, "stage", Dimension::Length)[1], 0.9144, 1e-15);
  EXPECT_EQ(table.rows[1].line, 5U);
}

TEST(NumberTable, NamesComeApart) {
  EXPECT_EQ(split_unit("2yr_mm_h", Dimension::Rate).name, "2yr");
  EXPECT_EQ(split_unit("2yr_mm_h", Dimension::Length).factor, 0.0);
  EXPECT_EQ(split_unit("100yr_in", Dimension::Length).factor, 0.0254);
  EXPECT_EQ(split_unit("in", Dimension::Length).factor, 0.0);
}

TEST(NumberTable, WhatIsWrongIsNamed) {
  const testing::TempFolder folder;
  const auto error_of = [&](const std::string& text) -> std::string {
    try {
      const NumberTable table = read_number_table(folder.write("b.csv", text));
      table_column(table, "time", Dimension::Duration);
    } catch (const base::InputError& error) {
      return error.what();
    }
    return "";
  };
  EXPECT_NE(error_of("").find("cannot be read"), std::string::npos);
  EXPECT_NE(error_of("time_h\n").find("no line of numbers"), std::string::npos);
  EXPECT_NE(error_of("time_h,a_m\n1\n").find("line 2"), std::string::npos);
  EXPECT_NE(error_of("time_h\n1\nnan\n").find("line 3"), std::string::npos);
  EXPECT_NE(error_of("time_h\ninf\n").find("column time_h"), std::string::npos);
  EXPECT_NE(error_of("time\n1\n").find("none is \"time\""), std::string::npos);
  EXPECT_NE(error_of("time_h,time_s\n1,2\n").find("more than one"), std::string::npos);
  EXPECT_THROW(read_number_table(folder.file("none.csv")), base::InputError);
  EXPECT_THROW(read_number_table(folder.path()), base::InputError);
}

}  // namespace
}  // namespace curbshed::study
