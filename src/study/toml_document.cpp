#include "study/toml_document.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/base/names.hpp"
#include "curbshed/study/settings.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

#include <fmt/format.h>
#include <toml++/toml.h>

namespace curbshed::study {
namespace {

TomlValue plain(const toml::node& node, std::string key, std::int64_t line);

std::int64_t line_of(const toml::source_region& region) {
  return static_cast<std::int64_t>(region.begin.line);
}

std::vector<TomlValue> members_of(const toml::table& table) {
  std::vector<TomlValue> members;
  for (auto it = table.cbegin(); it != table.cend(); ++it) {
    std::int64_t line = line_of(it->first.source());
    if (line == 0) {
      line = line_of(it->second.source());
    }
    members.push_back(plain(it->second, std::string(it->first.str()), line));
  }
  std::stable_sort(members.begin(), members.end(),
                   [](const TomlValue& a, const TomlValue& b) { return a.line < b.line; });
  return members;
}

TomlValue plain(const toml::node& node, std::string key, std::int64_t line) {
  TomlValue value;
  value.key = std::move(key);
  value.line = line;
  if (const toml::table* table = node.as_table()) {
    value.kind = TomlKind::Table;
    value.children = members_of(*table);
  } else if (const toml::array* array = node.as_array()) {
    value.kind = TomlKind::Array;
    for (const toml::node& item : *array) {
      value.children.push_back(plain(item, "", line_of(item.source())));
    }
  } else if (const auto* text = node.as_string()) {
    value.kind = TomlKind::Text;
    value.text = text->get();
  } else if (const auto* whole = node.as_integer()) {
    value.kind = TomlKind::Integer;
    value.number = static_cast<double>(whole->get());
  } else if (const auto* real = node.as_floating_point()) {
    value.kind = TomlKind::Real;
    value.number = real->get();
  } else if (const auto* flag = node.as_boolean()) {
    value.kind = TomlKind::Switch;
    value.flag = flag->get();
  } else {
    value.kind = TomlKind::Date;
  }
  return value;
}

std::string read_all(const std::string& path, std::string_view what) {
  std::error_code ignored;
  std::ifstream file(path, std::ios::binary);
  if (!file || std::filesystem::is_directory(path, ignored)) {
    const bool there = std::filesystem::exists(path, ignored);
    throw base::InputError({path, "", ""},
                           there ? fmt::format("the {} cannot be read", what)
                                 : fmt::format("there is no such {} file", what),
                           "a TOML text file", "check the path and that you may read it");
  }
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

}  // namespace

const TomlValue* TomlValue::member(std::string_view name) const {
  for (const TomlValue& child : children) {
    if (child.key == name) {
      return &child;
    }
  }
  return nullptr;
}

TomlValue read_toml(const std::string& path, std::string_view what) {
  return parse_toml(read_all(path, what), path);
}

TomlValue parse_toml(std::string_view text, const std::string& path) {
  try {
    const toml::table root = toml::parse(text, std::string_view(path));
    TomlValue value;
    value.children = members_of(root);
    return value;
  } catch (const toml::parse_error& error) {
    throw base::InputError({fmt::format("{}:{}", path, line_of(error.source())), "", ""},
                           fmt::format("this is no TOML: {}", error.description()), "TOML 1.0",
                           "mend this line; docs/study-file.md shows how a study is written");
  }
}

std::string as_written(const TomlValue& value) {
  switch (value.kind) {
    case TomlKind::Text:
      return fmt::format("\"{}\"", value.text);
    case TomlKind::Integer:
      return fmt::format("{:.0f}", value.number);
    case TomlKind::Real:
      return fmt::format("{}", value.number);
    case TomlKind::Switch:
      return value.flag ? "true" : "false";
    case TomlKind::Date:
      return "a date";
    case TomlKind::Table:
      return "a table";
    case TomlKind::Array: {
      std::string list = "[";
      for (const TomlValue& item : value.children) {
        list += (list.size() > 1 ? ", " : "") + as_written(item);
      }
      return list + "]";
    }
  }
  return {};
}

std::string nearest_word(std::string_view word, const std::vector<std::string>& known) {
  const std::vector<std::string> near = base::nearest_words(word, known, 1);
  return near.empty() || base::letters_apart(word, near.front()) >= word.size() + 8 ? "" : near.front();
}

std::string full_name(std::string_view part, std::string_view name) {
  return part.empty() ? std::string(name) : fmt::format("{}.{}", part, name);
}

std::string joined(const std::vector<std::string>& words) {
  return fmt::format("{}", fmt::join(words, ", "));
}
std::string joined(const std::vector<std::string_view>& words) {
  return fmt::format("{}", fmt::join(words, ", "));
}

base::Where place_of(const std::string& path, const TomlValue& value, std::string_view part,
                     std::string_view name) {
  return {fmt::format("{}:{}", path, value.line), part.empty() ? "" : fmt::format("[{}]", part),
          std::string(name)};
}

void unknown_key(const std::string& path, const TomlValue& member, std::string_view part,
                 const std::vector<std::string>& known) {
  throw base::InputError(
      place_of(path, member, part, member.key),
      part.empty() ? fmt::format("there is no key or part `{}` in a study", member.key)
                   : fmt::format("there is no key `{}` in [{}]", member.key, part),
      joined(known), fmt::format("write `{}` if that is what was meant", nearest_word(member.key, known)));
}

std::string toml_library_version() {
  return fmt::format("{}.{}.{}", TOML_LIB_MAJOR, TOML_LIB_MINOR, TOML_LIB_PATCH);
}

}  // namespace curbshed::study
