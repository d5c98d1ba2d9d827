// Where the water of drain inlets comes up again.
#pragma once

#include "curbshed/study/preparation.hpp"

namespace curbshed::study {

/// Fills `pipe_to` of the inlets that have an outlet: the node that water which comes up there reaches first,
/// in the gutter within snap_m of the place, else on the ground. InputError that names the inlet: an outlet
/// off the known ground; one from which the water would come to the inlet again.
void lead_pipes(const StudyInputs& inputs, double snap_m, const MapProducts& maps, ChainModel& model);

}  // namespace curbshed::study
