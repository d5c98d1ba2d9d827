// Rain tanks of lots, as the lots' layer and the study say.
#pragma once

#include "curbshed/cli/study_layer.hpp"
#include "curbshed/study/chain_model.hpp"

#include <optional>

namespace curbshed::cli {

/// The lot's tank: its own attributes, else the study's; none where neither gives a size above 0.
/// InputErrors: a value out of range; a tank without roof_share or start; a basin's floor or infiltration
/// without the other, or without a volume.
std::optional<study::LotTank> lot_tank(const StudyLayer& layer, std::size_t row,
                                       const study::TankSettings& usual);

}  // namespace curbshed::cli
