// Symbols: I inflow, O outflow, S storage, dt step, K travel time of a reach, X its weighting, c celerity.
#include "curbshed/water/pond_routing.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include <fmt/format.h>

namespace curbshed::water {
namespace {

[[noreturn]] void refuse(std::string what, std::string allowed, std::string next) {
  throw base::InputError({}, std::move(what), std::move(allowed), std::move(next));
}

void require(bool holds, const char* kind, double value, const char* allowed) {
  if (!holds) refuse(fmt::format("{} of {:g} is not usable", kind, value), allowed, "look at the number");
}

double share_between(double low, double high, double at) {
  return high > low ? (at - low) / (high - low) : 0.0;
}

PondStep between(const StageRow& a, const StageRow& b, double share) {
  return {.outflow_m3_s = a.discharge_m3_s + share * (b.discharge_m3_s - a.discharge_m3_s),
          .storage_m3 = a.storage_m3 + share * (b.storage_m3 - a.storage_m3),
          .stage_m = a.stage_m + share * (b.stage_m - a.stage_m)};
}

/// Where `value(row)` passes `at`; the first row below it.
template <class Value>
PondStep looked_up(const StageTable& table, double at, const Value& value) {
  const std::vector<StageRow>& rows = table.rows;
  if (at <= value(rows.front())) return between(rows.front(), rows.front(), 0.0);
  std::size_t upper = 1;
  while (upper + 1 < rows.size() && at > value(rows[upper])) ++upper;
  const StageRow& a = rows[upper - 1];
  const StageRow& b = rows[upper];
  return between(a, b, share_between(value(a), value(b), at));
}

}  // namespace

void check(const StageTable& table) {
  const std::vector<StageRow>& rows = table.rows;
  if (rows.size() < 2)
    refuse(fmt::format("a pond's table of {} rows is too short", rows.size()), "2 rows or more",
           "give stage, discharge and storage from the empty pond to a full one");
  for (std::size_t r = 0; r < rows.size(); ++r) {
    const StageRow& row = rows[r];
    const bool sound = std::isfinite(row.stage_m) && row.discharge_m3_s >= 0.0 && row.storage_m3 >= 0.0 &&
                       std::isfinite(row.discharge_m3_s) && std::isfinite(row.storage_m3);
    const bool rises =
        r == 0 || (row.stage_m > rows[r - 1].stage_m && row.storage_m3 > rows[r - 1].storage_m3 &&
                   row.discharge_m3_s >= rows[r - 1].discharge_m3_s);
    if (sound && rises) continue;
    refuse(fmt::format(
               "row {} of the pond's table (stage {:g} m, discharge {:g} m3/s, storage {:g} m3) does not "
               "follow on the one before",
               r + 1, row.stage_m, row.discharge_m3_s, row.storage_m3),
           "stage and storage that rise, discharge that never falls, none negative", "mend that row");
  }
}

std::vector<PondStep> level_pool(const StageTable& table, std::span<const double> inflow_m3_s, double step_s,
                                 double start_storage_m3) {
  check(table);
  require(step_s > 0.0 && std::isfinite(step_s), "a step in seconds", step_s, "more than 0");
  require(
      start_storage_m3 >= table.rows.front().storage_m3 && start_storage_m3 <= table.rows.back().storage_m3,
      "a storage at the start in m3", start_storage_m3, "a storage within the pond's table");
  std::vector<PondStep> steps;
  steps.reserve(inflow_m3_s.size());
  const auto indicator = [step_s](const StageRow& row) {
    return row.storage_m3 / step_s + 0.5 * row.discharge_m3_s;
  };
  const double least = indicator(table.rows.front());
  const double most = indicator(table.rows.back());
  for (std::size_t j = 0; j < inflow_m3_s.size(); ++j) {
    require(inflow_m3_s[j] >= 0.0 && std::isfinite(inflow_m3_s[j]), "an inflow in m3/s", inflow_m3_s[j],
            "0 or more");
    if (j == 0) {
      steps.push_back(looked_up(table, start_storage_m3, [](const StageRow& row) { return row.storage_m3; }));
      continue;
    }
    const PondStep& before = steps.back();
    const double held =
        before.storage_m3 / step_s - 0.5 * before.outflow_m3_s + 0.5 * (inflow_m3_s[j - 1] + inflow_m3_s[j]);
    if (held > most * (1.0 + 1e-12)) {
      refuse(fmt::format("the pond outgrows its table at step {} (inflow {:g} m3/s)", j, inflow_m3_s[j]),
             "a table that reaches as high as the water",
             "add rows to the table, with what leaves at the top");
    }
    if (held < least - 1e-9 * most) {
      refuse(fmt::format("in the step to {} more leaves than the pond holds", j),
             "a step short enough for the pond", "take a shorter step");
    }
    steps.push_back(looked_up(table, held, indicator));
  }
  return steps;
}

ReachWeights muskingum_weights(double travel_s, double weighting, double step_s) {
  require(travel_s > 0.0 && std::isfinite(travel_s), "a travel time K in seconds", travel_s, "more than 0");
  require(weighting >= 0.0 && weighting <= 0.5, "a weighting X", weighting, "0 to 0.5");
  require(step_s > 0.0 && std::isfinite(step_s), "a step in seconds", step_s, "more than 0");
  const double stored = 2.0 * travel_s * (1.0 - weighting);
  const double moved = 2.0 * travel_s * weighting;
  const double all = stored + step_s;
  return {.now_in = (step_s - moved) / all,
          .before_in = (step_s + moved) / all,
          .before_out = (stored - step_s) / all};
}

bool any_negative(const ReachWeights& weights) {
  return weights.now_in < 0.0 || weights.before_in < 0.0 || weights.before_out < 0.0;
}

ReachWeights cunge_weights(const CungeReach& reach, double step_s) {
  require(reach.length_m > 0.0, "a reach length in m", reach.length_m, "more than 0");
  require(reach.celerity_m_s > 0.0, "a celerity in m/s", reach.celerity_m_s, "more than 0");
  require(reach.top_width_m > 0.0, "a top width in m", reach.top_width_m, "more than 0");
  require(reach.slope > 0.0, "a slope", reach.slope, "more than 0");
  require(reach.flow_m3_s >= 0.0, "a reference flow in m3/s", reach.flow_m3_s, "0 or more");
  const double X =
      0.5 * (1.0 - reach.flow_m3_s / (reach.top_width_m * reach.slope * reach.celerity_m_s * reach.length_m));
  require(X >= 0.0, "a weighting X", X, "0 to 0.5: a reach that is long enough for its flow");
  return muskingum_weights(reach.length_m / reach.celerity_m_s, X, step_s);
}

std::vector<double> route_reach(const ReachWeights& weights, std::span<const double> inflow_m3_s,
                                double first_out_m3_s) {
  std::vector<double> out;
  out.reserve(inflow_m3_s.size());
  for (std::size_t j = 0; j < inflow_m3_s.size(); ++j) {
    out.push_back(j == 0 ? first_out_m3_s
                         : weights.now_in * inflow_m3_s[j] + weights.before_in * inflow_m3_s[j - 1] +
                               weights.before_out * out.back());
  }
  return out;
}

}  // namespace curbshed::water
