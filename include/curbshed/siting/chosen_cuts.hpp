// Which cuts to build.
#pragma once

#include "curbshed/siting/choice.hpp"
#include "curbshed/siting/cuts_to_choose.hpp"
#include "curbshed/study/storm.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace curbshed::siting {

/// Why a cut is not looked at.
enum class LeftOut : std::uint8_t { None, OverALimit, Never, Owner };

struct ChosenCuts {
  std::vector<CutToChoose> cuts;  ///< the choice's numbers point here
  std::vector<LeftOut> left_out;  ///< one a cut
  std::vector<double> alone;      ///< one a cut: what it is worth by itself
  Choice choice;
  std::string storm_id;
  std::string aim;  ///< captured | year | peak | both
  Cost cost;        ///< of the chosen ones together
  double digging_m3 = 0.0;
  /// What the chosen basins keep in the choice's storm, and at half and double their infiltration rates.
  double kept_m3 = 0.0;
  double kept_at_half_m3 = 0.0;
  double kept_at_double_m3 = 0.0;
  /// The chosen ones run together, all others closed: one a storm of the study.
  std::vector<study::StormComparison> storms;
};

/// Worth is m³ kept (`captured`), m³ kept in a mean year by the rains of study::rains_of_year (`year`), m³/s
/// less at the peak (`peak`), or for `both` shares of today's runoff and peak. An owner who has said no keeps
/// a cut out; the answer is used and never shown. The same for any number of workers. Errors (InputError): a
/// cut in `must` or `never` that there is not; one in both; in `must` and over a limit or refused; a limit on
/// money where a price is missing; a storm or outfall that there is not.
ChosenCuts choose_cuts(const study::ChainModel& model, std::vector<CutToChoose> cuts,
                       const study::Settings& settings, const std::vector<study::Storm>& storms,
                       base::Workers workers);

}  // namespace curbshed::siting
