// Which of a study's cuts to build.
#pragma once

#include "curbshed/siting/choice.hpp"
#include "curbshed/siting/materials.hpp"
#include "curbshed/study/preparation.hpp"
#include "curbshed/study/storm.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace curbshed::siting {

/// What the choice looks at; vectors have one entry a node.
struct ChosenCutsInputs {
  const study::Preparation* preparation = nullptr;
  const study::StudyInputs* inputs = nullptr;
  const study::Settings* settings = nullptr;
  const std::vector<study::Storm>* storms = nullptr;
  std::vector<Cost> cost = {};             ///< empty: the study gives no prices
  std::vector<double> digging_m3 = {};     ///< of the ground as it lies; empty: not known
  std::vector<std::uint8_t> refused = {};  ///< 1: over a limit; empty: nothing was screened
};

/// Why a cut is not looked at.
enum class LeftOut : std::uint8_t { None, OverALimit, Never, Owner };

struct ChosenCuts {
  std::vector<std::int32_t> nodes;  ///< every cut of the network, by its id; the choice's numbers point here
  std::vector<ChoiceSite> sites;
  std::vector<LeftOut> left_out;  ///< one a site
  std::vector<double> alone;      ///< one a site: what it is worth by itself
  std::vector<Cost> cost;         ///< one a site; empty: the study gives no prices
  Choice choice;
  std::int32_t storm = 0;  ///< of the storms
  std::string aim;         ///< captured | peak | both
  double money = 0.0;      ///< of the chosen ones
  double digging_m3 = 0.0;
};

/// Sets `in_plan` of every cut from what was chosen.
void put_in_plan(const ChosenCuts& chosen, study::ChainModel& model);

/// Worth is m³ kept (`captured`), m³/s less at the peak (`peak`), or for `both` shares of today's runoff and
/// peak. An owner who has said no keeps a cut out; the answer is used and never shown. Errors (InputError):
/// a site in `must` or `never` that the study does not have; one in both; in `must` and over a limit or
/// refused; a limit on money where a price is missing; a storm or outfall that there is not.
ChosenCuts choose_cuts(const ChosenCutsInputs& in, base::Workers workers);

}  // namespace curbshed::siting
