// Gutters of any form and openings of any kind in a storm, and the widest water between places.
#include "curbshed/study/reach_sections.hpp"

#include "curbshed/water/gutter_forms.hpp"

#include "support/chain_worlds.hpp"

#include <gtest/gtest.h>

namespace curbshed::study {
namespace {

using street::NodeKind::Cut;
using street::NodeKind::Inlet;
using street::NodeKind::Outfall;
using testing::ChainBuilder;
using testing::hour_storm;
using testing::kPavement;

/// Cut, cut, outfall; `change` is done to the params of all nodes.
template <class Change>
StormComparison storm_with(const Change& change) {
  ChainBuilder world({Cut, Cut, Outfall});
  world.patch({0, kPavement, 900, 4, 0});
  world.patch({1, kPavement, 900, 4, 0});
  world.patch({2, kPavement, 900, 4, 0});
  for (NodeParams& params : world.model.params) change(params);
  const ChainModel model = world.build();
  return compare_storm(model, hour_storm(0.022), true);  // throws when a ledger does not close
}

void dipped(NodeParams& params) { params.section = {water::GutterForm::Depressed, 0.6, 0.05}; }

double captured(const StormComparison& c) {
  return c.with_cuts.nodes[0].captured_m3 + c.with_cuts.nodes[1].captured_m3;
}

TEST(GutterSections, ADippedGutterIsNarrowerAndDeeperAndItsCutTakesMore) {
  const StormComparison plain = storm_with([](NodeParams&) {});
  const StormComparison dip = storm_with([](NodeParams& p) { dipped(p); });
  for (std::size_t n = 0; n < 3; ++n) {
    EXPECT_LT(dip.base.nodes[n].max_spread_m, plain.base.nodes[n].max_spread_m);
    EXPECT_GT(dip.base.nodes[n].max_depth_m, plain.base.nodes[n].max_depth_m);
    EXPECT_NEAR(dip.base.nodes[n].peak_arriving_m3_s, plain.base.nodes[n].peak_arriving_m3_s,
                0.02 * plain.base.nodes[n].peak_arriving_m3_s);
  }
  EXPECT_GT(dip.with_cuts.nodes[0].entered_m3, plain.with_cuts.nodes[0].entered_m3);
  // At the recorded peak the spread is that of the section.
  const water::RawGutter g = water::raw_gutter(water::CompositeGutter{
      .section = {base::Slope::fraction(0.01), base::Slope::fraction(0.02), base::Roughness::manning(0.016)},
      .width = base::Length::metres(0.6),
      .depression = base::Length::metres(0.05)});
  EXPECT_NEAR(dip.base.nodes[1].max_spread_m,
              water::spread_at_flow_m(g, dip.base.nodes[1].peak_arriving_m3_s), 1e-9);
}

TEST(GutterSections, ALocalDipHelpsAndAParabolaRunsThroughTheStorm) {
  const double plain = captured(storm_with([](NodeParams& p) { p.basin.length_m = 20.0; }));
  const double dip = captured(storm_with([](NodeParams& p) {
    p.basin.length_m = 20.0;
    p.local_dip_m = 0.025;
    p.local_dip_width_m = 0.45;
  }));
  EXPECT_GT(dip, plain);
  const StormComparison crown = storm_with([](NodeParams& p) {
    p.section = {water::GutterForm::Parabolic, 5.0, 0.12};
  });
  EXPECT_GT(captured(crown), 0.0);
  EXPECT_LE(crown.base.nodes[2].max_spread_m, 5.0);
}

TEST(OpeningKinds, ASlabAndASmallHoleTakeLessThanAnOpenCut) {
  const auto big = [](NodeParams& p) { p.basin.length_m = 30.0; };
  const double open = captured(storm_with(big));
  const double slab = captured(storm_with([&](NodeParams& p) {
    big(p);
    p.throat_m = 0.006;  // a wider one lets all of it through
  }));
  const auto cored = [&](double diameter_m, double rise_m) {
    return captured(storm_with([&](NodeParams& p) {
      big(p);
      p.kind = OpeningKind::Core;
      p.opening_m = diameter_m;
      p.invert_rise_m = rise_m;
      p.basin.invert_m += rise_m;
    }));
  };
  EXPECT_LT(slab, open);
  EXPECT_GT(slab, 0.0);
  EXPECT_LT(cored(0.10, 0.0), open);
  EXPECT_LT(cored(0.05, 0.0), cored(0.10, 0.0));
  EXPECT_LT(cored(0.10, 0.02), cored(0.10, 0.0));
  EXPECT_GT(cored(0.10, 0.02), 0.0);
}

TEST(PondedTable, ALesserWeirTakesLess) {
  const auto taken_by = [](double weir) {
    ChainBuilder world({Cut, Outfall});
    world.patch({0, kPavement, 900, 4, 0});
    world.model.params[0].opening_m = 3.0;
    world.model.params[0].basin.length_m = 30.0;
    world.model.ponded.weir = weir;
    return compare_storm(world.build(), hour_storm(0.022), false).with_cuts.nodes[0].captured_m3;
  };
  EXPECT_LT(taken_by(0.2), taken_by(1.6));
}

TEST(ReachSpread, IsThatOfTheFlattestPieceAndOfTheLowerEnd) {
  ChainBuilder world({Cut, Cut, Outfall});
  world.patch({0, kPavement, 900, 4, 0});
  world.patch({1, kPavement, 900, 4, 0});
  ChainModel model = world.build();
  model.reaches.resize(model.network.size());
  model.reaches[0].flattest_grade = 0.004;
  model.reaches[0].flattest_from_m = 25.0;
  model.least_grade = 0.003;
  const StormComparison c = compare_storm(model, hour_storm(0.022), false);
  const auto gutter = [](double grade) {
    return water::raw_gutter(water::GutterSection{base::Slope::fraction(grade), base::Slope::fraction(0.02),
                                                  base::Roughness::manning(0.016)});
  };
  const double upper = c.base.nodes[0].peak_leaving_m3_s;
  const double lower = c.base.nodes[1].peak_arriving_m3_s;
  EXPECT_GT(lower, upper);
  ASSERT_TRUE(c.reaches_before[0].flattest_m && c.reaches_before[0].lower_end_m);
  EXPECT_NEAR(*c.reaches_before[0].flattest_m, water::spread_at_flow_m(gutter(0.004), 0.5 * (upper + lower)),
              1e-12);
  EXPECT_NEAR(*c.reaches_before[0].lower_end_m, water::spread_at_flow_m(gutter(0.01), lower), 1e-12);
  EXPECT_LT(c.reaches_with_cuts[0].widest_m(), c.reaches_before[0].widest_m());
  EXPECT_FALSE(c.reaches_before[1].flattest_m);
  EXPECT_FALSE(c.reaches_before[2].lower_end_m);
  model.reaches[0].flattest_grade = 0.0001;  // lifted to the least grade
  const std::vector<ReachSpread> flat = reach_spreads(model, c.base);
  EXPECT_NEAR(*flat[0].flattest_m, water::spread_at_flow_m(gutter(0.003), 0.5 * (upper + lower)), 1e-12);
}

}  // namespace
}  // namespace curbshed::study
