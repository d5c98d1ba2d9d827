#include "curbshed/study/settings.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/study/study_keys.hpp"

#include "study/layer_source.hpp"
#include "study/setting_checks.hpp"
#include "study/toml_document.hpp"

#include <algorithm>
#include <filesystem>
#include <numeric>

#include <fmt/format.h>

namespace curbshed::study {
namespace {

using base::InputError;
using base::Where;

/// Unit of a measure written as text: "18 in" → "in".
std::string_view unit_in(std::string_view written) {
  const std::size_t space = written.rfind(' ');
  return space == std::string_view::npos ? std::string_view{} : written.substr(space + 1);
}

constexpr std::size_t kMonthsAYear = 12;

class Reader {
 public:
  explicit Reader(const std::string& path) : path_(path) {}

  Settings read() {
    const TomlValue root = read_toml(path_);
    settings_.file = path_;
    settings_.folder = std::filesystem::path(path_).parent_path().string();
    check_format(root);
    read_part(root, "");
    require_and_default();
    check_together(settings_);
    return std::move(settings_);
  }

 private:
  Where where(const TomlValue& value, std::string_view part, std::string_view name) const {
    return place_of(path_, value, part, name);
  }

  void check_format(const TomlValue& root) const {
    const char* next = "write `format = 1` as the first line of the study";
    if (root.children.empty()) {
      throw InputError({path_, "", ""}, "the study is empty", "format = 1 and the parts of a study", next);
    }
    const TomlValue& first = root.children.front();
    if (first.key != "format") {
      throw InputError(where(first, "", first.key), "the first key is not `format`", "format = 1", next);
    }
    if (first.kind != TomlKind::Integer || first.number != 1.0) {
      throw InputError(where(first, "", "format"),
                       fmt::format("format {} is not known to this version", as_written(first)), "1", next);
    }
  }

  void read_part(const TomlValue& table, const std::string& part) {
    for (const TomlValue& member : table.children) {
      if (part.empty() && member.key == "format") {
        continue;
      }
      const std::string name = full_name(part, member.key);
      if (const StudyKey* key = find_key(part, member.key)) {
        store(*key, member);
      } else if (const LayerKey* layer = find_layer(name)) {
        read_layer(path_, *layer, must_be_table(member, part), settings_);
      } else if (const LayerKey* rows = find_row_layer(name)) {
        read_layer_rows(path_, *rows, member, settings_);
      } else if (name == "rain.storm") {
        read_storms(member);
      } else if (is_part(name)) {
        part_line_[name] = member.line;
        read_part(must_be_table(member, part), name);
      } else {
        unknown_key(path_, member, part, names_in(part));
      }
    }
  }

  const TomlValue& must_be_table(const TomlValue& member, const std::string& part) const {
    if (member.kind != TomlKind::Table) {
      throw InputError(
          where(member, part, member.key), fmt::format("{} is no part of a study", as_written(member)),
          "a table",
          fmt::format("write [{}] on a line of its own and its keys below", full_name(part, member.key)));
    }
    return member;
  }

  static const StudyKey* find_key(std::string_view part, std::string_view name) {
    for (const StudyKey& key : study_keys()) {
      if (key.part == part && key.name == name) {
        return &key;
      }
    }
    return nullptr;
  }

  static const LayerKey* find_layer(std::string_view part) {
    for (const LayerKey& layer : study_layers()) {
      if (layer.part == part) {
        return &layer;
      }
    }
    return nullptr;
  }

  static const LayerKey* find_row_layer(std::string_view part) {
    for (const LayerKey& layer : study_layers()) {
      if (!layer.row_part.empty() && layer.row_part == part) {
        return &layer;
      }
    }
    return nullptr;
  }

  static bool is_part(std::string_view name) {
    const auto& parts = study_parts();
    return std::any_of(parts.begin(), parts.end(), [&](const StudyPart& part) { return part.name == name; });
  }

  static std::vector<std::string> names_in(std::string_view part) {
    std::vector<std::string> names;
    for (const StudyKey& key : study_keys()) {
      if (key.part == part) {
        names.emplace_back(key.name);
      }
    }
    const std::string prefix = part.empty() ? std::string() : fmt::format("{}.", part);
    for (const LayerKey& layer : study_layers()) {
      if (!part.empty() && layer.part.substr(0, prefix.size()) == prefix) {
        names.emplace_back(layer.part.substr(prefix.size()));
      }
      if (!part.empty() && layer.row_part.substr(0, prefix.size()) == prefix) {
        names.emplace_back(layer.row_part.substr(prefix.size()));
      }
    }
    for (const StudyPart& known : study_parts()) {
      if (part.empty() ? known.name.find('.') == std::string_view::npos
                       : known.name.substr(0, prefix.size()) == prefix) {
        names.emplace_back(known.name.substr(prefix.size()));
      }
    }
    if (part == "rain") {
      names.emplace_back("storm");
    }
    return names;
  }

