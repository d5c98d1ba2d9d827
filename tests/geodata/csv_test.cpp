#include "curbshed/geodata/csv.hpp"

#include "curbshed/base/error.hpp"

#include "support/small_disk.hpp"
#include "support/temp_folder.hpp"

#include <clocale>
#include <filesystem>
#include <limits>

#include <gtest/gtest.h>

namespace curbshed::geodata {
namespace {

using base::ColumnType;

base::Table table() {
  base::Table made;
  made.name = "cuts";
  made.columns = {{"cut", "", "", ColumnType::Text},
                  {"peak_l_s", "", "L/s", ColumnType::Real},
                  {"cells", "", "", ColumnType::Integer}};
  made.rows = {{std::string("Kiln, \"north\""), 0.1, std::int64_t{-3}},
               {std::string("two\nlines"), 1e-9, std::monostate{}},
               {std::monostate{}, -0.0, std::int64_t{9007199254740993}}};
  return made;
}

TEST(Csv, QuotesAsRfc4180Says) {
  EXPECT_EQ(csv_text(table()),
            "cut,peak_l_s,cells\r\n"
            "\"Kiln, \"\"north\"\"\",0.1,-3\r\n"
            "\"two\nlines\",1e-09,\r\n"
            ",0,9007199254740993\r\n");
}

TEST(Csv, FixedDigitsWhereAsked) {
  base::Table t = table();
  t.rows = {{std::string("A"), 1234.5678, std::int64_t{1}}, {std::string("B"), -0.0004, std::int64_t{2}}};
  EXPECT_EQ(csv_text(t, {.digits = {{"peak_l_s", 2}}}), "cut,peak_l_s,cells\r\nA,1234.57,1\r\nB,0.00,2\r\n");
}

TEST(Csv, ShortestFormReadsBackTheSame) {
  base::Table t;
  t.columns = {{"x", "", "", ColumnType::Real}};
  t.rows = {{0.1 + 0.2}, {1.0 / 3.0}, {std::numeric_limits<double>::denorm_min()}, {1e300}};
  EXPECT_EQ(csv_text(t), "x\r\n0.30000000000000004\r\n0.3333333333333333\r\n5e-324\r\n1e+300\r\n");
}

TEST(Csv, TextThatLooksLikeAFormulaIsMadeHarmless) {
  base::Table t;
  t.columns = {{"note", "", "", ColumnType::Text}};
  t.rows = {{std::string("=1+1")}, {std::string("+1")},  {std::string("-1")},
            {std::string("@a")},   {std::string("a=1")}, {std::string("\tb")}};
  EXPECT_EQ(csv_text(t), "note\r\n'=1+1\r\n'+1\r\n'-1\r\n'@a\r\na=1\r\n'\tb\r\n");
}

TEST(Csv, TheLocaleDoesNotMatter) {
  const std::string before = std::setlocale(LC_ALL, nullptr);
  const std::string plain = csv_text(table());
  for (const char* locale : {"de_DE.UTF-8", "fr_FR.UTF-8", "es_MX.UTF-8", "C.UTF-8"}) {
    std::setlocale(LC_ALL, locale);
    EXPECT_EQ(csv_text(table()), plain);
  }
  std::setlocale(LC_ALL, before.c_str());
}

TEST(Csv, NumbersThatAreNotFiniteAreRefused) {
  base::Table t = table();
  t.rows[0][1] = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(csv_text(t), base::BugError);
}

TEST(Csv, WritesTheFileInOneStep) {
  const testing::TempFolder folder;
  const std::string file = folder.write("cuts.csv", "old");
  write_csv(file, table());
  EXPECT_EQ(testing::read_text(file), csv_text(table()));
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder.path()), {}), 1);
  EXPECT_THROW(write_csv(folder.file("no/such/folder/cuts.csv"), table()), base::InputError);
}

TEST(Csv, AFullDiskLeavesTheOldFileWhole) {
  const testing::TempFolder folder;
  const std::string file = folder.write("cuts.csv", "old");
  base::Table t = table();
  t.rows.assign(5000, std::vector<base::Cell>(t.rows[0]));
  {
    const testing::SmallDisk disk(10000);
    EXPECT_THROW(write_csv(file, t), base::InputError);
  }
  EXPECT_EQ(testing::read_text(file), "old");
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder.path()), {}), 1);
}

}  // namespace
}  // namespace curbshed::geodata
