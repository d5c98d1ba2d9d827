// Small tables of numbers: CSV whose column names end in their unit.
#pragma once

#include "curbshed/base/measure_text.hpp"

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace curbshed::study {

/// A CSV file: a line of column names, then numbers. `.` as decimal sign, blank lines and lines that begin
/// with # passed over. At most 100,000 rows.
struct NumberTable {
  struct Row {
    std::size_t line = 0;
    std::vector<double> cells = {};
  };
  std::string file;
  std::vector<std::string> names = {};
  std::vector<Row> rows = {};
};
/// InputError (file, line, column) for a file that cannot be read, a line of another length, a cell that is
/// no finite number, no rows.
NumberTable read_number_table(const std::string& file);

/// The column "time_h", "inflow_ft3_s", "stage [ft]", "rain (mm/h)" for a name ("time") and what it measures;
/// values in SI. InputError that lists the columns when there is none or more than one.
std::vector<double> table_column(const NumberTable& table, std::string_view name, base::Dimension dimension);

/// A column name taken apart: "2yr_mm_h" → "2yr", factor of mm/h. No unit of that dimension at its end →
/// factor 0.
struct NamedUnit {
  std::string name;
  double factor = 0.0;
};
NamedUnit split_unit(std::string_view column, base::Dimension dimension);

}  // namespace curbshed::study