  void store(const StudyKey& key, const TomlValue& value) {
    const std::string name = full_name(key.part, key.name);
    const std::optional<TomlValue> placeholder = placeholder_of(key, value);
    put(key, placeholder ? *placeholder : value);
    const bool assumed = placeholder || (key.form == KeyForm::Choice && value.text == kAssumed);
    settings_.origin[name] = assumed ? kAssumed : "study";
    settings_.written[name] = value.kind == TomlKind::Text ? value.text : as_written(value);
  }

  /// "20 mm assumed" → "20 mm".
  static std::optional<TomlValue> placeholder_of(const StudyKey& key, const TomlValue& value) {
    const std::string& text = value.text;
    if (key.form != KeyForm::Measure || value.kind != TomlKind::Text || text.size() <= kAssumed.size() + 1 ||
        text.compare(text.size() - kAssumed.size(), kAssumed.size(), kAssumed) != 0 ||
        text[text.size() - kAssumed.size() - 1] != ' ') {
      return std::nullopt;
    }
    TomlValue plain = value;
    plain.text.resize(text.size() - kAssumed.size() - 1);
    return plain;
  }

  void put(const StudyKey& key, const TomlValue& value) {
    switch (key.form) {
      case KeyForm::Text:
        *slot<std::string>(key) = text_of(key, value, "any text");
        return;
      case KeyForm::Choice: {
        const std::string text = text_of(key, value, joined(key.choices));
        if (std::find(key.choices.begin(), key.choices.end(), text) == key.choices.end()) {
          throw InputError(where(value, key.part, key.name), fmt::format("\"{}\" is not known here", text),
                           joined(key.choices), "write one of these words");
        }
        *slot<std::string>(key) = text;
        return;
      }
      case KeyForm::Switch:
        if (value.kind != TomlKind::Switch) {
          throw InputError(where(value, key.part, key.name),
                           fmt::format("{} is neither true nor false", as_written(value)), "true, false",
                           "write true or false, without quotation marks");
        }
        *slot<bool>(key) = value.flag;
        return;
      case KeyForm::Numbers:
        *slot<std::vector<double>>(key) = numbers_of(key, value);
        return;
      case KeyForm::Months:
        *slot<std::vector<double>>(key) = months_of(key, value);
        return;
      case KeyForm::Words:
        *slot<std::vector<std::string>>(key) = words_of(key, value);
        return;
      case KeyForm::Measure:
        put_measure(key, measure_of(key, value));
        return;
    }
  }

  template <class T>
  T* slot(const StudyKey& key) {
    return std::get<T* (*)(Settings&)>(key.slot)(settings_);
  }

  void put_measure(const StudyKey& key, double value) {
    if (std::holds_alternative<std::optional<double>* (*)(Settings&)>(key.slot)) {
      *slot<std::optional<double>>(key) = value;
    } else {
      *slot<double>(key) = value;
    }
  }

  std::string text_of(const StudyKey& key, const TomlValue& value, const std::string& allowed) const {
    if (value.kind != TomlKind::Text || value.text.empty()) {
      throw InputError(where(value, key.part, key.name),
                       value.kind == TomlKind::Text ? "the text is empty"
                                                    : fmt::format("{} is no text", as_written(value)),
                       allowed, fmt::format("write {} = \"…\"", key.name));
    }
    return value.text;
  }

  std::vector<double> numbers_of(const StudyKey& key, const TomlValue& value) const {
    std::vector<double> numbers;
    bool good = value.kind == TomlKind::Array && value.children.size() >= 1 && value.children.size() <= 1000;
    for (const TomlValue& item : value.children) {
      good = good && (item.kind == TomlKind::Integer || item.kind == TomlKind::Real) && item.number >= 0.0 &&
             item.number < 1e9;
      numbers.push_back(item.number);
    }
    if (!good || !(std::accumulate(numbers.begin(), numbers.end(), 0.0) > 0.0)) {
      throw InputError(where(value, key.part, key.name),
                       fmt::format("{} is no list of relative depths", as_written(value)),
                       "1 to 1000 numbers of 0 or more, not all 0", "write one number a block, as [1, 3, 2]");
    }
    return numbers;
  }

