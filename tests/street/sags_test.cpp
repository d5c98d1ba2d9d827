#include "street/sags.hpp"

#include "curbshed/street/network.hpp"

#include "support/drawn_block.hpp"

#include <gtest/gtest.h>

namespace curbshed::street {
namespace {

using namespace curbshed::testing;

/// Hollows by the place of their deepest cell: the northern gutter's.
const PassedDepression* northern(const StreetModel& model) {
  for (const PassedDepression& p : model.passed) {
    if (p.at.y_m > 0.0) return &p;
  }
  return nullptr;
}

/// Falls east to x = 0, rises `hump_m` to x = 20, falls on. The northern gutter is 1 cm lower at the hump.
DrawnBlock hollow_street(double hump_m) {
  StraightStreet street;
  street.profile = [hump_m](double x) {
    if (x < 0.0) return 100.0 - 0.01 * x;
    return x < 20.0 ? 100.0 + hump_m / 20.0 * x : 100.0 + hump_m - 0.01 * (x - 20.0);
  };
  DrawnBlock block = draw_block(street);
  for (std::int64_t cell = 0; cell < block.ground.frame.cells(); ++cell) {
    const base::Point p = block.ground.frame.centre(cell);
    if (p.y_m > 2.0)
      block.ground.height_m[cell] -= static_cast<float>(0.01 * std::clamp((p.x_m - 5.0) / 10.0, 0.0, 1.0));
  }
  block.cut("above", -40.25, 5.2);
  block.cut("below", 50.25, 5.2);
  return block;
}

TEST(Sags, ADeepHollowIsKeptWithItsPond) {
  const DrawnBlock block = hollow_street(0.14);
  const StreetModel model = block.build();
  const Network& net = model.network;
  const std::int32_t sag = node_of(net, "sag-kiln-street-north-west-end-east-82");
  ASSERT_GE(sag, 0) << net.id[1];
  const auto n = static_cast<std::size_t>(sag);
  EXPECT_EQ(net.kind[n], NodeKind::Sag);
  EXPECT_NEAR(net.sag_depth_m[n], 0.13, 0.006);
  EXPECT_NEAR(net.sag_spill_m[n] - net.sag_bottom_m[n], net.sag_depth_m[n], 1e-5);
  EXPECT_EQ(net.downstream[static_cast<std::size_t>(node_of(net, "above"))], sag);
  EXPECT_EQ(net.downstream[n], node_of(net, "below"));
  double volume = 0.0;
  std::int64_t wet = 0;
  for (const float d : model.standing_water_m.values()) {
    volume += static_cast<double>(d) * block.ground.frame.cell_area_m2();
    wet += d > 0.0F ? 1 : 0;
  }
  EXPECT_NEAR(net.sag_volume_m3[n], volume, 1e-3 * volume);
  EXPECT_NEAR(net.sag_area_m2[n], static_cast<double>(wet) * block.ground.frame.cell_area_m2(), 1e-9);
  EXPECT_TRUE(model.notes.has(base::NoteId::SagKept));
  EXPECT_TRUE(model.passed.empty());
}

TEST(Sags, CutsAndInletsInThePondAreFedByIt) {
  DrawnBlock block = hollow_street(0.14);
  block.inlet("drain", 0.0, 5.1);
  block.cut("low", 2.25, -5.1);
  const StreetModel model = block.build();
  const Network& net = model.network;
  std::int32_t sag = -1;
  for (std::size_t n = 0; n < net.size(); ++n) {
    if (net.kind[n] == NodeKind::Sag) sag = static_cast<std::int32_t>(n);
  }
  ASSERT_GE(sag, 0);
  for (const char* id : {"drain", "low"}) {
    const std::int32_t n = node_of(net, id);
    EXPECT_EQ(net.in_sag[static_cast<std::size_t>(n)], sag);
    EXPECT_EQ(net.downstream[static_cast<std::size_t>(n)], net.downstream[static_cast<std::size_t>(sag)]);
    EXPECT_EQ(cells_of(model, n), 0);
    EXPECT_LT(sag, n);
    EXPECT_EQ(net.grade[static_cast<std::size_t>(n)], 0.0);
  }
}

TEST(Sags, AShallowHollowIsPassedAndListed) {
  const DrawnBlock block = hollow_street(0.06);
  const StreetModel model = block.build();
  ASSERT_EQ(model.passed.size(), 2U);  // one in each gutter: the crown stands between them
  const PassedDepression* hollow = northern(model);
  ASSERT_NE(hollow, nullptr);
  EXPECT_NEAR(hollow->depth_m, 0.05, 0.006);
  EXPECT_EQ(hollow->over, "surface");
  EXPECT_EQ(hollow->into, "below");
  EXPECT_EQ(model.network.downstream[static_cast<std::size_t>(node_of(model.network, "above"))],
            node_of(model.network, "below"));
  EXPECT_EQ(model.notes.at(base::NoteId::DepressionPassed).count, 2);
}

TEST(Sags, AShallowHollowIsKeptWhenMarkedOrWhenAnInletStandsInIt) {
  DrawnBlock marked = hollow_street(0.06);
  marked.settings.keep_sags_at = {{0.0, 4.0}};
  EXPECT_EQ(northern(marked.build()), nullptr);
  DrawnBlock drained = hollow_street(0.06);
  drained.inlet("drain", 0.0, 5.1);
  const StreetModel model = drained.build();
  EXPECT_EQ(northern(model), nullptr);
  EXPECT_GE(model.network.in_sag[static_cast<std::size_t>(node_of(model.network, "drain"))], 0);
}

TEST(Sags, AnInletInAHollowUnderOneElevationErrorStaysOnItsGrade) {
  DrawnBlock block = hollow_street(0.03);  // 2 cm deep
  block.inlet("drain", 0.0, 5.1);
  StreetModel model = block.build();
  EXPECT_NE(northern(model), nullptr);
  EXPECT_EQ(model.network.in_sag[static_cast<std::size_t>(node_of(model.network, "drain"))], -1);
  block.settings.inlet_sag_errors = 0.0;
  model = block.build();
  EXPECT_GE(model.network.in_sag[static_cast<std::size_t>(node_of(model.network, "drain"))], 0);
}

TEST(Sags, OfManyPassedHollowsTheLargestAreListed) {
  terrain::Depressions hollows;
  for (const double volume_m3 : {3.0, 1.0, 9.0, 2.0, 3.0, 8.0}) {
    hollows.list.emplace_back();
    hollows.list.back().volume_m3 = volume_m3;
  }
  const std::vector<std::uint8_t> kept = {0, 0, 1, 0, 0, 0};  // the largest is a sag
  using Numbers = std::vector<std::size_t>;
  EXPECT_EQ(detail::largest_passed(hollows, kept, 9), (Numbers{0, 1, 3, 4, 5}));
  EXPECT_EQ(detail::largest_passed(hollows, kept, 3), (Numbers{0, 4, 5}));
  EXPECT_EQ(detail::largest_passed(hollows, kept, 2), (Numbers{0, 5}));
  EXPECT_EQ(detail::largest_passed(hollows, kept, 0), Numbers{});
}

TEST(Sags, ADeepButSmallHoleIsPassed) {
  DrawnBlock block = draw_block({});
  block.cut("c", 40.25, 5.2);
  const std::int64_t hole = block.ground.frame.cell_at({0.0, 2.0});
  block.ground.height_m[hole] -= 0.5F;
  const StreetModel model = block.build();
  ASSERT_EQ(model.passed.size(), 1U);
  EXPECT_NEAR(model.passed[0].area_m2, 0.25, 1e-9);
}

TEST(Sags, APondBehindACurbSpillsOverTheCurb) {
  // The street falls across to its southern curb, dammed at both ends; behind the curb the lots fall away.
  StraightStreet street;
  street.profile = [](double x) { return 100.0 + 0.01 * std::abs(x); };
  DrawnBlock block = draw_block(street);
  for (std::int64_t cell = 0; cell < block.ground.frame.cells(); ++cell) {
    const base::Point p = block.ground.frame.centre(cell);
    if (p.y_m < -5.0)
      block.ground.height_m[cell] =
          static_cast<float>(100.0 - 0.1 + 0.1 + 0.02 * (p.y_m + 5.0) + 0.01 * std::abs(p.x_m));
  }
  block.settings.sag_depth_errors = 20.0;  // pass it, so that it is listed
  const StreetModel model = block.build();
  bool over_curb = false;
  for (const PassedDepression& p : model.passed)
    over_curb = over_curb || (p.over == "curb" && p.depth_m > 0.1);
  EXPECT_TRUE(over_curb);
}

}  // namespace
}  // namespace curbshed::street
