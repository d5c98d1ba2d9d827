// What the choice knows of each cut.
#pragma once

#include "curbshed/siting/materials.hpp"
#include "curbshed/study/preparation.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace curbshed::siting {

/// A cut as the choice looks at it.
struct CutToChoose {
  std::int32_t node = -1;         ///< of the model
  std::int32_t candidate = -1;    ///< its number among the candidates; −1 = a cut of the user's
  std::string words_metric = {};  ///< where it is; "" where words alone cannot say it
  std::string words_us = {};
  std::string id = {};
  std::string place_id = {};  ///< from street, side and distance
  std::string house = {};     ///< the house before which it lies, "12 Kiln Street"; "" = not known
  std::string block = {};     ///< side of a block; "" = none
  std::int32_t curb = -1;     ///< spacing is kept along it
  double along_curb_m = 0.0;
  Cost cost = {};
  double digging_m3 = 0.0;  ///< of the ground as it lies
  double weight = 1.0;      ///< of the water that its basin keeps
  study::Consent consent = study::Consent::NotAsked;
  bool over_a_limit = false;
};

/// The basin behind a cut as it is dug; absent where it has no floor.
std::optional<DugBasin> dug_basin(const study::ChainModel& model, std::size_t node,
                                  const study::Settings& settings);

/// The cuts of a run, by their ids. `over_a_limit`: one a node, empty = nothing was screened.
std::vector<CutToChoose> cuts_of_run(const study::Preparation& preparation, const study::StudyInputs& inputs,
                                     const study::Settings& settings,
                                     const std::vector<std::uint8_t>& over_a_limit);

}  // namespace curbshed::siting
