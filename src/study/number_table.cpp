#include "curbshed/study/number_table.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fstream>
#include <optional>

#include <fmt/format.h>

namespace curbshed::study {
namespace {

using base::InputError;

constexpr std::size_t kMostRows = 100000;
constexpr std::string_view kAdvice =
    "give a CSV with a line of column names that end in their unit (time_h,inflow_m3_s or "
    "duration_min,2yr_mm), then "
    "lines of numbers";

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view kSpace = " \t\r\"";
  const std::size_t first = text.find_first_not_of(kSpace);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(kSpace) - first + 1);
}

std::vector<std::string_view> cells_of(std::string_view line) {
  std::vector<std::string_view> cells;
  for (;;) {
    const std::size_t comma = line.find(',');
    cells.push_back(trimmed(line.substr(0, comma)));
    if (comma == std::string_view::npos) return cells;
    line.remove_prefix(comma + 1);
  }
}

std::optional<double> number_in(std::string_view cell) {
  double value = 0.0;
  if (!cell.empty() && cell.front() == '+') cell.remove_prefix(1);
  const auto [end, status] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
  if (status != std::errc() || end != cell.data() + cell.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

std::string joined(const std::vector<std::string>& words) {
  std::string all;
  for (const std::string& word : words) all += (all.empty() ? "" : ", ") + word;
  return all;
}

std::string lower(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(), [](unsigned char c) {
    return c < 128 ? static_cast<char>(std::tolower(c)) : static_cast<char>(c);
  });
  return out;
}

NumberTable::Row read_row(const NumberTable& table, std::string_view line, std::size_t number) {
  const base::Where where{table.file, "", fmt::format("line {}", number)};
  const std::vector<std::string_view> cells = cells_of(line);
  if (cells.size() != table.names.size()) {
    throw InputError(where, fmt::format("it has {} values", cells.size()),
                     fmt::format("{} values, one a column", table.names.size()), std::string(kAdvice));
  }
  NumberTable::Row row{.line = number};
  for (std::size_t c = 0; c < cells.size(); ++c) {
    const std::optional<double> value = number_in(cells[c]);
    if (!value) {
      throw InputError(where, fmt::format("\"{}\" in column {} is no number", cells[c], table.names[c]),
                       "a finite number with a point for decimals", "mend that cell");
    }
    row.cells.push_back(*value);
  }
  return row;
}

}  // namespace

NumberTable read_number_table(const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  NumberTable table;
  table.file = file;
  std::string line;
  std::size_t number = 0;
  while (in && std::getline(in, line)) {
    ++number;
    std::string_view text = line;
    if (number == 1 && text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
    if (trimmed(text).empty() || trimmed(text).front() == '#') continue;
    if (table.names.empty()) {
      for (const std::string_view name : cells_of(text)) table.names.emplace_back(name);
      continue;
    }
    if (table.rows.size() == kMostRows) {
      throw InputError({file, "", ""}, "it has too many lines", fmt::format("at most {}", kMostRows),
                       "take longer steps");
    }
    table.rows.push_back(read_row(table, text, number));
  }
  if (table.rows.empty()) {
    throw InputError({file, "", ""},
                     table.names.empty() ? "it cannot be read, or is empty" : "it has no line of numbers",
                     "a CSV file", std::string(kAdvice));
  }
  return table;
}

NamedUnit split_unit(std::string_view column, base::Dimension dimension) {
  std::string text = lower(column);
  for (char& sign : text) {
    if (sign == '/' || sign == '[' || sign == '(' || sign == ' ') sign = '_';
  }
  while (!text.empty() && (text.back() == ']' || text.back() == ')')) text.pop_back();
  NamedUnit best;
  std::size_t longest = 0;
  std::string units = base::units_of(dimension);
  while (!units.empty()) {
    const std::size_t comma = units.find(", ");
    const std::string unit = units.substr(0, comma);
    units = comma == std::string::npos ? "" : units.substr(comma + 2);
    std::string ending = "_" + lower(unit);
    std::replace(ending.begin(), ending.end(), '/', '_');
    const bool ends =
        text.size() > ending.size() && text.compare(text.size() - ending.size(), ending.size(), ending) == 0;
    if (!ends || ending.size() <= longest) continue;
    longest = ending.size();
    best.name = text.substr(0, text.size() - ending.size());
    while (!best.name.empty() && best.name.back() == '_') best.name.pop_back();
    best.factor = base::unit_factor(unit, dimension);
  }
  return best;
}

std::vector<double> table_column(const NumberTable& table, std::string_view name, base::Dimension dimension) {
  std::optional<std::size_t> found;
  double factor = 0.0;
  bool twice = false;
  for (std::size_t c = 0; c < table.names.size(); ++c) {
    const NamedUnit unit = split_unit(table.names[c], dimension);
    if (unit.factor == 0.0 || unit.name != name) continue;
    twice = found.has_value();
    found = c;
    factor = unit.factor;
  }
  if (!found || twice) {
    std::string first = base::units_of(dimension);
    first = first.substr(0, first.find(','));
    std::replace(first.begin(), first.end(), '/', '_');
    throw InputError({table.file, "", ""},
                     fmt::format("its columns are {}: {} \"{}\" with a unit", joined(table.names),
                                 twice ? "more than one is" : "none is", name),
                     fmt::format("one column \"{}_\" with a unit: {}", name, base::units_of(dimension)),
                     fmt::format("name the column \"{}_{}\"", name, first));
  }
  std::vector<double> values;
  values.reserve(table.rows.size());
  for (const NumberTable::Row& row : table.rows) values.push_back(row.cells[*found] * factor);
  return values;
}

}  // namespace curbshed::study
