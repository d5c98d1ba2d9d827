// The text of a study as `curbshed start` writes it.
#pragma once

#include "curbshed/cli/start_layers.hpp"

#include <map>
#include <string>
#include <vector>

namespace curbshed::cli {

/// What goes into the text.
struct StartStudy {
  std::string title;
  std::map<std::string, std::string> values;    ///< "rain.two_year_1h" → TOML value: "\"22 mm\"", "-111.7"
  std::map<std::string, std::string> comments;  ///< for keys and parts: one line above it
  std::vector<StartLayer> layers;               ///< only part, source, found and questions are used
  std::vector<std::string> found;               ///< about the elevation model
};

/// Every part of the key table in its order: keys that have a value, the other keys as comments with their
/// default and what they are; layers that were given; those that were not, as comments.
std::string study_text(const StartStudy& study);

/// A text as TOML writes it, with quotation marks.
std::string toml_text(const std::string& text);

}  // namespace curbshed::cli
