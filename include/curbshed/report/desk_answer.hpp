// The answer of a hand check, for a person and for a program.
#pragma once

#include "curbshed/base/measure_text.hpp"

#include <string>
#include <variant>
#include <vector>

namespace curbshed::report {

/// One result. Its key carries the unit: "flow_m3_s".
struct DeskValue {
  std::string key;
  std::string words;  ///< "Flow"
  base::Dimension dimension = base::Dimension::Plain;
  /// SI; a list where the check has several steps; text for a regime; nothing where there is no such number
  /// (JSON null): then `words` are the whole sentence.
  std::variant<double, std::vector<double>, std::string, std::monostate> value;
  bool text_only = false;  ///< for the reader; not in JSON
};

struct DeskAnswer {
  std::string title;                 ///< what was asked, in a sentence
  std::vector<std::string> working;  ///< the formula with its numbers, a line each
  std::vector<DeskValue> values;
  std::vector<std::string> sources;
  std::vector<std::string> cautions;  ///< what the formula does not know
  /// The values are lists of one length that are read side by side: the text is a CSV of them, nothing else.
  bool series = false;
};

/// Sentences with both unit systems, the working, the sources, the cautions; or the CSV of a series.
std::string desk_text(const DeskAnswer& answer);

/// Exactly the keys of the values, in their order, and `sources`. BugError for a number that is not finite.
std::string desk_json(const DeskAnswer& answer);

/// "0.0510 m3/s (1.80 ft3/s)"
std::string both_units(double si, base::Dimension dimension);

}  // namespace curbshed::report
