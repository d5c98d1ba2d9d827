// Sections of gutters as curbs and centrelines bring them along.
#pragma once

#include "curbshed/cli/study_layer.hpp"
#include "curbshed/study/gutter_input.hpp"
#include "curbshed/terrain/curbs.hpp"

#include <string>
#include <vector>

namespace curbshed::cli {

/// What a row says of its gutter. InputError: a word that is not known, a value out of range.
study::GutterInput gutter_of(const StudyLayer& layer, std::size_t row);

/// A centreline that says something of its gutters.
struct StreetGutter {
  std::string id;
  std::string street;
  base::Polyline line;
  study::GutterInput gutter;
};
/// Rows that cannot be used are left out: they were set aside before.
std::vector<StreetGutter> street_gutters(const StudyLayer& layer);

/// Fills what a curb does not say itself from the line of its own street that is nearest to its middle (ties
/// to the lower id). `gutters` has one a curb.
void take_street_gutters(const std::vector<StreetGutter>& streets,
                         const std::vector<terrain::CurbLine>& curbs,
                         std::vector<study::GutterInput>& gutters);

}  // namespace curbshed::cli
