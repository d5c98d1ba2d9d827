#include "curbshed/siting/cuts_to_choose.hpp"

#include "support/chain_worlds.hpp"

#include <gtest/gtest.h>

namespace curbshed::testing {
namespace {

using enum NodeKind;

TEST(CutsToChoose, AreTheRunsCutsByNameWithWhatTheyCostAndWhatOwnersSaid) {
  ChainBuilder world({Cut, Inlet, Cut, Outfall});
  study::Preparation preparation;
  preparation.model = world.build();
  preparation.model.network.id = {"z", "drain", "a", "south", "edge"};
  preparation.model.network.site = {0, 1, 2, -1, -1};
  preparation.maps.street.places.resize(5);
  study::StudyInputs inputs;
  inputs.overrides.resize(3);
  inputs.overrides[2].weight = 2.5;
  inputs.overrides[0].consent = study::Consent::No;
  study::Settings settings;
  settings.money.site = 300.0;
  const std::vector<siting::CutToChoose> cuts =
      siting::cuts_of_run(preparation, inputs, settings, {0, 0, 1, 0, 0});
  ASSERT_EQ(cuts.size(), 2U);
  EXPECT_EQ(cuts[0].id, "a");
  EXPECT_EQ(cuts[1].id, "z");
  EXPECT_EQ(cuts[0].weight, 2.5);
  EXPECT_EQ(cuts[1].weight, 1.0);
  EXPECT_EQ(cuts[1].consent, study::Consent::No);
  EXPECT_TRUE(cuts[0].over_a_limit);
  EXPECT_FALSE(cuts[1].over_a_limit);
  EXPECT_EQ(cuts[0].cost.total, 300.0);
  // Ground that counts: both stand at the origin, the weights of two areas multiply.
  const auto square = [](double half_m) {
    return base::polygon_shape(
        {{{{-half_m, -half_m}, {half_m, -half_m}, {half_m, half_m}, {-half_m, half_m}, {-half_m, -half_m}}}});
  };
  inputs.weights = {{square(5.0), 3.0}, {square(9.0), 0.5}};
  const std::vector<siting::CutToChoose> weighed = siting::cuts_of_run(preparation, inputs, settings, {});
  EXPECT_EQ(weighed[0].weight, 2.5 * 1.5);
  EXPECT_EQ(weighed[1].weight, 1.5);
  preparation.model.network.at[0] = {7.0, 0.0};
  EXPECT_EQ(siting::cuts_of_run(preparation, inputs, settings, {})[1].weight, 0.5);
  // A hole at least as large as the water that it holds: 4 m × 2 m, 2:1, 0.15 m deep.
  EXPECT_GT(cuts[0].digging_m3, 3.7 * 1.7 * 0.15);
}

}  // namespace
}  // namespace curbshed::testing
