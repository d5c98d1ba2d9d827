// What a person reads when the run is done.
#pragma once

#include "curbshed/report/facts.hpp"

#include <string>

namespace curbshed::report {

struct TerminalStyle {
  Units units = Units::Metric;
  bool colour = false;      ///< red for what got worse; the words are the same without
  std::size_t width = 100;  ///< letters a line, at least 100
};

/// Three sentences, one row a cut, what was assumed, the ledgers, the cautions. Every line ends with '\n'.
std::string terminal_text(const RunFacts& facts, const TerminalStyle& style);

/// Notes in words with counts, a missing drain layer first; one line each, not wrapped.
std::vector<std::string> note_lines(const base::Notes& notes);

}  // namespace curbshed::report
