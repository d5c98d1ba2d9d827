// Profiles across the street at each station: where its crown is and how high.
#pragma once

#include "street/draft.hpp"

namespace curbshed::street::detail {

/// Cells from the curb face square into the street, one cell apart.
struct AcrossPlace {
  std::int64_t cell = kNowhere;
  double rise_m = 0.0;  ///< ground above the gutter level at the curb face
};

struct Crown {
  double away_m = 0.0;             ///< from the curb face; the end of the profile where there is no crown
  double height_m = 0.0;           ///< above the gutter level at the curb face
  std::int64_t beyond = kNowhere;  ///< a cell past the crown; kNowhere where the street does not fall again,
                                   ///< at corners and where the profile runs on into another street
};

struct Across {
  std::vector<AcrossPlace> places;
  bool whole = false;  ///< it ends at the other curb or at the end of the pavement
};

/// Profile at one station: up to 25 m, ended by walls, unknown ground and the end of the pavement (where that
/// is given).
Across profile_across(const Scene& scene, std::int32_t station);

/// One entry a station. The crown is the highest place of the profile averaged over 2.5 m of curb to each
/// side.
std::vector<Crown> find_crowns(const Scene& scene, base::Workers workers);

}  // namespace curbshed::street::detail
