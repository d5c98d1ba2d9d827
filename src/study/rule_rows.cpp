#include "curbshed/study/rule_rows.hpp"

#include "study/toml_document.hpp"

#include <cmath>

#include <fmt/format.h>

namespace curbshed::study {
namespace {

using base::InputError;

const std::vector<std::string>& row_keys() {
  static const std::vector<std::string> keys = {"id",      "on",    "for",    "unit",  "direction",
                                                "look_at", "limit", "source", "whose", "note"};
  return keys;
}

class RuleReader {
 public:
  explicit RuleReader(const std::string& file) { out_.file = file; }

  RuleRows read(const TomlValue& root) {
    if (root.children.empty()) {
      throw InputError({out_.file, "", ""}, "the table of rules is empty", "format = 1 and rows [[rule]]",
                       "leave [rules] file out to use the built-in rules");
    }
    for (const TomlValue& member : root.children) {
      if (member.key == "format") {
        check_format(member);
      } else if (member.key == "rule") {
        read_rows(member);
      } else {
        throw InputError(at(member.line, member.key),
                         fmt::format("there is no `{}` in a table of rules", member.key), "format, [[rule]]",
                         fmt::format("write `{}` if that is what was meant",
                                     nearest_word(member.key, {"format", "rule"})));
      }
    }
    if (root.children.front().key != "format") {
      throw InputError(at(root.children.front().line, root.children.front().key),
                       "the first key is not `format`", "format = 1", "write `format = 1` as the first line");
    }
    return std::move(out_);
  }

 private:
  base::Where at(std::int64_t line, const std::string& key) const {
    return {fmt::format("{}:{}", out_.file, line), "[[rule]]", key};
  }

  void check_format(const TomlValue& value) const {
    if (value.kind != TomlKind::Integer || value.number != 1.0) {
      throw InputError(at(value.line, "format"),
                       fmt::format("format {} is not known to this version", as_written(value)), "1",
                       "write `format = 1` as the first line");
    }
  }

  void read_rows(const TomlValue& list) {
    bool good = list.kind == TomlKind::Array;
    for (const TomlValue& item : list.children) good = good && item.kind == TomlKind::Table;
    if (!good) {
      throw InputError(at(list.line, "rule"), "this is no list of rules", "[[rule]] with id, unit, limit …",
                       "write [[rule]] with two brackets");
    }
    for (const TomlValue& table : list.children) {
      RuleRow row;
      row.line = table.line;
      for (const TomlValue& member : table.children) {
        row.lines[member.key] = member.line;
        read_key(member, row);
      }
      if (row.line == 0 && !row.lines.empty()) row.line = table.children.front().line;
      if (row.id.empty()) {
        throw InputError(at(row.line, "id"), "a rule has no id", "the id of one of our rules (docs/rules.md)",
                         "add id = \"…\" to this [[rule]]");
      }
      out_.rows.push_back(std::move(row));
    }
  }

  void read_key(const TomlValue& value, RuleRow& row) const {
    if (value.key == "id") {
      row.id = text_of(value);
    } else if (value.key == "on") {
      if (value.kind != TomlKind::Switch) wrong_kind(value, "true, false");
      row.on = value.flag;
    } else if (value.key == "look_at") {
      row.look_at = number_of(value);
    } else if (value.key == "limit") {
      row.limit = number_of(value);
    } else if (std::optional<std::string>* text = text_slot(value.key, row)) {
      *text = text_of(value);
    } else {
      throw InputError(
          at(value.line, value.key), fmt::format("there is no key `{}` in a rule", value.key),
          joined(row_keys()),
          fmt::format("write `{}` if that is what was meant", nearest_word(value.key, row_keys())));
    }
  }

  static std::optional<std::string>* text_slot(const std::string& key, RuleRow& row) {
    return key == "for"         ? &row.used_for
           : key == "unit"      ? &row.unit
           : key == "direction" ? &row.direction
           : key == "source"    ? &row.source
           : key == "whose"     ? &row.whose
           : key == "note"      ? &row.note
                                : nullptr;
  }

  [[noreturn]] void wrong_kind(const TomlValue& value, const char* allowed) const {
    throw InputError(at(value.line, value.key), fmt::format("{} cannot be used here", as_written(value)),
                     allowed, fmt::format("write {} = …, as docs/rules.md shows", value.key));
  }

  std::string text_of(const TomlValue& value) const {
    if (value.kind != TomlKind::Text) wrong_kind(value, "a text in quotation marks");
    return value.text;
  }

  double number_of(const TomlValue& value) const {
    if ((value.kind != TomlKind::Integer && value.kind != TomlKind::Real) || !std::isfinite(value.number)) {
      wrong_kind(value, "a number, in the rule's `unit`");
    }
    return value.number;
  }

  RuleRows out_;
};

}  // namespace

base::Where RuleRows::where(const RuleRow& row, std::string_view key) const {
  const auto line = row.lines.find(std::string(key));
  return {fmt::format("{}:{}", file, line == row.lines.end() ? row.line : line->second), "[[rule]]", row.id};
}

RuleRows read_rule_rows(const std::string& path) { return RuleReader(path).read(read_toml(path, "rules")); }

RuleRows rule_rows_of(std::string_view text, const std::string& file) {
  return RuleReader(file).read(parse_toml(text, file));
}

}  // namespace curbshed::study
