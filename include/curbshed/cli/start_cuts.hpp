// Trial cuts along block faces, for a study that has none.
#pragma once

#include "curbshed/terrain/curbs.hpp"

#include <string>
#include <vector>

namespace curbshed::cli {

struct TrialCut {
  std::string id;  ///< of the place: "kiln-street-north-lantern-street-west-17"; "cut-1" without a street
  base::Point at;  ///< on the curb
  std::string words;
};

/// Two cuts a block face: one in the middle and one 12 m up from the end of the curb at its lower end, by the
/// ground in the street beside the curb's ends; one, in the middle, where the face is shorter than 60 m; none
/// under 25 m. Each is moved by up to 12 m to where the curb runs straight for 2 m to each side and, if the
/// ground shows more than half of that curb, shows it there (a driveway shows no step); else it is left out.
/// Only curbs that are vertical or rolled, of `use` (one a curb), inside `box`, with known
/// ground. By street, side, then from west to east or south to north; the order and direction of the curbs do
/// not matter.
std::vector<TrialCut> trial_cuts(const std::vector<terrain::CurbLine>& curbs, const std::vector<bool>& use,
                                 const terrain::Ground& ground, const base::Box& box);

}  // namespace curbshed::cli
