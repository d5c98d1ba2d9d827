// A TOML file as a plain tree: keeps toml++ in one unit.
#pragma once

#include "curbshed/base/error.hpp"

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace curbshed::study {

enum class TomlKind : std::uint8_t { Text, Integer, Real, Switch, Array, Table, Date };

struct TomlValue {
  TomlKind kind = TomlKind::Table;
  std::int64_t line = 0;  ///< of the key (members) or the value (items), from 1
  std::string key;        ///< empty for array items and the root
  std::string text;
  double number = 0.0;  ///< Integer and Real
  bool flag = false;
  std::vector<TomlValue> children;  ///< members of a table by line, items of an array in order

  const TomlValue* member(std::string_view name) const;
};

/// The root table. Throws InputError with file and line when the file cannot be opened or is no TOML.
/// what: as messages call the file.
TomlValue read_toml(const std::string& path, std::string_view what = "study");
/// The same from a text; `path` is for messages.
TomlValue parse_toml(std::string_view text, const std::string& path);

/// The value as a person would write it, for messages: `18`, `"18 in"`, `[1, 2]`.
std::string as_written(const TomlValue& value);

/// The known word that takes the fewest letters to change, add or drop; "" when none is near.
std::string nearest_word(std::string_view word, const std::vector<std::string>& known);

/// "part.name"; the name alone before the first part.
std::string full_name(std::string_view part, std::string_view name);
std::string joined(const std::vector<std::string>& words);
std::string joined(const std::vector<std::string_view>& words);

base::Where place_of(const std::string& path, const TomlValue& value, std::string_view part,
                     std::string_view name);
[[noreturn]] void unknown_key(const std::string& path, const TomlValue& member, std::string_view part,
                              const std::vector<std::string>& known);

}  // namespace curbshed::study