  std::vector<std::string> words_of(const StudyKey& key, const TomlValue& value) const {
    std::vector<std::string> words;
    bool good = value.kind == TomlKind::Array;
    for (const TomlValue& item : value.children) {
      good = good && item.kind == TomlKind::Text && !item.text.empty();
      words.push_back(item.text);
    }
    if (!good) {
      throw InputError(where(value, key.part, key.name),
                       fmt::format("{} is no list of texts", as_written(value)), "a list of texts",
                       fmt::format("write {} = [\"…\", \"…\"]", key.name));
    }
    return words;
  }

  std::vector<double> months_of(const StudyKey& key, const TomlValue& value) const {
    if (value.kind != TomlKind::Array || value.children.size() != kMonthsAYear) {
      throw InputError(
          where(value, key.part, key.name),
          value.kind == TomlKind::Array
              ? fmt::format("the list has {} values for 12 months", value.children.size())
              : fmt::format("{} is no list", as_written(value)),
          fmt::format("12 values of {} to {}, January first", key.least, key.most),
          key.dimension == base::Dimension::Plain ? "write [1.5, 2, …]" : "write [\"12 mm\", \"9 mm\", …]");
    }
    std::vector<double> values;
    for (const TomlValue& month : value.children) values.push_back(measure_of(key, month));
    return values;
  }

  double measure_of(const StudyKey& key, const TomlValue& value) const {
    const Where place = where(value, key.part, key.name);
    const std::string range = fmt::format("{} to {}", key.least, key.most);
    const bool unitless = key.dimension == base::Dimension::Plain || key.dimension == base::Dimension::Slope;
    double number = 0.0;
    if (value.kind == TomlKind::Integer || value.kind == TomlKind::Real) {
      if (!unitless) {
        const std::string_view unit = unit_in(key.fallback.empty() ? key.most : key.fallback);
        throw InputError(place, fmt::format("{} has no unit", as_written(value)),
                         fmt::format("text with a number and one of the units {}; {}",
                                     base::units_of(key.dimension), range),
                         fmt::format("write the unit that is meant, for example {} = \"{} {}\"", key.name,
                                     as_written(value), unit));
      }
      number = value.number;
    } else if (value.kind == TomlKind::Text) {
      try {
        number = base::parse_measure(value.text, key.dimension);
      } catch (const InputError& error) {
        throw InputError(place, error.met(), fmt::format("{}; {}", error.allowed(), range), error.next());
      }
    } else {
      throw InputError(
          place, fmt::format("{} is no number with a unit", as_written(value)), range,
          fmt::format("write {} = \"{}\"", key.name, key.fallback.empty() ? key.most : key.fallback));
    }
    const double least = base::parse_measure(key.least, key.dimension);
    const double most = base::parse_measure(key.most, key.dimension);
    if (!(number >= least && number <= most)) {
      throw InputError(place, fmt::format("{} is out of range", as_written(value)), range,
                       "write a value in this range; check the unit");
    }
    return number;
  }

  void read_storms(const TomlValue& list) {
    if (list.kind != TomlKind::Array) {
      throw InputError(where(list, "rain", "storm"), fmt::format("{} is no list of storms", as_written(list)),
                       "[[rain.storm]] with id, depth, duration, shape",
                       "write [[rain.storm]] with two brackets");
    }
    for (const TomlValue& table : list.children) {
      if (table.kind != TomlKind::Table) {
        throw InputError(where(table, "rain", "storm"), fmt::format("{} is no storm", as_written(table)),
                         "[[rain.storm]] with id, depth, duration, shape",
                         "write [[rain.storm]] with two brackets");
      }
      settings_.rain.storms.emplace_back();
      read_storm(table);
    }
  }

  void read_storm(const TomlValue& table) {
    const std::string part = "rain.storm";
    for (const TomlValue& member : table.children) {
      const StudyKey* key = find_key(part, member.key);
      if (key == nullptr) {
        unknown_key(path_, member, part, names_in(part));
      }
      put(*key, member);
    }
    StormSetting& storm = settings_.rain.storms.back();
    for (const StudyKey& key : study_keys()) {
      if (key.part == part && key.required && table.member(key.name) == nullptr) {
        missing(key, table.line);
      }
    }
    const TomlValue& id = *table.member("id");
    const bool plain = std::all_of(storm.id.begin(), storm.id.end(), [](char c) {
      return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_';
    });
    bool taken = storm.id == "common" || storm.id == "two_year" || storm.id == "ten_year";
    for (std::size_t i = 0; i + 1 < settings_.rain.storms.size(); ++i) {
      taken = taken || settings_.rain.storms[i].id == storm.id;
    }
    if (!plain || taken) {
      throw InputError(where(id, part, "id"),
                       taken ? fmt::format("there is another storm \"{}\"", storm.id)
                             : fmt::format("\"{}\" cannot name files", storm.id),
                       "small letters, digits and _; each once; not common, two_year, ten_year",
                       "choose another id");
    }
    check_kind(table, storm);
    const std::string entry = fmt::format("rain.storm.{}", storm.id);
    for (const TomlValue& member : table.children) {
      const std::string name = fmt::format("{}.{}", entry, member.key);
      settings_.origin[name] = "study";
      settings_.written[name] = member.kind == TomlKind::Text ? member.text : as_written(member);
    }
  }

