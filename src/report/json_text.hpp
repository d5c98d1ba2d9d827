// JSON as this layer writes it: keys in our order, no number that is not finite.
#pragma once

#include "curbshed/base/error.hpp"
#include "curbshed/base/table.hpp"

#include <cmath>
#include <string>

#include <nlohmann/json.hpp>

namespace curbshed::report {

using Json = nlohmann::ordered_json;

inline Json json_of(const base::Cell& cell) {
  if (const auto* whole = std::get_if<std::int64_t>(&cell)) {
    return *whole;
  }
  if (const auto* number = std::get_if<double>(&cell)) {
    return *number;
  }
  if (const auto* text = std::get_if<std::string>(&cell)) {
    return *text;
  }
  return nullptr;
}

/// Throws BugError for NaN and infinities: the library would write them as null.
inline void refuse_non_finite(const Json& json) {
  if (json.is_number_float()) {
    base::ensure(std::isfinite(json.get<double>()), "numbers in JSON are finite");
  } else if (json.is_structured()) {
    for (const auto& item : json) {
      refuse_non_finite(item);
    }
  }
}

/// Two spaces a level, a line end at the end. Bytes that are no UTF-8 are replaced.
inline std::string json_text(const Json& json) {
  refuse_non_finite(json);
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace curbshed::report
