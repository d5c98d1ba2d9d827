// Where a basin lies behind its cut, and where its rim is lowest.
#pragma once

#include "curbshed/street/network.hpp"
#include "curbshed/study/preparation.hpp"

#include <map>
#include <optional>
#include <utility>
#include <vector>

namespace curbshed::study {

struct BasinSite {
  std::vector<std::int64_t> cells;  ///< of its place, inside the raster
  base::Polygon water_line;         ///< rectangle, counter-clockwise; no rings where the cut has no curb
  double rim_m = 0.0;
  base::Point rim_at;
  std::int32_t rim_to = -1;  ///< node whose area the spilled water runs into, −1 none
  double unknown_m2 = 0.0;   ///< cells of its place or rim without ground
  double hard_m2 = 0.0;      ///< cells of its place on street pavement or under a roof
  bool across_gap = false;   ///< a driveway, ramp or other gap of a curb lies along it
};

/// Curb stations by place: curbs are broken at driveways, so the cut's own piece is not enough.
class StationBins {
 public:
  explicit StationBins(const terrain::CurbField& curbs);
  /// All stations within reach, in the order of the field.
  std::vector<const terrain::CurbStation*> near(base::Point p, double reach_m) const;

 private:
  std::int64_t bin(double v) const;

  const terrain::CurbField* curbs_;
  std::map<std::pair<std::int64_t, std::int64_t>, std::vector<std::int32_t>> bins_;
};

/// What the site looks at.
struct SiteGround {
  const StudyInputs* inputs = nullptr;
  const StationBins* stations = nullptr;
  const street::StreetModel* street = nullptr;  ///< grids; its network may have been moved away
};

/// Where along and how far behind the curb the water line lies.
struct BasinOffset {
  double setback_m = 0.0;
  double mouth_at = 0.5;  ///< 0 = the cut is at the basin's upstream end, 1 = at its downstream end
};

/// The water line is a rectangle length × width, `setback_m` behind the curb line. Downstream along the curb
/// is where the gutter's water is a few metres on; where it turns away from the curb at once, the basin is
/// centred on the cut.
///
/// Rim: of the ring of cells just outside it (those whose centres lie outside and that touch a cell whose
/// centre lies inside), the lowest spill level, read from the ground as it is. On the three sides away from
/// the street that is the ground. On the curb (less than half a cell behind its line, or in the street) it is
/// the higher of the ground and the crest of the nearest station of any curb (`crest_m` instead of a crest
/// that is no gap, where one was measured); the cut itself is the gap there and no part of the rim. Ties go
/// to the lower cell. A strip whose ground lies under the invert has its rim there: it spills at its low
/// side. Cells without ground are left out and counted. InputError that names the cut when no ring cell has
/// ground, or when it stands on no curb.
BasinSite basin_site(const SiteGround& ground, const street::Network& network, std::size_t node,
                     const BasinParams& basin, const BasinOffset& offset, std::optional<double> crest_m);

}  // namespace curbshed::study
