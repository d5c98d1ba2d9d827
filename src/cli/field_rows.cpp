#include "curbshed/cli/field_rows.hpp"

#include "curbshed/base/layer_fields.hpp"
#include "curbshed/base/names.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using study::FieldValue;

constexpr std::pair<const char*, FieldValue> kValues[] = {
    {"grade", FieldValue::Grade},
    {"cross_slope", FieldValue::CrossSlope},
    {"curb_height", FieldValue::CurbHeight},
    {"gutter_level", FieldValue::GutterLevel},
    {"rim_level", FieldValue::RimLevel},
    {"rim_below_curb", FieldValue::RimBelowCurb},
    {"infiltration", FieldValue::Infiltration},
};

/// Spreadsheets leave rows of commas.
bool blank(const StudyLayer& layer, std::size_t row) {
  for (std::size_t column = 0; column < layer.layer().table.columns.size(); ++column) {
    if (base::text_at(layer.layer(), row, column).find_first_not_of(" \t\r\n") != std::string::npos) {
      return false;
    }
  }
  return layer.shape(row).points.empty();
}

std::optional<bool> water_of(const StudyLayer& layer, std::size_t row) {
  const std::string word = base::plain_name(layer.text(row, "water"));
  if (word.empty()) {
    return std::nullopt;
  }
  if (word != "yes" && word != "no") {
    throw base::InputError(
        layer.where(row), fmt::format("water = \"{}\" is not known here", word), "yes or no",
        "write yes or no, or leave the cell empty where nobody looked; map other words with "
        "`classes`");
  }
  return word == "yes";
}

bool has_place(const StudyLayer& layer, std::size_t row) {
  const auto filled = [&](const char* field) { return !layer.text(row, field).empty(); };
  return !layer.shape(row).points.empty() || filled("x") || filled("y") || filled("longitude") ||
         filled("latitude") || filled("place") || filled("corner") || filled("distance");
}

}  // namespace

std::vector<study::FieldRow> field_rows(const StudyLayer& layer, SitePlaces& places) {
  std::vector<study::FieldRow> rows;
  for (std::size_t i = 0; i < layer.rows(); ++i) {
    if (blank(layer, i)) {
      continue;
    }
    study::FieldRow row;
    row.where = layer.where(i);
    row.by = fmt::format("{}, {}", layer.file().file, row.where.feature);
    const std::string cut = layer.text(i, "cut");
    const std::size_t first = cut.find_first_not_of(" \t");
    row.cut = first == std::string::npos ? "" : cut.substr(first, cut.find_last_not_of(" \t") - first + 1);
    if (row.cut.empty() && has_place(layer, i)) {
      row.at = places.of(layer, i);
    }
    for (const auto& one : kValues) {
      row.values[static_cast<std::size_t>(one.second)] = layer.measure(i, one.first);
    }
    row.water_seen = water_of(layer, i);
    row.method = layer.text(i, "method");
    row.date = layer.text(i, "date");
    row.words = layer.text(i, "words");
    rows.push_back(std::move(row));
  }
  return rows;
}

}  // namespace curbshed::cli
