// Where a basin lies behind its cut, and where its rim is lowest.
#pragma once

#include "curbshed/street/network.hpp"
#include "curbshed/study/preparation.hpp"

namespace curbshed::study {

struct BasinSite {
  base::Polygon water_line;  ///< rectangle, counter-clockwise; no rings where the cut has no curb
  double rim_m = 0.0;
  base::Point rim_at;
  std::int32_t rim_to = -1;  ///< node whose area the spilled water runs into, −1 none
  double unknown_m2 = 0.0;   ///< cells of its place or rim without ground
  double hard_m2 = 0.0;      ///< cells of its place on street pavement or under a roof
};

/// What the site looks at.
struct SiteGround {
  const StudyInputs* inputs = nullptr;
  const terrain::CurbField* curbs = nullptr;
  const street::StreetModel* street = nullptr;  ///< grids; its network may have been moved away
};

/// The water line is a rectangle length × width, `setback_m` behind the curb line, centred on the cut along
/// the curb.
///
/// Rim: of the ring of cells just outside it (those whose centres lie outside and that touch a cell whose
/// centre lies inside), the lowest spill level, read from the ground as it is. On the three sides away from
/// the street that is the ground. Toward the street (nearer to the curb line than the setback) it is the
/// higher of the ground and the crest of the nearest curb station; the cut itself is the gap there and no
/// part of the rim. Ties go to the lower cell. A strip whose ground lies under the invert has its rim there:
/// it spills at its low side. Cells without ground are left out and counted. InputError that names the cut
/// when no ring cell has ground, or when it stands on no curb.
BasinSite basin_site(const SiteGround& ground, const street::Network& network, std::size_t node,
                     const BasinParams& basin, double setback_m);

}  // namespace curbshed::study