  /// Which keys a kind of storm needs, and which it cannot have.
  void check_kind(const TomlValue& table, const StormSetting& storm) const {
    const bool from_table = storm.kind == "alternating" || storm.kind == "chicago";
    const bool day = !storm.kind.empty() && !from_table;
    struct Rule {
      const char* key;
      bool needed;
      bool possible;
    };
    const Rule rules[] = {{"depth", !from_table, !from_table}, {"table", from_table, from_table},
                          {"column", false, from_table},       {"peak_at", false, storm.kind == "chicago"},
                          {"duration", false, !day},           {"shape", false, storm.kind.empty()}};
    const std::string what = storm.kind.empty() ? std::string("a storm without `kind`")
                                                : fmt::format("a storm of kind {}", storm.kind);
    for (const Rule& rule : rules) {
      const TomlValue* given = table.member(rule.key);
      if (given != nullptr ? rule.possible : !rule.needed) continue;
      throw InputError(
          given != nullptr ? where(*given, "rain.storm", rule.key)
                           : where(*table.member("id"), "rain.storm", rule.key),
          given != nullptr ? fmt::format("{} has no {}", what, rule.key)
                           : fmt::format("{} needs {}", what, rule.key),
          "kind I, IA, II, III: depth · alternating, chicago: table and duration · none: depth, duration, "
          "shape",
          given != nullptr ? fmt::format("take {} out", rule.key) : fmt::format("add {}", rule.key));
    }
  }

  [[noreturn]] void missing(const StudyKey& key, std::int64_t line) const {
    const std::string_view unit = key.form == KeyForm::Measure ? unit_in(key.most) : std::string_view{};
    std::string allowed =
        key.form == KeyForm::Measure ? fmt::format("{} to {}", key.least, key.most) : "a text";
    if (key.form == KeyForm::Choice) {
      allowed = joined(key.choices);
    }
    const std::string file = line > 0 ? fmt::format("{}:{}", path_, line) : path_;
    throw InputError({file, fmt::format("[{}]", key.part), std::string(key.name)},
                     fmt::format("a required key is missing. {}", key.doc), allowed,
                     unit.empty() ? fmt::format("add {} = \"…\" to [{}]", key.name, key.part)
                                  : fmt::format("add {} = \"… {}\" to [{}]", key.name, unit, key.part));
  }

  std::int64_t line_of(const std::string& part) const {
    const auto found = part_line_.find(part);
    return found == part_line_.end() ? 0 : found->second;
  }

  void require_and_default() {
    for (const StudyKey& key : study_keys()) {
      const std::string name = full_name(key.part, key.name);
      if (key.part == "rain.storm" || settings_.origin.count(name) > 0) {
        continue;
      }
      if (key.required) {
        missing(key, line_of(std::string(key.part)));
      }
      if (key.fallback.empty()) {
        continue;
      }
      TomlValue value;
      value.kind = key.form == KeyForm::Switch ? TomlKind::Switch : TomlKind::Text;
      value.text = key.fallback;
      value.flag = key.fallback == "true";
      put(key, value);
      settings_.origin[name] = "default";
      settings_.written[name] = key.fallback;
    }
    for (const LayerKey& layer : study_layers()) {
      if (layer.required && !layer.source(settings_)->given()) {
        throw InputError(
            {path_, fmt::format("[{}]", layer.part), "file"},
            fmt::format("a required layer is missing. {}", layer.doc), "a file that GDAL opens",
            fmt::format("add [{}] with file = \"…\"{}", layer.part,
                        layer.row_part.empty() ? std::string() : fmt::format(", or [[{}]]", layer.row_part)));
      }
    }
  }

  std::string path_;
  Settings settings_;
  std::map<std::string, std::int64_t> part_line_;
};

}  // namespace

bool has_months(const Settings& settings) {
  return !settings.rain.month_rain_m.empty() && !settings.rain.wet_days.empty() &&
         !settings.trees.reference_et_m.empty();
}

std::vector<std::string> assumed_keys(const Settings& settings) {
  std::vector<std::string> names;
  for (const auto& entry : settings.origin) {
    if (entry.second == kAssumed) {
      names.push_back(entry.first);
    }
  }
  return names;
}

Settings read_study(const std::string& path) { return Reader(path).read(); }

}  // namespace curbshed::study
