#include "curbshed/geodata/csv.hpp"

#include "curbshed/base/error.hpp"

#include "gdal_support.hpp"

#include <cerrno>
#include <cstdio>
#include <cstring>

#include <fmt/format.h>

namespace curbshed::geodata {
namespace {

std::string quoted(const std::string& text) {
  const bool plain = text.find_first_of(",\"\r\n") == std::string::npos &&
                     (text.empty() || (text.front() != ' ' && text.back() != ' '));
  if (plain) {
    return text;
  }
  std::string out = "\"";
  for (const char c : text) {
    out += c;
    if (c == '"') {
      out += c;
    }
  }
  return out + '"';
}

std::string harmless(const std::string& text) {
  const bool formula =
      !text.empty() && std::string_view("=+-@\t\r\n").find(text.front()) != std::string_view::npos;
  return formula ? "'" + text : text;
}

std::string real_text(double value, const base::Column& column, const CsvInfo& info) {
  const auto fixed = info.digits.find(column.name);
  std::string text =
      fixed == info.digits.end() ? fmt::format("{}", value) : fmt::format("{:.{}f}", value, fixed->second);
  // No "-0.00".
  if (text.front() == '-' && text.find_first_not_of("-0.") == std::string::npos) {
    text.erase(0, 1);
  }
  return text;
}

std::string cell_text(const base::Cell& cell, const base::Column& column, const CsvInfo& info) {
  if (const std::int64_t* whole = std::get_if<std::int64_t>(&cell)) {
    return fmt::format("{}", *whole);
  }
  if (const double* real = std::get_if<double>(&cell)) {
    return real_text(*real, column, info);
  }
  const std::string* text = std::get_if<std::string>(&cell);
  return text == nullptr ? std::string() : quoted(harmless(*text));
}

}  // namespace

std::string csv_text(const base::Table& table, const CsvInfo& info) {
  base::check(table);
  std::string out;
  for (std::size_t c = 0; c < table.columns.size(); ++c) {
    out += c == 0 ? "" : ",";
    out += quoted(harmless(table.columns[c].name));
  }
  out += "\r\n";
  for (const std::vector<base::Cell>& row : table.rows) {
    for (std::size_t c = 0; c < row.size(); ++c) {
      out += c == 0 ? "" : ",";
      out += cell_text(row[c], table.columns[c], info);
    }
    out += "\r\n";
  }
  return out;
}

void write_csv(const std::string& path, const base::Table& table, const CsvInfo& info) {
  const std::string text = csv_text(table, info);
  detail::PartialFile file(path);
  std::FILE* out = std::fopen(file.partial().c_str(), "wb");
  bool good = out != nullptr;
  int reason = errno;
  if (out != nullptr) {
    good = std::fwrite(text.data(), 1, text.size(), out) == text.size();
    reason = errno;
    // The disk may turn out to be full only here.
    if (std::fclose(out) != 0) {
      reason = good ? errno : reason;
      good = false;
    }
  }
  if (!good) {
    throw base::InputError({.file = path, .layer = {}, .feature = {}},
                           fmt::format("could not be written: {}", std::strerror(reason)), {},
                           "check that the folder exists, may be written to and has room");
  }
  file.commit();
}

}  // namespace curbshed::geodata
