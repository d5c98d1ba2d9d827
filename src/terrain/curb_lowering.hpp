// How far the gutter is lowered along each curb, for directions only.
#pragma once

#include "terrain/curb_levels.hpp"

namespace curbshed::terrain::detail {

inline constexpr double kLongestFade = 8.0;  ///< in fades: see lowering_along

/// Lowering in metres at every station of every curb (first index: running curb). Kind None: 0.
///
/// lowering_m everywhere, except before a free end, x metres along the joined curbs from it: at most
/// lowering_m · x / fade_m. Where the street falls toward the free end, at most a fixed share of the fall
/// from there to the end as well, so that the lowered bed never rises toward the end and makes no pit of its
/// own. That fade is followed for up to kLongestFade · fade_m; on a street flatter than that allows, the rest
/// is faded at lowering_m / fade_m.
std::vector<std::vector<double>> lowering_along(const std::vector<RunningCurb>& curbs,
                                                const std::vector<std::vector<Station>>& stations,
                                                const CurbSettings& settings);

/// Value between stations, as between_stations does for levels.
double lowering_at(const std::vector<Station>& stations, const std::vector<double>& lowering_m,
                   double along_m);

}  // namespace curbshed::terrain::detail
