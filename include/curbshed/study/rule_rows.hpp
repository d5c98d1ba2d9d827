// A table of siting rules as it stands in its file, with the line of everything; siting checks what it says.
#pragma once

#include "curbshed/base/error.hpp"

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace curbshed::study {

/// One [[rule]]. Numbers are in `unit`, whatever that is.
struct RuleRow {
  std::string id;
  std::optional<bool> on;
  std::optional<std::string> used_for, unit, direction, source, whose, note;
  std::optional<double> look_at, limit;
  std::int64_t line = 0;                      ///< of the row
  std::map<std::string, std::int64_t> lines;  ///< of each of its keys
};

struct RuleRows {
  std::string file;  ///< as the user wrote it
  std::vector<RuleRow> rows;

  /// Place of a row's key, or of the row where it has no such key, for messages.
  base::Where where(const RuleRow& row, std::string_view key = {}) const;
};

/// InputError with file and line: no TOML, no `format = 1`, an unknown key, a key of the wrong kind, a row
/// without an id.
RuleRows read_rule_rows(const std::string& path);
/// The same from a text; `file` is for messages.
RuleRows rule_rows_of(std::string_view text, const std::string& file);

}  // namespace curbshed::study
