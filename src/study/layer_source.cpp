#include "study/layer_source.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::study {
namespace {

using base::InputError;

class LayerReader {
 public:
  LayerReader(const std::string& path, const LayerKey& layer, const TomlValue& table, Settings& settings)
      : path_(path), layer_(layer), table_(table), settings_(settings) {}

  void read() {
    LayerSource& source = *layer_.source(settings_);
    const std::vector<std::string> known = {"file", "layer", "where", "crs", "fields", "classes"};
    for (const TomlValue& member : table_.children) {
      if (std::find(known.begin(), known.end(), member.key) == known.end()) {
        unknown_key(path_, member, layer_.part, known);
      }
      if (member.key == "fields") {
        read_fields(member, source);
        continue;
      }
      if (member.key == "classes") {
        read_classes(member, source);
        continue;
      }
      if (member.kind != TomlKind::Text || member.text.empty()) {
        throw InputError(where(member, layer_.part, member.key),
                         fmt::format("{} is no text", as_written(member)), "text",
                         fmt::format("write {} = \"…\"", member.key));
      }
      (member.key == "file"    ? source.file
       : member.key == "layer" ? source.layer
       : member.key == "crs"   ? source.crs
                               : source.where) = member.text;
      note_layer_key(member.key, member.text);
    }
    if (source.file.empty()) {
      throw InputError(where(table_, layer_.part, "file"), "the layer has no file", "a file that GDAL opens",
                       "write file = \"…\" in this part, or leave the part out");
    }
  }

 private:
  base::Where where(const TomlValue& value, std::string_view part, std::string_view name) const {
    return place_of(path_, value, part, name);
  }

  void read_fields(const TomlValue& table, LayerSource& source) {
    if (table.kind != TomlKind::Table) {
      throw InputError(where(table, layer_.part, "fields"),
                       fmt::format("{} is no table of fields", as_written(table)), "{ ours = \"THEIRS\" }",
                       "write fields = { id = \"NAME\" }");
    }
    std::vector<std::string> known;
    for (const FieldKey& field : layer_.fields) {
      known.emplace_back(field.name);
    }
    for (const TomlValue& member : table.children) {
      const auto found = std::find_if(layer_.fields.begin(), layer_.fields.end(),
                                      [&](const FieldKey& field) { return field.name == member.key; });
      if (found == layer_.fields.end()) {
        unknown_key(path_, member, full_name(layer_.part, "fields"), known);
      }
      source.fields[member.key] = field_of(*found, member);
      const LayerSource::Field& field = source.fields[member.key];
      note_layer_key(fmt::format("fields.{}", member.key),
                     field.unit.empty() ? field.name : fmt::format("{} in {}", field.name, field.unit));
    }
  }

  LayerSource::Field field_of(const FieldKey& key, const TomlValue& value) const {
    const std::string part = full_name(layer_.part, "fields");
    if (value.kind == TomlKind::Text && !value.text.empty()) {
      return {value.text, ""};
    }
    const TomlValue* name = value.member("field");
    const TomlValue* unit = value.member("unit");
    const std::size_t expected = (name != nullptr ? 1U : 0U) + (unit != nullptr ? 1U : 0U);
    if (value.kind != TomlKind::Table || name == nullptr || name->kind != TomlKind::Text ||
        name->text.empty() || value.children.size() != expected ||
        (unit != nullptr && unit->kind != TomlKind::Text)) {
      throw InputError(where(value, part, key.name), fmt::format("{} is no field", as_written(value)),
                       "\"THEIRS\" or { field = \"THEIRS\", unit = \"in\" }",
                       fmt::format("write {} = \"THEIRS\", or with a unit", key.name));
    }
    if (unit == nullptr) {
      return {name->text, ""};
    }
    if (!key.measure) {
      throw InputError(where(*unit, part, key.name), "this attribute is text and takes no unit", "\"THEIRS\"",
                       fmt::format("write {} = \"{}\"", key.name, name->text));
    }
    try {
      base::unit_factor(unit->text, key.dimension);
    } catch (const InputError&) {
      throw InputError(where(*unit, part, key.name),
                       fmt::format("\"{}\" is not a unit that fits here", unit->text),
                       base::units_of(key.dimension), "write one of these units");
    }
    return {name->text, unit->text};
  }

