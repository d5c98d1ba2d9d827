// Writes tables as CSV (RFC 4180).
#pragma once

#include "curbshed/base/table.hpp"

#include <map>
#include <string>

namespace curbshed::geodata {

struct CsvInfo {
  std::map<std::string, int> digits =
      {};  ///< column → digits after the point; others in the shortest form that reads back the same
};

/// Header of column names, lines ending in CR LF, `.` as decimal sign whatever the locale, absent cells
/// empty. Text that a spreadsheet would take for a formula (= + - @, tab or line end first) gets an
/// apostrophe before it.
std::string csv_text(const base::Table& table, const CsvInfo& info = {});

/// An existing file is replaced at the end, in one step. BugError for tables that base::check refuses,
/// InputError when the file cannot be written.
void write_csv(const std::string& path, const base::Table& table, const CsvInfo& info = {});

}  // namespace curbshed::geodata
