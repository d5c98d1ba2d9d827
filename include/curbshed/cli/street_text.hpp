// What `curbshed check` tells of streets and curbs.
#pragma once

#include "curbshed/cli/gather_inputs.hpp"

#include <string>
#include <vector>

namespace curbshed::cli {

struct CheckLine {
  std::string label;
  std::string text;
};

/// Widths with errors and origin by street, streets along whose curbs water does not run, curb metres that
/// the ground shows, survey seams. Streets in the order of their names, the first 30.
std::vector<CheckLine> street_lines(const study::Settings& settings, const GatheredInputs& gathered,
                                    const study::Preparation& preparation, report::Units units);

}  // namespace curbshed::cli