  void read_classes(const TomlValue& table, LayerSource& source) {
    if (table.kind != TomlKind::Table || layer_.classed_field.empty()) {
      throw InputError(
          where(table, layer_.part, "classes"),
          layer_.classed_field.empty() ? "this layer has no classes"
                                       : fmt::format("{} is no table of classes", as_written(table)),
          layer_.classed_field.empty() ? "file, layer, where, crs, fields" : "{ theirs = \"ours\" }",
          layer_.classed_field.empty() ? "leave it out" : "write classes = { theirs = \"ours\" }");
    }
    for (const TomlValue& member : table.children) {
      const bool known = layer_.classes.empty() || std::find(layer_.classes.begin(), layer_.classes.end(),
                                                             member.text) != layer_.classes.end();
      if (member.kind != TomlKind::Text || member.text.empty() || !known) {
        throw InputError(where(member, full_name(layer_.part, "classes"), member.key),
                         fmt::format("{} is not a class of ours", as_written(member)), joined(layer_.classes),
                         "write one of these words");
      }
      source.classes[member.key] = member.text;
      note_layer_key(fmt::format("classes.{}", member.key), member.text);
    }
  }

  void note_layer_key(std::string_view key, std::string text) {
    const std::string name = full_name(layer_.part, key);
    settings_.origin[name] = "study";
    settings_.written[name] = std::move(text);
  }

  const std::string& path_;
  const LayerKey& layer_;
  const TomlValue& table_;
  Settings& settings_;
};

/// Numbers only where no unit is needed; everything else is text.
std::string row_value(const std::string& path, const LayerKey& layer, const FieldKey& key,
                      const TomlValue& value) {
  const bool number = value.kind == TomlKind::Integer || value.kind == TomlKind::Real;
  const bool unitless = key.dimension == base::Dimension::Plain || key.dimension == base::Dimension::Slope;
  if (value.kind == TomlKind::Text) {
    return value.text;
  }
  if (number && !key.measure) {
    return as_written(value);  // a name such as 12
  }
  if (!number || !unitless) {
    throw InputError(place_of(path, value, layer.row_part, key.name),
                     fmt::format("{} {}", as_written(value), number ? "has no unit" : "is no text"),
                     key.measure && !unitless ? fmt::format("text with a number and one of the units {}",
                                                            base::units_of(key.dimension))
                                              : std::string("text in quotation marks"),
                     fmt::format("write {} = \"…\"", key.name));
  }
  return as_written(value);
}

}  // namespace

void read_layer(const std::string& path, const LayerKey& layer, const TomlValue& table, Settings& settings) {
  LayerReader(path, layer, table, settings).read();
}

void read_layer_rows(const std::string& path, const LayerKey& layer, const TomlValue& list,
                     Settings& settings) {
  const std::string form = fmt::format("[[{}]]", layer.row_part);
  std::vector<std::string> known;
  for (const FieldKey& field : layer.fields) {
    known.emplace_back(field.name);
  }
  const auto refuse = [&](const TomlValue& value) {
    throw InputError(place_of(path, value, layer.row_part, ""),
                     fmt::format("{} is no list of tables", as_written(value)), form,
                     fmt::format("write {} with two brackets", form));
  };
  if (list.kind != TomlKind::Array) {
    refuse(list);
  }
  for (const TomlValue& table : list.children) {
    if (table.kind != TomlKind::Table) {
      refuse(table);
    }
    HandFeature row;
    row.line = table.line;
    for (const TomlValue& member : table.children) {
      const auto key = std::find_if(layer.fields.begin(), layer.fields.end(),
                                    [&](const FieldKey& field) { return field.name == member.key; });
      if (key == layer.fields.end()) {
        unknown_key(path, member, layer.row_part, known);
      }
      row.values[member.key] = row_value(path, layer, *key, member);
    }
    layer.source(settings)->rows.push_back(std::move(row));
  }
}

}  // namespace curbshed::study
