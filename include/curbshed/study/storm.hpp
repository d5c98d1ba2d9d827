// One storm on the chain.
#pragma once

#include "curbshed/base/ledger.hpp"
#include "curbshed/base/parallel.hpp"
#include "curbshed/study/chain_model.hpp"
#include "curbshed/study/rational_check.hpp"

#include <algorithm>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace curbshed::study {

/// Rain, the same everywhere: depth of each step.
struct Storm {
  std::string id;
  std::string title;  ///< "2-year hour: 22 mm in 1 h"
  double step_s = 5.0;
  std::vector<double> rain_m;          ///< one a step; zeros after the rain ends are part of it
  double dry_reset_s = 12.0 * 3600.0;  ///< dry time after which the abstraction is whole again
  double depth_m() const;
};

/// Throws BugError for a storm without steps or with negative rain.
void check(const Storm& storm);

/// What lies in the chain between steps. Plain and copyable.
struct ChainState {
  std::vector<double> basin_m3;              ///< one a node
  std::vector<double> sag_m3;                ///< one a node
  std::vector<water::TankState> tanks = {};  ///< one a tank of the model: of the whole tank
};
/// Basins and sags empty, tanks as full as they are before a storm.
ChainState empty_state(const ChainModel& model);
/// The same, and every basin that is open (see run_storm) as full as it is when a storm begins.
ChainState start_state(const ChainModel& model, const std::vector<std::uint8_t>& open);
/// Tanks of the base case: those of empty_state, none when they are new with the cuts.
std::vector<water::TankState> tanks_before_cuts(const ChainModel& model);

/// Reach celerities of one event: the same with and without cuts.
struct EventReaches {
  std::vector<double> travel_s;         ///< node → downstream, one a node
  std::vector<double> second_travel_s;  ///< one a second way of the network
  std::vector<double> join_travel_s;    ///< whole length of join_length_m, one a node
};

struct NodeResult {
  double arriving_m3 = 0.0;  ///< gutter flow that came to the node; in a sag: what came to its pond
  double peak_arriving_m3_s = 0.0;
  double peak_leaving_m3_s = 0.0;  ///< gutter flow that went on (outfalls: what left)
  double peak_minute = 0.0;        ///< of the arriving peak, from the start of the rain
  double own_runoff_m3 = 0.0;      ///< from its own first-receiver cells
  double entered_m3 = 0.0;         ///< through the opening
  double returned_m3 = 0.0;        ///< back through the mouth
  double captured_m3 = 0.0;        ///< entered − returned
  double given_back_m3 = 0.0;      ///< steps that returned more than entered: the difference, added up
  double rain_on_m3 = 0.0;         ///< fell into its basin
  double infiltrated_m3 = 0.0;
  double stored_at_end_m3 = 0.0;
  double over_rim_m3 = 0.0;
  double over_rim_first_minute = -1.0;  ///< −1 = never
  double over_curb_m3 = 0.0;            ///< by side ways, whoever gets it
  double to_lots_m3 = 0.0;              ///< part of over_curb that goes onto lots and is lost to the street
  double over_curb_first_minute = -1.0;
  double passed_on_m3 = 0.0;  ///< gutter flow that went on
  double max_depth_m = 0.0;   ///< gutter, at the curb face
  double max_spread_m = 0.0;
  double max_pool_m = 0.0;      ///< above the mulch
  double filled_minute = -1.0;  ///< pool first at the full level; −1 = never
  bool filled_before_peak = false;
  double into_inlet_m3 = 0.0;
};

/// One lot with a tank, over one storm: m³.
struct LotResult {
  double led_m3 = 0.0;  ///< runoff of the roof that is led to the tank, before the screen
  double screened_m3 = 0.0;
  double flushed_m3 = 0.0;
  double used_m3 = 0.0;
  double soaked_m3 = 0.0;       ///< in the lot's basin
  double to_street_m3 = 0.0;    ///< over tank and basin
  double tank_gained_m3 = 0.0;  ///< end less start
  double basin_gained_m3 = 0.0;
  double kept_m3() const { return led_m3 - to_street_m3; }
};

