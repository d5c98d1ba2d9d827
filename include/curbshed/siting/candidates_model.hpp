// The network with all candidates in it, and what each of them would take.
#pragma once

#include "curbshed/siting/candidates.hpp"
#include "curbshed/siting/cuts_to_choose.hpp"
#include "curbshed/siting/screening.hpp"
#include "curbshed/study/storm.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace curbshed::siting {

/// The user's cuts and all candidates are receivers of one network; whether one is open is a flag
/// (`params[n].in_plan`: the user's cuts are, candidates are not). It is another network than that of the run
/// without candidates, and the run's results are that one's: a receiver parts the cells that ran to the next
/// one below, and roof water that runs onto the yards of its own receiver, travel joined to the gutter and
/// the section where a side way begins are all reckoned by receiver. So the same cut may take a little more
/// or less here; `cuts_here_m3` of a storm beside the run's own sum says how much.
struct CandidateModel {
  CandidatePlaces found;
  study::ChainModel model;
  // One a candidate, in the order of `found.spots`.
  std::vector<std::int32_t> node;
  std::vector<street::SitePlace> place;
  std::vector<base::Polygon> water_line;
  std::vector<double> area_m2;         ///< ground whose water comes by
  std::vector<std::uint8_t> at_least;  ///< that area is cut by the edge of the data
  std::vector<Materials> materials;
  std::vector<std::int32_t> cuts;   ///< nodes of the user's cuts
  std::vector<double> cut_area_m2;  ///< ground whose water comes by these
  /// Of the candidates, in the order of `found.spots`; nodes are this network's. Absent: not asked for.
  std::optional<Screening> screening;
  /// The user's cuts and the candidates by id, as the choice looks at them. `over_a_limit` is known of
  /// candidates only.
  std::vector<CutToChoose> to_choose;
};

/// By what the candidates are screened.
struct CandidateRules {
  const RuleSet* rules = nullptr;
  const std::vector<study::Storm>* storms = nullptr;  ///< of the run
};

/// Finds the candidates and prepares the network with them. `inputs` gets the sites while this works and is
/// left as it came. With `by` the candidates are screened as cuts are, each place with all others open: how
/// much wider the water stands, and how high it can stand when all is full, is that of all candidates
/// together. Errors: those of study::prepare.
CandidateModel candidate_model(study::StudyInputs& inputs, const BesideShapes& beside,
                               const study::Settings& settings, const std::optional<base::Box>& within,
                               const terrain::WorkPlan& plan, const base::Progress& progress = {},
                               const CandidateRules& by = {});

/// What one candidate would take in a storm with the user's cuts open and every other candidate closed.
struct CandidateTake {
  double kept_m3 = 0.0;      ///< captured by itself, less what ran on over its rim
  double over_rim_m3 = 0.0;  ///< onto whatever lies behind: no use to anybody
  /// Of all basins together: less what the basins below then miss. Absent where it was not asked for: it
  /// costs a run of all that lies below.
  std::optional<double> gain_m3;
};
struct CandidateStorm {
  std::string storm_id;
  std::vector<CandidateTake> takes;  ///< one a candidate
  double cuts_here_m3 = 0.0;         ///< kept by the user's cuts and existing basins in this network
};
/// Same bits for any number of workers.
CandidateStorm candidate_storm(const CandidateModel& candidates, const study::Storm& storm, bool with_gain,
                               base::Workers workers);

/// All that pages and files need.
struct CandidateResults {
  CandidateModel model;
  std::vector<CandidateStorm> storms;  ///< in the order of the study's
  std::vector<std::int32_t> ranked;    ///< candidates, most kept in the first storm first, then by id
};
/// Gains are those of the first storm.
CandidateResults candidate_results(CandidateModel model, const std::vector<study::Storm>& storms,
                                   base::Workers workers);

}  // namespace curbshed::siting
