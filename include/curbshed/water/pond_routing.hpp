// Flow through a pond or a channel reach, worked as in handbooks: for hand checks.
#pragma once

#include "curbshed/base/quantity.hpp"

#include <span>
#include <string_view>
#include <vector>

namespace curbshed::water {

inline constexpr std::string_view kLevelPoolSource =
    "storage indication, (I1 + I2)/2 + S1/dt − O1/2 = S2/dt + O2/2: FHWA HEC-22, 3rd ed., 2009, eq. 8-30; "
    "Bedient, Huber & Vieux, Hydrology and Floodplain Analysis, 5th ed., ch. 4";
inline constexpr std::string_view kMuskingumSource =
    "Muskingum, Q2 = C1 I2 + C2 I1 + C3 Q1, as in Chow, Maidment & Mays 1988, Applied Hydrology, ch. 8";
inline constexpr std::string_view kMuskingumCungeSource =
    "Muskingum-Cunge, K = dx/c, X = 1/2 (1 − Q/(B S0 c dx)), as in Bedient, Huber & Vieux, 5th ed., example "
    "4-7";

/// A pond by its table. At least two rows.
struct StageRow {
  double stage_m = 0.0;         ///< strictly rising
  double discharge_m3_s = 0.0;  ///< ≥ 0, never falling
  double storage_m3 = 0.0;      ///< ≥ 0, strictly rising
};
struct StageTable {
  std::vector<StageRow> rows = {};
};
/// InputError that names the row.
void check(const StageTable& table);

struct PondStep {
  double outflow_m3_s = 0.0;
  double storage_m3 = 0.0;
  double stage_m = 0.0;
};
/// Outflow, storage and stage at the times of `inflow_m3_s` (each one step after the one before), the first
/// at `start_storage_m3`. Between rows the table is straight in the indicator S/dt + O/2. Source:
/// kLevelPoolSource. Guarantees: 1 storage grows by the mean inflow less the mean outflow of each step,
/// within rounding; 2 steady inflow keeps a pond that is in balance. Exact for a linear reservoir. Errors
/// (InputError): check(table), step ≤ 0, a start outside the table, negative inflow, storage that outgrows
/// the table, a step in which more would leave than is there (each with the step).
std::vector<PondStep> level_pool(const StageTable& table, std::span<const double> inflow_m3_s, double step_s,
                                 double start_storage_m3);

/// Weights of the reach relation; they sum to 1.
struct ReachWeights {
  double now_in = 0.0;      ///< C1, of I2
  double before_in = 0.0;   ///< C2, of I1
  double before_out = 0.0;  ///< C3, of Q1
};
/// K > 0, step > 0, 0 ≤ X ≤ 0.5 (InputError). A negative weight is accepted: it may give a negative outflow
/// on sudden rises (see `any_negative`). Source: kMuskingumSource.
ReachWeights muskingum_weights(double travel_s, double weighting, double step_s);
bool any_negative(const ReachWeights& weights);

/// A reach for Muskingum-Cunge with constant parameters.
struct CungeReach {
  double length_m = 0.0;      ///< dx > 0
  double celerity_m_s = 0.0;  ///< c > 0
  double top_width_m = 0.0;   ///< B > 0
  double slope = 0.0;         ///< S0 > 0
  double flow_m3_s = 0.0;     ///< reference flow Q ≥ 0
};
/// Source: kMuskingumCungeSource. InputError for values outside these ranges or an X under 0 (the reach is
/// too short for its flow: join sub-reaches).
ReachWeights cunge_weights(const CungeReach& reach, double step_s);

/// Outflow at each time of the inflow, beginning at `first_out_m3_s`.
std::vector<double> route_reach(const ReachWeights& weights, std::span<const double> inflow_m3_s,
                                double first_out_m3_s);

}  // namespace curbshed::water
