#include "curbshed/base/layer_fields.hpp"

#include <charconv>
#include <cmath>

#include <fmt/format.h>

namespace curbshed::base {

Where where_of(const MapLayer& layer, std::size_t row) {
  Where where;
  where.file = layer.source;
  where.feature = row < layer.ids.size() ? layer.ids[row] : fmt::format("row {}", row + 1);
  return where;
}

std::size_t field_column(const MapLayer& layer, std::string_view field) {
  const std::optional<std::size_t> column = layer.table.column(field);
  if (column) {
    return *column;
  }
  std::string known;
  for (const Column& existing : layer.table.columns) {
    known += known.empty() ? "" : ", ";
    known += existing.name;
  }
  throw InputError({.file = layer.source, .layer = {}, .feature = {}},
                   fmt::format("there is no field \"{}\"", field),
                   known.empty() ? "this layer has no fields" : fmt::format("the fields {}", known),
                   "name one of these in the study, or add the field to the layer");
}

std::optional<double> parse_number(std::string_view text) {
  constexpr std::string_view kMinus = "\u2212";
  constexpr std::string_view kSpace = " \t\r\n";
  const std::size_t first = text.find_first_not_of(kSpace);
  if (first == std::string_view::npos) {
    return std::nullopt;
  }
  text = text.substr(first, text.find_last_not_of(kSpace) - first + 1);
  double sign = 1.0;
  if (text.substr(0, kMinus.size()) == kMinus) {
    sign = -1.0;
    text.remove_prefix(kMinus.size());
  } else if (text.front() == '-' || text.front() == '+') {
    sign = text.front() == '-' ? -1.0 : 1.0;
    text.remove_prefix(1);
  }
  if (text.empty() || !((text.front() >= '0' && text.front() <= '9') || text.front() == '.')) {
    return std::nullopt;
  }
  double value = 0.0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (status != std::errc() || end != text.data() + text.size() || !std::isfinite(value)) {
    return std::nullopt;
  }
  return sign * value;
}

std::optional<double> number_at(const MapLayer& layer, std::size_t row, std::size_t column) {
  const Cell& cell = layer.table.rows.at(row).at(column);
  if (const std::int64_t* whole = std::get_if<std::int64_t>(&cell)) {
    return static_cast<double>(*whole);
  }
  if (const double* real = std::get_if<double>(&cell)) {
    return *real;
  }
  const std::string* text = std::get_if<std::string>(&cell);
  if (text == nullptr) {
    return std::nullopt;
  }
  const std::optional<double> number = parse_number(*text);
  if (!number) {
    throw InputError(where_of(layer, row),
                     fmt::format("field \"{}\" reads \"{}\"", layer.table.columns[column].name, *text),
                     "one number with a point as decimal sign, or nothing", "correct this feature");
  }
  return number;
}

std::string text_at(const MapLayer& layer, std::size_t row, std::size_t column) {
  const Cell& cell = layer.table.rows.at(row).at(column);
  if (const std::int64_t* whole = std::get_if<std::int64_t>(&cell)) {
    return fmt::format("{}", *whole);
  }
  if (const double* real = std::get_if<double>(&cell)) {
    return fmt::format("{}", *real);
  }
  const std::string* text = std::get_if<std::string>(&cell);
  return text == nullptr ? std::string() : *text;
}

}  // namespace curbshed::base
