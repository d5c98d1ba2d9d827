// What the rules want to know of each place for a basin, from the layers that a study has.
#pragma once

#include "curbshed/base/parallel.hpp"
#include "curbshed/siting/full_levels.hpp"
#include "curbshed/siting/screening.hpp"
#include "curbshed/study/preparation.hpp"
#include "curbshed/study/storm.hpp"

#include <vector>

namespace curbshed::siting {

struct MeasureInputs {
  const study::Settings* settings = nullptr;
  const study::StudyInputs* inputs = nullptr;  ///< its grids are not looked at
  const study::Preparation* preparation = nullptr;
  const std::vector<study::StormComparison>* storms = nullptr;
  const RuleSet* rules = nullptr;    ///< units of the words, and the depths that would pass
  const FullLevels* full = nullptr;  ///< absent: no freeboard is known
};

/// Farthest that things are looked for: what is not nearer reads "200 m or more".
inline constexpr double kLookFor_m = 200.0;

/// Measures of these nodes, each a cut with a basin. The footprint is the basin's water line (a rectangle
/// along the curb). Distances are shortest ways between outlines, 0 where they overlap, and name the thing;
/// where no layer tells of a kind the value is absent, where one does and nothing is near it is kLookFor_m or
/// more. A driveway is the strip behind a gap of the curb, or a polygon. The strip ends at the first walk,
/// else the first lot, square to the curb at three places along the basin, the least counts. Corners: on the
/// tape of the block face. Grade, cross slope: as the network has them, with their errors. Rim and freeboard:
/// doubt = ground.elevation_error unless the rim was measured on the street. Drain time: volume over rate ×
/// floor. Spread: the worst rise over all storms. What needs flow is to be measured at best where the edge of
/// the data cuts the area above. Infiltration from a soil map or assumed: to be measured at best.
///
/// Same bits for any number of workers.
std::vector<SiteMeasures> measure_sites(const MeasureInputs& in, const std::vector<std::int32_t>& nodes,
                                        base::Workers workers = {});

/// All cuts of the network, in chain order.
std::vector<std::int32_t> cut_nodes(const street::Network& network);

/// Measures all cuts and judges them.
Screening screen_cuts(const MeasureInputs& in, base::Workers workers = {});

}  // namespace curbshed::siting
