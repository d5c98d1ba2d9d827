#include "curbshed/siting/candidates.hpp"

#include "support/study_block.hpp"

#include <algorithm>
#include <random>

#include <gtest/gtest.h>

namespace curbshed::siting {
namespace {

using base::Point;
using testing::DrawnBlock;

base::Polygon box(double west, double south, double east, double north) {
  return {{{{west, south}, {east, south}, {east, north}, {west, north}, {west, south}}}};
}

/// Kiln Street along x, 160 m, curbs at y = ±5; a driveway of 4 m at x = 20 on the north side.
struct World {
  study::StudyInputs inputs;
  study::Settings settings = testing::usual_settings();
  BesideShapes beside;

  World() {
    DrawnBlock block = testing::draw_block({});
    block.curbs.clear();
    block.curbs.push_back(testing::curb_line("n1", "Kiln Street", "north", {{-82, 5}, {18, 5}}));
    block.curbs.push_back(testing::curb_line("gap", "Kiln Street", "north", {{18, 5}, {22, 5}}));
    block.curbs.back().kind = terrain::CurbKind::Gap;
    block.curbs.push_back(testing::curb_line("n2", "Kiln Street", "north", {{22, 5}, {82, 5}}));
    block.curbs.push_back(testing::curb_line("s", "Kiln Street", "south", {{-82, -5}, {82, -5}}));
    inputs = testing::inputs_of(block);
    settings.candidates.on = true;
    beside[BesideKind::Walk] = {box(-90, 7.2, 90, 8.7), box(-90, -8.7, 90, -7.2)};
  }
  void add(street::SiteKind kind, double x, double y) {
    street::Site site;
    site.kind = kind;
    site.id = "given";
    site.at = {x, y};
    inputs.sites.push_back(site);
    inputs.overrides.emplace_back();
  }
  CandidatePlaces find() const {
    const terrain::CurbField curbs = study::place_study_curbs(inputs, settings, {});
    return find_candidates({.inputs = &inputs, .curbs = &curbs, .beside = &beside}, settings);
  }
};

bool north(const CandidateSpot& spot) { return spot.at.y_m > 0.0; }

TEST(Candidates, EachStretchHasOneWhereThereIsRoom) {
  World world;
  const CandidatePlaces found = world.find();
  ASSERT_FALSE(found.spots.empty());
  const double half_rim_m = 1.5 + 2.0 * world.settings.room.drop_m;
  for (const CandidateSpot& spot : found.spots) {
    EXPECT_EQ(spot.place, CandidatePlace::Strip);
    EXPECT_NEAR(std::abs(spot.at.y_m), 5.0, 1e-9);
    EXPECT_NEAR(spot.there.strip_m.value(), 2.2, 1e-6);
    // 2.2 − 0.3048 · 2 − 0.2032 = 1.387 m across: floor 0.787 m under 0.15 m of water
    EXPECT_NEAR(spot.basin.width_m, 2.2 - 0.6096 - 0.2032, 1e-9);
    EXPECT_NEAR(spot.basin.ponding_m, 0.15, 1e-12);
    EXPECT_NEAR(spot.setback_m, 0.3048 + 0.1016, 1e-12);
    if (north(spot)) {
      EXPECT_TRUE(spot.at.x_m + half_rim_m <= 18.0 - 0.9144 + 0.5 ||
                  spot.at.x_m - half_rim_m >= 22.0 + 0.9144 - 0.5)
          << spot.at.x_m;
    }
  }
  std::int64_t without = 0;
  for (const std::int64_t count : found.without) without += count;
  EXPECT_EQ(found.stretches, static_cast<std::int64_t>(found.spots.size()) + without);
  EXPECT_GE(found.spots.size(), 20U);
}

TEST(Candidates, NoTwoNearerThanHalfASpacingByTryingAllPairs) {
  for (const double spacing_m : {4.0, 7.0, 15.0, 40.0}) {
    World world;
    world.settings.candidates.spacing_m = spacing_m;
    world.add(street::SiteKind::Cut, -30.0, 4.8);
    const CandidatePlaces found = world.find();
    for (std::size_t a = 0; a < found.spots.size(); ++a) {
      for (std::size_t b = a + 1; b < found.spots.size(); ++b) {
        const bool one_curb = north(found.spots[a]) == north(found.spots[b]);
        const double apart_m = base::distance_m(found.spots[a].at, found.spots[b].at);
        EXPECT_TRUE(!one_curb || apart_m >= 0.5 * spacing_m - 1e-6) << spacing_m << ": " << apart_m;
      }
      if (north(found.spots[a])) {
        EXPECT_GE(base::distance_m(found.spots[a].at, {-30.0, 5.0}), spacing_m - 0.5) << spacing_m;
      }
    }
    // And every stretch of the other side away from the ends has one.
    std::vector<double> south_m;
    for (const CandidateSpot& spot : found.spots) {
      if (!north(spot)) south_m.push_back(spot.at.x_m);
    }
    std::sort(south_m.begin(), south_m.end());
    for (std::size_t i = 0; i + 1 < south_m.size(); ++i)
      EXPECT_LE(south_m[i + 1] - south_m[i], 1.5 * spacing_m + 1.0);
  }
}

TEST(Candidates, GiveWayToACutOfTheUsersOnItsOwnCurbOnly) {
  World world;
  const std::size_t before = world.find().spots.size();
  world.add(street::SiteKind::Cut, 0.0, 5.0);
  const CandidatePlaces found = world.find();
  EXPECT_LT(found.spots.size(), before);
  EXPECT_GT(found.without[static_cast<std::size_t>(WhyNone::Cut)], 0);
  EXPECT_TRUE(std::any_of(found.spots.begin(), found.spots.end(), [](const CandidateSpot& spot) {
    return !north(spot) && std::abs(spot.at.x_m) < 8.0;
  }));
}

TEST(Candidates, KeepFromInletsAndCorners) {
  World world;
  world.add(street::SiteKind::Inlet, 0.0, -4.8);
  for (const CandidateSpot& spot : world.find().spots) {
    EXPECT_GE(base::distance_m(spot.at, {0.0, -4.8}), 3.0);
  }
  world.settings.candidates.spacing_m = 4.0;
  const auto farthest_m = [&] {
    double x_m = -100.0;
    for (const CandidateSpot& spot : world.find().spots) x_m = std::max(x_m, north(spot) ? spot.at.x_m : x_m);
    return x_m;
  };
  EXPECT_GT(farthest_m(), 75.0);
  world.inputs.curbs.push_back(testing::curb_line("x", "Lantern Street", "west", {{84, 10}, {84, 60}}));
  EXPECT_LE(farthest_m(), 84.0 - 9.144 - 1.6 + 0.5);  // the two curbs, carried on, meet at x = 84
  EXPECT_GT(farthest_m(), 84.0 - 9.144 - 1.6 - 4.0);
}

TEST(Candidates, OrderAndDirectionOfCurbsDoNotMatter) {
  World world;
  world.inputs.curbs.push_back(testing::curb_line("u", "", "", {{-40, 15}, {40, 15}}));
  world.inputs.curbs.back().street_side = terrain::StreetSide::Right;
  const CandidatePlaces first = world.find();
  std::mt19937 random(3);
  for (int round = 0; round < 3; ++round) {
    std::shuffle(world.inputs.curbs.begin(), world.inputs.curbs.end(), random);
    std::reverse(world.beside[BesideKind::Walk].begin(), world.beside[BesideKind::Walk].end());
    const CandidatePlaces other = world.find();
    ASSERT_EQ(first.spots.size(), other.spots.size());
    for (std::size_t i = 0; i < first.spots.size(); ++i) {
      EXPECT_EQ(first.spots[i].at, other.spots[i].at);
      EXPECT_EQ(first.spots[i].along_m, other.spots[i].along_m);
      EXPECT_EQ(first.spots[i].words, other.spots[i].words);
    }
  }
}

TEST(Candidates, WalkAtTheCurbPutsTheBasinBehindIt) {
  World world;
  world.beside[BesideKind::Walk] = {box(-90, 5, 90, 6.5), box(-90, -8.7, 90, -7.2)};
  world.beside[BesideKind::Lot] = {box(-90, 6.5, 90, 40)};
  int behind = 0;
  for (const CandidateSpot& spot : world.find().spots) {
    if (!north(spot)) continue;
    EXPECT_EQ(spot.place, CandidatePlace::BehindWalk);
    EXPECT_TRUE(spot.on_lot);
    EXPECT_NEAR(spot.channel_m, 1.5 + 0.3048, 1e-6);
    EXPECT_NEAR(spot.setback_m, 1.5 + 0.3048 + 2.0 * 0.0508, 1e-6);
    ++behind;
  }
  EXPECT_GT(behind, 5);
  world.settings.room.channel_longest_m = 1.5;
  for (const CandidateSpot& spot : world.find().spots) EXPECT_FALSE(north(spot));
}

TEST(Candidates, ParkingLaneTakesABulbWhereNothingElseFits) {
  World world;
  world.settings.candidates.behind_walk = false;
  world.settings.candidates.parking_lane_m = 2.4;
  world.beside[BesideKind::Walk] = {box(-90, 5, 90, 6.5), box(-90, -8.7, 90, -7.2)};
  int bulbs = 0;
  for (const CandidateSpot& spot : world.find().spots) {
    if (!north(spot)) {
      EXPECT_EQ(spot.place, CandidatePlace::Strip);
      EXPECT_TRUE(spot.there.parking);
      EXPECT_NEAR(spot.setback_m, 0.4572 + 0.1016, 1e-9);  // to step out of cars
      continue;
    }
    EXPECT_EQ(spot.place, CandidatePlace::Bulb);
    EXPECT_LT(spot.setback_m + spot.basin.width_m, 0.0);
    EXPECT_GT(spot.setback_m, -2.4);
    EXPECT_GT(work_besides(spot, world.settings).pavement_m2, 0.0);
    ++bulbs;
  }
  EXPECT_GT(bulbs, 5);
}

TEST(Candidates, WithoutLayersTheStudysBasinIsTakenAndSaidSo) {
  World world;
  world.beside = {};
  const CandidatePlaces found = world.find();
  ASSERT_FALSE(found.spots.empty());
  EXPECT_FALSE(found.spots.front().there.strip_m);
  EXPECT_NEAR(found.spots.front().basin.width_m, 1.5, 1e-12);
  EXPECT_NE(found.spots.front().words.find("no layer says"), std::string::npos);
}

TEST(Candidates, NarrowStripMakesThemShallower) {
  World world;
  world.beside[BesideKind::Walk] = {box(-90, 5.0 + 6.0 * 0.3048, 90, 9.0)};
  for (const CandidateSpot& spot : world.find().spots) {
    if (!north(spot)) continue;
    EXPECT_NEAR(spot.basin.ponding_m / 0.0254, 5.571, 1e-3);
    EXPECT_EQ(spot.words.find("the strip is 1.83 m wide"), 0U) << spot.words;
  }
  world.beside[BesideKind::Walk] = {box(-90, 5.0 + 4.5 * 0.3048, 90, 9.0)};
  const CandidatePlaces none = world.find();
  for (const CandidateSpot& spot : none.spots) EXPECT_FALSE(north(spot));
  EXPECT_GT(none.without[static_cast<std::size_t>(WhyNone::Room)], 5);
}

TEST(Candidates, PricesInUsUnitsAreTheSamePrices) {
  study::MoneySettings us;
  us.per = "us";
  us.soil = 27.0;       // a cubic yard
  us.curb_cut = 3.048;  // a foot
  us.pavement = 0.09290304;
  const Prices prices = prices_of(us);
  EXPECT_NEAR(prices[static_cast<std::size_t>(Priced::Soil)].value(), 35.314666721, 1e-8);
  EXPECT_NEAR(prices[static_cast<std::size_t>(Priced::CurbCut)].value(), 10.0, 1e-12);
  EXPECT_NEAR(prices[static_cast<std::size_t>(Priced::Pavement)].value(), 1.0, 1e-12);
  EXPECT_FALSE(prices[static_cast<std::size_t>(Priced::Stone)]);
}

}  // namespace
}  // namespace curbshed::siting
