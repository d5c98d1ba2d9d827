// Every key of a study, declared once: reader, docs and manifest come from this table.
#pragma once

#include "curbshed/base/measure_text.hpp"
#include "curbshed/study/settings.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace curbshed::study {

/// Months: twelve measures, January first. Words: a list of texts.
enum class KeyForm : std::uint8_t { Text, Choice, Measure, Numbers, Months, Words, Switch };

/// Where a value goes. The slots of `rain.storm` write to the last storm.
using KeySlot = std::variant<double* (*)(Settings&), std::optional<double>* (*)(Settings&),
                             std::string* (*)(Settings&), bool* (*)(Settings&),
                             std::vector<double>* (*)(Settings&), std::vector<std::string>* (*)(Settings&)>;

struct StudyKey {
  std::string_view part;  ///< "basin"; "" = before the first part; "rain.storm" = each further storm
  std::string_view name;
  KeyForm form = KeyForm::Text;
  base::Dimension dimension = base::Dimension::Plain;  ///< Measure and Months only
  bool required = false;
  std::string_view fallback;  ///< as a study would say it ("18 in"); "" = none
  std::string_view least;     ///< of a measure: smallest and largest value allowed, as a study would say them
  std::string_view most;
  std::vector<std::string_view> choices;  ///< Choice only
  std::string_view doc;                   ///< one sentence
  KeySlot slot;
};
const std::vector<StudyKey>& study_keys();

/// Label of the coefficients of openings as built.
inline constexpr std::string_view kOpeningEdition = "HEC-22, 3rd ed., 2009";

/// An attribute that a layer may bring along.
struct FieldKey {
  std::string_view name;
  bool measure = false;                                ///< number with a unit; else text
  base::Dimension dimension = base::Dimension::Plain;  ///< of a measure
  std::string_view least;                              ///< of a measure, as text
  std::string_view most;
  std::string_view doc;
};

/// One layer of the user's: a sub-table with `file`, `layer`, `where`, `fields`, `classes`.
struct LayerKey {
  std::string_view part;   ///< "street.curbs"
  std::string_view shape;  ///< "lines", "polygons", "points"
  bool required = false;
  std::string_view doc;
  std::vector<FieldKey> fields;
  std::string_view classed_field;         ///< field that `classes` translates; "" = none
  std::vector<std::string_view> classes;  ///< what it may be translated to
  LayerSource* (*source)(Settings&) = nullptr;
  std::string_view row_part;  ///< "street.cut": features may be written into the study as [[street.cut]]; ""
};
const std::vector<LayerKey>& study_layers();

/// What each part is for, in the order of the docs: {"ground", "…"}.
struct StudyPart {
  std::string_view name;
  std::string_view doc;
};
const std::vector<StudyPart>& study_parts();

}  // namespace curbshed::study
