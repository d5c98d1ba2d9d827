// Words and ids of the nodes from where they stand.
#pragma once

#include "street/draft.hpp"

namespace curbshed::street::detail {

/// The curb that a cut there stands at: the nearest usable station within `reach_m`, off driveways where a
/// curb is within 1 m; −1 = none.
std::int32_t cut_station(const Scene& scene, base::Point p, double reach_m);

/// What is to be named: a site with its station, or a sag (station −1).
struct Unnamed {
  base::Point at;
  std::int32_t station = -1;
  bool is_cut = false;
  std::string given_id;  ///< the user's, "" = none
  std::string prefix;    ///< of the own id: "sag-"
};

/// One entry each. Own ids that are alike get -2, -3 …, by distance, then coordinates; none is an id of the
/// user's.
std::vector<SitePlace> name_places(const Scene& scene, const std::vector<Unnamed>& list);

}  // namespace curbshed::street::detail
