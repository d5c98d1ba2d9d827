#include "curbshed/cli/field_rows.hpp"

#include "curbshed/base/layer_fields.hpp"
#include "curbshed/base/names.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

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

std::string trimmed(const std::string& text) {
  const std::size_t first = text.find_first_not_of(" \t");
  return first == std::string::npos ? "" : text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

/// The value of a level and how it counts; heights are above the top of the curb.
std::pair<FieldValue, double> level_of(const StudyLayer& layer, std::size_t row) {
  constexpr double kHighestCurb_m = 0.6;
  const std::string word = base::plain_name(layer.text(row, "what"));
  const std::optional<double> height_m = layer.measure(row, "height");
  if (word != "walk" && word != "doorway" && word != "gutter") {
    throw base::InputError(layer.where(row),
                           word.empty() ? std::string("the row does not say what was measured")
                                        : fmt::format("what = \"{}\" is not known here", word),
                           "walk, doorway or gutter", "write one of these; map other words with `classes`");
  }
  if (!height_m) {
    throw base::InputError(layer.where(row), "the row has no height",
                           "a height with its unit, as -6 in; above the top of the curb is positive",
                           "write the height, or take the row out");
  }
  if (word == "walk") {
    return {FieldValue::RimBelowCurb, -*height_m};
  }
  if (word == "doorway") {
    return {FieldValue::DoorwayAboveCurb, *height_m};
  }
  if (*height_m > 0.0 || *height_m < -kHighestCurb_m) {
    throw base::InputError(layer.where(row),
                           fmt::format("the gutter {:g} m {} the top of the curb is no gutter",
                                       std::abs(*height_m), *height_m > 0.0 ? "above" : "below"),
                           "-60 cm to 0 cm: it lies below the top of the curb",
                           "write a minus before it; check the unit");
  }
  return {FieldValue::CurbHeight, -*height_m};
}

/// Who says it, and of which cut.
study::FieldRow begun(const StudyLayer& layer, std::size_t i) {
  study::FieldRow row;
  row.where = layer.where(i);
  row.by = fmt::format("{}, {}", layer.file().file, row.where.feature);
  row.cut = trimmed(layer.text(i, "cut"));
  return row;
}

}  // namespace

std::vector<study::FieldRow> field_rows(const StudyLayer& layer, SitePlaces& places) {
  std::vector<study::FieldRow> rows;
  for (std::size_t i = 0; i < layer.rows(); ++i) {
    if (blank(layer, i)) {
      continue;
    }
    study::FieldRow row = begun(layer, i);
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

std::vector<study::FieldRow> level_rows(const StudyLayer& layer) {
  std::vector<study::FieldRow> rows;
  for (std::size_t i = 0; i < layer.rows(); ++i) {
    if (blank(layer, i)) {
      continue;
    }
    study::FieldRow row = begun(layer, i);
    if (row.cut.empty()) {
      throw base::InputError(row.where, "the row names no cut", "an id in the column cut",
                             "write the id of a cut as in cuts.csv of the results");
    }
    const auto [what, value] = level_of(layer, i);
    row.values[static_cast<std::size_t>(what)] = value;
    row.error_m = layer.measure(i, "error");
    row.method = layer.text(i, "method");
    row.date = layer.text(i, "date");
    rows.push_back(std::move(row));
  }
  return rows;
}

}  // namespace curbshed::cli
