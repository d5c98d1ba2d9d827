#include "study/drain_pipes.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/study/storm.hpp"

#include "study/chain_run.hpp"
#include "support/chain_worlds.hpp"
#include "support/study_block.hpp"

#include <gtest/gtest.h>

namespace curbshed::testing {
namespace {

using namespace curbshed::study;
using enum street::NodeKind;

/// Kiln Street falls 1 % to the east; the drain lies above cut "b" on the north side.
StudyInputs drained(base::Point outlet) {
  DrawnBlock block = draw_block({});
  block.inlet("drain", -20.0, 5.0);
  block.cut("a", 0.0, 5.0);
  block.cut("south", 30.0, -5.0);
  block.outfall("out", 60.0, 5.0);
  StudyInputs inputs = inputs_of(block);
  inputs.overrides[0].inlet.outlet = "P1";
  inputs.overrides[0].inlet.outlet_at = outlet;
  return inputs;
}

std::int32_t pipe_to(const Preparation& p, const std::string& inlet) {
  return p.model.params[static_cast<std::size_t>(node_of(p.model.network, inlet))].pipe_to;
}

TEST(DrainPipes, ComeUpInTheGutterAndRunOnToItsNextPlace) {
  const Preparation down = prepare(drained({-10.0, 5.5}), usual_settings(), {});
  EXPECT_EQ(pipe_to(down, "drain"), node_of(down.model.network, "a"));
  const Preparation over = prepare(drained({10.0, -5.5}), usual_settings(), {});
  EXPECT_EQ(pipe_to(over, "drain"), node_of(over.model.network, "south"));
  StudyInputs gone = drained({0.0, 0.0});
  gone.overrides[0].inlet.outlet_at.reset();
  EXPECT_EQ(pipe_to(prepare(gone, usual_settings(), {}), "drain"), -1);
}

TEST(DrainPipes, AnOutletAboveItsInletOrOffTheGroundIsRefused) {
  try {
    prepare(drained({-30.0, 5.5}), usual_settings(), {});
    FAIL();
  } catch (const base::InputError& error) {
    EXPECT_EQ(std::string(error.what()),
              "sites.gpkg:points, drain: water that comes up at its outlet P1 runs to this inlet again. "
              "Allowed: an "
              "outlet below the inlet. Do: check which outlet is whose, and where it lies.");
  }
  EXPECT_THROW(prepare(drained({900.0, 0.0}), usual_settings(), {}), base::InputError);
}

TEST(DrainPipes, BringTheirWaterToTheOtherChainAndTheLedgersClose) {
  Storm storm = hour_storm(0.03);
  ChainModel model = busy_chain();
  const StormComparison gone = compare_storm(model, storm, true);
  model.params[1].pipe_to = 8;                                    // to the last cut
  model.params[5].pipe_to = 9;                                    // from the pond to the outfall
  const StormComparison led = compare_storm(model, storm, true);  // throws when a ledger does not close
  EXPECT_EQ(led.base.ledger.into_inlets_m3, 0.0);
  EXPECT_GT(gone.base.ledger.into_inlets_m3, 0.0);
  EXPECT_GT(led.base.nodes[1].into_inlet_m3, 0.0);
  EXPECT_GT(led.base.nodes[8].arriving_m3, gone.base.nodes[8].arriving_m3);
  EXPECT_NEAR(led.base.nodes[9].arriving_m3 - gone.base.nodes[9].arriving_m3, gone.base.ledger.into_inlets_m3,
              0.02 * gone.base.ledger.into_inlets_m3);  // less what the side ways take on the way
  EXPECT_LT(led.with_cuts.ledger.relative_gap(), 1e-12);
}

TEST(DrainPipes, ALitreDroppedInAPipeIsMissedOnce) {
  ChainModel model = busy_chain();
  model.params[1].pipe_to = 8;
  const Storm storm = hour_storm(0.03);
  const EventReaches reaches = event_reaches(model, storm);
  DroppedWater none;
  const LateralInflow lateral = lateral_inflow(model, reaches.join_travel_s, storm, none, {});
  DroppedWater dropped(Process::Inlet, 1.0);
  const StormResult result =
      run_chain(model, reaches, lateral, storm, all_open(model), empty_state(model), dropped, {});
  EXPECT_TRUE(dropped.all_lost());
  EXPECT_NEAR(result.ledger.gap_m3(), 0.001, 1e-11);
}

TEST(DrainPipes, ANodeEarlierInTheOrderGetsItsWaterTogetherWithItsOwn) {
  Storm storm;
  steady_world({Inlet, Outfall}, 0.02, storm);
  ChainBuilder world({Inlet, Outfall, Inlet, Outfall});
  world.patch({2, kPavement, 1000, 0, 0});
  ChainModel model = world.build();
  model.params[2].pipe_to = 1;
  const StormResult result =
      run_storm(model, event_reaches(model, storm), storm, all_open(model), empty_state(model));
  EXPECT_GT(result.nodes[2].into_inlet_m3, 1.0);
  EXPECT_NEAR(result.nodes[1].arriving_m3, result.nodes[0].passed_on_m3 + result.nodes[2].into_inlet_m3,
              0.05);
  EXPECT_LT(result.ledger.relative_gap(), 1e-12);
}

TEST(DrainPipes, KindsAndRatingsDecideWhatAnInletTakes) {
  Storm storm;
  ChainModel model = steady_world({Inlet, Outfall}, 0.05, storm);
  const auto passed = [&] {
    return run_storm(model, event_reaches(model, storm), storm, all_open(model), empty_state(model))
        .nodes[0]
        .peak_leaving_m3_s;
  };
  const double opening = passed();
  model.params[0].inlet = water::InletKind::Slotted;
  EXPECT_EQ(passed(), opening);
  model.params[0].inlet = water::InletKind::Grate;
  model.params[0].opening_m = 0.6;
  model.params[0].clogging = 0.0;
  model.params[0].inlet_width_m = 0.6;
  EXPECT_NEAR(passed(), 0.05 * (1.0 - 0.4851) * (1.0 - 0.1315),
              2e-5);  // by hand in tests/water/inlet_test.cpp
  model.ratings = {{.by_depth = false, .pairs = {{0.1, 0.04}}}};
  model.params[0].rating = 0;
  EXPECT_NEAR(passed(), 0.03, 1e-9);
  model.params[0].clogging = 0.5;
  EXPECT_NEAR(passed(), 0.04, 1e-9);
}

}  // namespace
}  // namespace curbshed::testing
