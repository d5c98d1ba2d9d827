// Drain inlets: their kind, the tables that rate them, the places where their water comes up again.
#pragma once

#include "curbshed/cli/site_places.hpp"
#include "curbshed/study/preparation.hpp"

#include <map>
#include <string>
#include <vector>

namespace curbshed::cli {

struct RatingTables {
  std::vector<water::Rating> tables;  ///< by name
  std::vector<std::string> names;
};

/// The rows of [street.inlet_ratings], table by table. InputError that names the row: no name, neither or
/// both of depth and flow, another one than the table's other rows, no captured flow, one at which more is
/// captured than comes, the same depth or flow twice, captured flow that falls as depth or flow grows.
RatingTables rating_tables(const StudyLayer& layer);

using PipeOutlets = std::map<std::string, base::Point>;
/// Places by name. Those without a name, with a name that is there twice or a place that leads nowhere are
/// set aside.
PipeOutlets pipe_outlets(StudyLayer& layer, SitePlaces& places);

/// What an inlet brings along; its outlet only where there is a layer of them. InputError (to be set aside
/// with): a kind, a rating or an outlet that is not known.
study::InletInput inlet_input(const StudyLayer& layer, std::size_t row, const RatingTables& ratings,
                              const std::optional<PipeOutlets>& outlets);

}  // namespace curbshed::cli
