// A drawn block as the inputs of a study.
#pragma once

#include "curbshed/study/preparation.hpp"

#include "support/drawn_block.hpp"

namespace curbshed::testing {

/// Pavement CN 98, everything else a yard of CN 88 (n 0.05, pervious).
inline study::StudyInputs inputs_of(const DrawnBlock& block) {
  study::StudyInputs inputs;
  inputs.ground = block.ground;
  inputs.pavement = block.pavement;
  inputs.roof = block.roof;
  inputs.loss_classes = {{.name = "street",
                          .curve_number = 98.0,
                          .connected = 1.0,
                          .pervious = false,
                          .sheet_roughness = 0.011,
                          .paved = true},
                         {.name = "yard",
                          .curve_number = 88.0,
                          .connected = 1.0,
                          .pervious = true,
                          .sheet_roughness = 0.05,
                          .paved = false}};
  inputs.loss_class = Grid<std::uint16_t>(block.ground.frame.rows, block.ground.frame.cols, 1);
  for (std::int64_t cell = 0; cell < block.pavement.cells(); ++cell) {
    inputs.loss_class[cell] = block.pavement[cell] != 0 ? 0 : 1;
  }
  inputs.curbs = block.curbs;
  inputs.sites = block.sites;
  inputs.overrides.resize(block.sites.size());
  inputs.inlets_given = true;
  return inputs;
}

inline study::Settings usual_settings() {
  study::Settings settings;
  settings.rain.two_year_1h_m = 0.022;
  settings.rain.ten_year_1h_m = 0.035;
  settings.basin.infiltration_m_s = 0.025 / 3600.0;
  return settings;
}

}  // namespace curbshed::testing
