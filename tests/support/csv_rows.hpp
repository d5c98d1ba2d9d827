// Reads tables that the program or a sample wrote.
#pragma once

#include <map>
#include <string>
#include <vector>

namespace curbshed::testing {

using CsvRow = std::map<std::string, std::string>;

/// Rows of a CSV text by column name; cells may stand in quotation marks.
inline std::vector<CsvRow> csv_rows(const std::string& text) {
  std::vector<std::vector<std::string>> lines(1, std::vector<std::string>(1));
  bool quoted = false;
  for (const char c : text) {
    if (c == '"') {
      quoted = !quoted;
    } else if (quoted) {
      lines.back().back() += c;
    } else if (c == ',') {
      lines.back().emplace_back();
    } else if (c == '\n') {
      lines.emplace_back(1);
    } else if (c != '\r') {
      lines.back().back() += c;
    }
  }
  std::vector<CsvRow> rows;
  for (std::size_t i = 1; i < lines.size(); ++i) {
    if (lines[i].size() != lines[0].size()) continue;
    CsvRow row;
    for (std::size_t k = 0; k < lines[0].size(); ++k) row[lines[0][k]] = lines[i][k];
    rows.push_back(row);
  }
  return rows;
}

inline std::map<std::string, CsvRow> csv_rows_by_id(const std::string& text) {
  std::map<std::string, CsvRow> rows;
  for (const CsvRow& row : csv_rows(text)) rows[row.at("id")] = row;
  return rows;
}

}  // namespace curbshed::testing
