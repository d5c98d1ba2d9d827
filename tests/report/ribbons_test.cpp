#include "curbshed/report/ribbons.hpp"

#include "support/small_facts.hpp"

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

using testing::SmallFacts;

TEST(Ribbons, FollowTheChainDownOneSideOfTheStreet) {
  const SmallFacts run;
  const std::vector<Ribbon> ribbons = ribbons_of(run.facts, run.storms[0]);
  ASSERT_EQ(ribbons.size(), 1U);
  const Ribbon& one = ribbons[0];
  EXPECT_EQ(one.street, "Kiln Street");
  EXPECT_EQ(one.side, "north");
  ASSERT_GE(one.places.size(), 2U);
  double last_m = -1.0;
  for (const RibbonPlace& place : one.places) {
    EXPECT_GE(place.along_m, last_m);
    last_m = place.along_m;
    EXPECT_EQ(place.arriving_m3,
              run.storms[0].with_cuts.nodes[static_cast<std::size_t>(place.node)].arriving_m3);
  }
  EXPECT_EQ(one.length_m, last_m);
}

TEST(Ribbons, SideWithoutACutHasNone) {
  SmallFacts run;
  for (street::NodeKind& kind : run.preparation.model.network.kind) {
    if (kind == street::NodeKind::Cut) kind = street::NodeKind::Inlet;
  }
  EXPECT_TRUE(ribbons_of(run.facts, run.storms[0]).empty());
}

TEST(Ribbons, BandIsDrawnToScale) {
  SmallFacts run;
  run.with(0, SmallFacts::kK2).arriving_m3 = 40.0;
  const Ribbon one = ribbons_of(run.facts, run.storms[0]).front();
  EXPECT_EQ(thickest_m3(one), 40.0);
  const std::string whole = ribbon_svg(run.facts, one, 40.0, 100.0, Units::Metric);
  EXPECT_NE(whole, ribbon_svg(run.facts, one, 80.0, 100.0, Units::Metric));
  EXPECT_NE(whole.find("class=\"before\""), std::string::npos);
  EXPECT_NE(whole.find("class=\"bite\""), std::string::npos);
}

}  // namespace
}  // namespace curbshed::report