struct StormResult {
  std::string storm_id;
  std::vector<LotResult> lots = {};  ///< one a tank; empty where the run has none
  std::vector<NodeResult> nodes;
  base::WaterLedger ledger;  ///< whole system
  /// Each node's own. other_inflow = what was sent to it (by the reaches above it, side ways, a pond that it
  /// stands in); in_gutters = still in the reaches that lead to it; left_at_outfalls = what went on down the
  /// gutter or into the pond; over_curbs = by side ways, whoever gets it. Rain on the place of a basin is
  /// rain_on_basins while the basin is open, else part of rain_on_cells.
  std::vector<base::WaterLedger> node_ledgers;
  std::vector<std::vector<float>>
      leaving_m3_s;  ///< per node, one a step: gutter flow that goes on (for hydrographs)
  ChainState end;
  double step_s = 0.0;
  base::Notes notes;
};

/// Travel in the reaches for this storm: reference flow = that of the base case's hydrograph
/// (water::reference_flow_m3_s), found with all new cuts closed; what the first pass starts from:
/// event_reaches.cpp. Flow reference at least 0.01 L/s.
EventReaches event_reaches(const ChainModel& model, const Storm& storm, base::Workers workers = {});

/// Openings below water::kShortestTestedOpening_m lie outside the flume tests; `open` may ask for the second
/// published relation (water::OnGradeRelation::FlumeTests) of a cut, the other end of what it may take.
inline constexpr std::uint8_t kOpenBySecondRelation = 2;

/// Side ways: what the gutter carries above `begins_depth_m` leaves, before the node takes. A sag's members
/// take from its pond once that covers their gutter level. Sags spill over a crest of 3 m (assumed). open:
/// one a node; 0 closes a cut, 1 opens it, kOpenBySecondRelation too (inlets, sags and outfalls ignore it). A
/// closed cut and a cut of zero length give the same bytes. Contract: the ledger closes to 1e-9 (BugError if
/// not).
StormResult run_storm(const ChainModel& model, const EventReaches& reaches, const Storm& storm,
                      const std::vector<std::uint8_t>& open, const ChainState& start,
                      base::Workers workers = {});

/// Tanks on lots are there before and after, unless model.tanks_are_new: then the base case and the reference
/// flows of the reaches have none. The same storm without and with the cuts of the plan, and once more 12 h
/// later on the basins as they then stand: what stands above the invert has run back (into its pond where the
/// basin stands in a sag, else away), floors have soaked in for 12 h, ponds in sags stay, reaches are empty,
/// tanks were used and lots' basins soaked on, abstraction is whole again. Note PeakRises in `with_cuts`:
/// nodes whose leaving peak rises by over 0.1 % of the base case; worst in m3/s. Never netted.
struct OtherCapture {
  double captured_m3 = 0.0;
  double over_rim_m3 = 0.0;
};
/// Widest water at two sections of a reach in one run: where the gutter is flattest, and at its lower end,
/// where it carries most. Flow between the ends: the upper place's leaving peak, growing evenly by what the
/// lower place's arriving peak has more than all that leaves above it (peaks need not meet: the least that it
/// can be). At the lower end the lower place's section counts, none where that is a sag or the data's edge.
struct ReachSpread {
  std::optional<double> flattest_m;
  std::optional<double> lower_end_m;
  double widest_m() const { return std::max(flattest_m.value_or(0.0), lower_end_m.value_or(0.0)); }
};
struct StormComparison {
  Storm storm;
  StormResult base;
  StormResult with_cuts;
  std::vector<RationalPeak> rational;  ///< one a node: the base case's second opinion
  /// With cuts, those shorter than the flume tests by the second relation; one a node, empty where none is so
  /// short.
  std::vector<OtherCapture> by_second_relation;
  std::vector<ReachSpread> reaches_before;  ///< one a node, or empty
  std::vector<ReachSpread> reaches_with_cuts;
  StormResult second;  ///< with cuts, started from what is left 12 h after the end of the first
};
StormComparison compare_storm(const ChainModel& model, const Storm& storm, bool with_second,
                              base::Workers workers = {});

}  // namespace curbshed::study
