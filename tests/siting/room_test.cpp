#include "curbshed/siting/room.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>
#include <random>

#include <gtest/gtest.h>

namespace curbshed::siting {
namespace {

constexpr double kInch_m = 0.0254;
constexpr double kFoot_m = 0.3048;

const RoomAsked kUsual{.length_m = 10.0 * kFoot_m, .width_m = 4.0 * kFoot_m, .ponding_m = 6.0 * kInch_m};

RoomThere strip(double width_m) { return {.strip_m = width_m, .free_m = 30.0}; }

// By hand, 6 ft strip, no parking, 2:1: 72 in − 12 in (back of curb) − 12 in (shelf) − 17.717 in (floor, 0.45
// m) = 30.283 in for slopes; / 4 = 7.571 in; − 2 in (drop) = 5.571 in.
TEST(Room, SixFootStripHoldsFiveAndAHalfInches) {
  const RoomAnswer answer =
      fit_room({.length_m = 3.0, .width_m = 1.5, .ponding_m = 6.0 * kInch_m}, strip(6.0 * kFoot_m), {});
  EXPECT_FALSE(answer.asked_fits);
  ASSERT_TRUE(answer.basin);
  ASSERT_TRUE(answer.deepest_ponding_m);
  EXPECT_NEAR(*answer.deepest_ponding_m / kInch_m, 72.0 / 4.0 - 24.0 / 4.0 - 0.45 / kInch_m / 4.0 - 2.0,
              1e-9);
  EXPECT_NEAR(answer.basin->ponding_m / kInch_m, 5.571, 5e-4);
  EXPECT_NEAR(answer.basin->floor_width_m, 0.45, 1e-12);
  EXPECT_NEAR(answer.basin->setback_m / kInch_m, 16.0, 1e-9);
  // 12 + 12 + 4 · (6 + 2) + 17.717 in
  EXPECT_NEAR(answer.least_strip_m / kInch_m, 56.0 + 0.45 / kInch_m, 1e-9);
}

TEST(Room, BesideParkingTheStepOutCostsAnInchAndAHalfOfDepth) {
  RoomThere there = strip(6.0 * kFoot_m);
  const RoomAsked asked{.length_m = 3.0, .width_m = 1.5, .ponding_m = 6.0 * kInch_m};
  const double without_m = fit_room(asked, there, {}).basin->ponding_m;
  there.parking = true;
  EXPECT_NEAR(without_m - fit_room(asked, there, {}).basin->ponding_m, 1.5 * kInch_m, 1e-12);
}

TEST(Room, NoWalkNeedsNoShelf) {
  RoomThere there = strip(6.0 * kFoot_m);
  const RoomAsked asked{.length_m = 3.0, .width_m = 1.5, .ponding_m = 6.0 * kInch_m};
  const double with_m = fit_room(asked, there, {}).needed_strip_m;
  there.walk = false;
  EXPECT_NEAR(with_m - fit_room(asked, there, {}).needed_strip_m, RoomRules{}.shelf_m, 1e-12);
}

TEST(Room, EqualFits) {
  const double needed_m = fit_room(kUsual, strip(9.0), {}).needed_strip_m;
  EXPECT_TRUE(fit_room(kUsual, strip(needed_m), {}).asked_fits);
  EXPECT_FALSE(fit_room(kUsual, strip(needed_m - 1e-6), {}).asked_fits);
  RoomThere there = strip(9.0);
  there.free_m = fit_room(kUsual, there, {}).needed_free_m;
  EXPECT_TRUE(fit_room(kUsual, there, {}).asked_fits);
  there.free_m -= 1e-6;
  EXPECT_FALSE(fit_room(kUsual, there, {}).asked_fits);
}

TEST(Room, OneLimitFailedGivesTheBasinThatPasses) {
  const RoomAsked asked{.length_m = 4.0, .width_m = 1.5, .ponding_m = 0.15};
  const RoomAnswer wide = fit_room(asked, strip(9.0), {});
  EXPECT_TRUE(wide.asked_fits);
  // Narrower only: the floor of 0.9 m shrinks.
  const RoomAnswer narrow = fit_room(asked, strip(wide.needed_strip_m - 0.3), {});
  ASSERT_TRUE(narrow.basin);
  EXPECT_TRUE(narrow.too_narrow);
  EXPECT_NEAR(narrow.basin->width_m, 1.2, 1e-12);
  EXPECT_NEAR(narrow.basin->ponding_m, 0.15, 1e-12);
  // Shorter.
  RoomThere there = strip(9.0);
  there.free_m = 3.0;
  const RoomAnswer brief = fit_room(asked, there, {});
  ASSERT_TRUE(brief.basin);
  EXPECT_TRUE(brief.too_short);
  EXPECT_FALSE(brief.too_narrow);
  EXPECT_NEAR(brief.basin->length_m, 3.0 - 4.0 * RoomRules{}.drop_m, 1e-12);
  EXPECT_EQ(room_words(asked, there, brief, street::TapeUnit::Metre),
            "3.00 m of curb are free and the basin needs 4.20 m: 2.80 m long fits");
}

TEST(Room, WhatLeavesTooLittleSaysWhich) {
  const RoomAnswer flat = fit_room(kUsual, strip(4.0 * kFoot_m), {});
  EXPECT_FALSE(flat.basin);
  EXPECT_TRUE(flat.no_depth);
  EXPECT_FALSE(flat.no_length);
  RoomThere there = strip(9.0);
  there.free_m = 2.0;
  const RoomAnswer brief = fit_room(kUsual, there, {});
  EXPECT_FALSE(brief.basin);
  EXPECT_TRUE(brief.no_length);
  there.free_m = 0.0;
  EXPECT_FALSE(fit_room(kUsual, there, {}).basin);
  EXPECT_FALSE(fit_room(kUsual, strip(0.0), {}).basin);
}

TEST(Room, UnknownWidthIsSaidAndNotATrap) {
  const RoomAnswer answer =
      fit_room({.length_m = 3.0, .width_m = 1.5, .ponding_m = 0.15}, {.strip_m = {}, .free_m = 9.0}, {});
  EXPECT_TRUE(answer.asked_fits);
  EXPECT_FALSE(answer.width_known);
  EXPECT_FALSE(answer.deepest_ponding_m);
}

TEST(Room, WhatIsReturnedFitsAndNothingDeeperDoes) {
  std::mt19937 random(31);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  for (int i = 0; i < 2000; ++i) {
    RoomRules rules;
    rules.side_slope = std::floor(share(random) * 5.0);
    rules.drop_m = 0.1 * share(random);
    const RoomAsked asked{.length_m = 1.0 + 5.0 * share(random),
                          .width_m = 0.8 + 2.0 * share(random),
                          .ponding_m = 0.05 + 0.3 * share(random)};
    const RoomThere there{.strip_m = 4.0 * share(random),
                          .free_m = 8.0 * share(random),
                          .parking = share(random) < 0.5,
                          .walk = share(random) < 0.5};
    const RoomAnswer answer = fit_room(asked, there, rules);
    if (!answer.basin) {
      EXPECT_FALSE(answer.asked_fits);
      continue;
    }
    const RoomBasin& basin = *answer.basin;
    const double edges_m =
        (there.parking ? rules.step_out_m : rules.back_of_curb_m) + (there.walk ? rules.shelf_m : 0.0);
    const auto across_m = [&](double ponding_m) {
      return edges_m + 2.0 * rules.side_slope * (ponding_m + rules.drop_m) + rules.least_floor_m;
    };
    EXPECT_LE(across_m(basin.ponding_m), *there.strip_m + 1e-9) << i;
    EXPECT_LE(basin.length_m + 2.0 * rules.side_slope * rules.drop_m, there.free_m + 1e-9) << i;
    EXPECT_GE(basin.floor_width_m, rules.least_floor_m - 1e-9) << i;
    EXPECT_GE(basin.floor_length_m, rules.least_floor_m - 1e-9) << i;
    EXPECT_LE(basin.ponding_m, asked.ponding_m) << i;
    const double deeper_m = basin.ponding_m + 1e-6;
    const bool asked_all = basin.ponding_m >= asked.ponding_m - 1e-9;
    const double least_m = rules.least_floor_m + 2.0 * rules.side_slope * deeper_m;
    EXPECT_TRUE(asked_all || across_m(deeper_m) > *there.strip_m || least_m > basin.length_m ||
                least_m > asked.width_m)
        << i;
    EXPECT_EQ(answer.asked_fits, room_words(asked, there, answer, street::TapeUnit::Metre).empty()) << i;
  }
}

TEST(Channel, SixInchCurbCoversAFourInchChannel) {
  const ChannelThere there{.length_m = 1.5, .curb_height_m = 0.15, .ponding_m = 0.15};
  const ChannelAnswer answer = fit_channel(there, {});
  EXPECT_TRUE(answer.fits());
  EXPECT_NEAR(answer.cover_m, 0.05, 1e-12);
  EXPECT_NEAR(answer.fall_m, 0.015, 1e-12);
  EXPECT_EQ(channel_words(there, answer, {}, street::TapeUnit::Metre), "");
}

TEST(Channel, EachLimitBitesAlone) {
  const ChannelThere good{.length_m = 1.5, .curb_height_m = 0.15, .ponding_m = 0.15};
  ChannelThere low = good;
  low.curb_height_m = 0.12;
  EXPECT_TRUE(fit_channel(low, {}).too_thin);
  low.curb_height_m = 0.125;  // equal is within
  EXPECT_TRUE(fit_channel(low, {}).fits());
  ChannelThere far = good;
  far.length_m = 3.5;
  EXPECT_TRUE(fit_channel(far, {}).too_long);
  EXPECT_FALSE(fit_channel(far, {}).too_thin);
  EXPECT_EQ(channel_words(far, fit_channel(far, {}), {}, street::TapeUnit::Metre),
            "the channel would be 3.50 m long, over 3.00 m");
  ChannelThere flat = good;
  flat.ponding_m = 0.014;
  EXPECT_TRUE(fit_channel(flat, {}).too_flat);
}

}  // namespace
}  // namespace curbshed::siting
