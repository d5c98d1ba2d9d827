#include "curbshed/siting/chosen_cuts.hpp"

#include "curbshed/base/error.hpp"

#include "support/chain_worlds.hpp"

#include <gtest/gtest.h>

namespace curbshed::testing {
namespace {

using enum NodeKind;
using siting::ChosenCuts;
using siting::LeftOut;

/// Four cuts on two gutters of one street; the first two lie before number 12.
struct SmallStreet {
  study::ChainModel model;
  study::Settings settings;
  std::vector<study::Storm> storms{hour_storm(0.012, 20.0, 3600.0)};
  std::vector<siting::CutToChoose> cuts;

  SmallStreet() {
    ChainBuilder world({Cut, Cut, Outfall, Cut, Cut, Outfall});
    world.model.network.downstream = {1, 2, -1, 4, 5, -1, -1};
    world.model.network.id = {"a", "b", "south", "c", "d", "north", "edge"};
    for (const std::int32_t node : {0, 1, 3, 4}) {
      world.patch({node, kPavement, 200 + 50 * node, 2, 1});
      cuts.push_back({.node = node,
                      .id = world.model.network.id[static_cast<std::size_t>(node)],
                      .house = node < 2 ? "12 Kiln Street" : "14 Kiln Street",
                      .digging_m3 = 1.5});
    }
    model = world.build();
    storms.front().id = "two_year";
    settings.file = "study.toml";
    settings.choose.aim = "captured";
    settings.choose.storm = "two_year";
    settings.choose.count = 2.0;
  }

  ChosenCuts chosen() const { return siting::choose_cuts(model, cuts, settings, storms, {}); }
  std::vector<std::string> ids() const {
    const ChosenCuts result = chosen();
    std::vector<std::string> ids;
    for (const std::size_t cut : result.choice.build_order) {
      ids.push_back(result.cuts[cut].id);
    }
    return ids;
  }
  bool builds(const std::string& id) const {
    const std::vector<std::string> all = ids();
    return std::find(all.begin(), all.end(), id) != all.end();
  }
  std::string refusal() const {
    try {
      (void)chosen();
    } catch (const base::InputError& error) {
      return error.what();
    }
    return "";
  }
};

void expect_has(const std::string& text, const std::string& part) {
  EXPECT_NE(text.find(part), std::string::npos) << text;
}

TEST(ChosenCuts, AreRunTogetherWithAllOthersClosed) {
  const SmallStreet street;
  const ChosenCuts result = street.chosen();
  EXPECT_TRUE(result.choice.proved);
  ASSERT_EQ(result.choice.build_order.size(), 2U);
  ASSERT_EQ(result.storms.size(), 1U);
  double kept_m3 = 0.0;
  int taking = 0;
  for (const study::NodeResult& node : result.storms.front().with_cuts.nodes) {
    kept_m3 += node.captured_m3;
    taking += node.captured_m3 > 0.0 ? 1 : 0;
  }
  EXPECT_NEAR(kept_m3, result.choice.value, 1e-12);
  EXPECT_EQ(taking, 2);
  EXPECT_EQ(result.digging_m3, 3.0);
}

TEST(ChosenCuts, WhatMustAndMustNotBeIsKept) {
  SmallStreet street;
  const std::string best = street.ids().front();
  street.settings.choose.never = {best};
  EXPECT_FALSE(street.builds(best));
  street.settings.choose.never = {"14 Kiln Street"};
  EXPECT_EQ(street.ids(), (std::vector<std::string>{"b", "a"}));
  street.settings.choose.never = {};
  for (const std::string id : {"a", "b", "c", "d"}) {
    street.settings.choose.must = {id};
    EXPECT_TRUE(street.builds(id));
  }
}

TEST(ChosenCuts, AnOwnerWhoSaysNoOrALimitKeepsACutOut) {
  SmallStreet street;
  const std::string best = street.ids().front();
  for (siting::CutToChoose& cut : street.cuts) {
    cut.consent = cut.id == best ? study::Consent::No : study::Consent::NotAsked;
  }
  EXPECT_FALSE(street.builds(best));
  for (siting::CutToChoose& cut : street.cuts) {
    cut.over_a_limit = true;
  }
  const ChosenCuts none = street.chosen();
  EXPECT_TRUE(none.choice.build_order.empty());
  EXPECT_EQ(none.left_out, std::vector<LeftOut>(4, LeftOut::OverALimit));
  street.settings.choose.must = {"a"};
  expect_has(street.refusal(), "it is over a limit");
}

TEST(ChosenCuts, WeightsCount) {
  SmallStreet street;
  street.settings.choose.count = 1.0;
  street.cuts[2].weight = 100.0;
  EXPECT_EQ(street.ids(), (std::vector<std::string>{"c"}));
}

TEST(ChosenCuts, PeakAndBothAreAims) {
  SmallStreet street;
  street.settings.choose.aim = "peak";
  street.settings.choose.outfall = "south";
  for (const std::string& id : street.ids()) {
    EXPECT_TRUE(id == "a" || id == "b") << id;
  }
  street.settings.choose.outfall = "";
  street.settings.choose.aim = "both";
  EXPECT_GT(street.chosen().choice.value, 0.0);
  EXPECT_LE(street.chosen().choice.value, 1.0);
}

TEST(ChosenCuts, MoneyIsKept) {
  SmallStreet street;
  street.settings.choose.count.reset();
  street.settings.choose.money = 1000.0;
  for (siting::CutToChoose& cut : street.cuts) {
    cut.cost.total = 400.0;
  }
  const ChosenCuts two = street.chosen();
  EXPECT_EQ(two.choice.build_order.size(), 2U);
  EXPECT_EQ(two.cost.total, 800.0);
  street.cuts[3].cost.without_price = {siting::Priced::Stone};
  expect_has(street.refusal(), "no price for stone");
  street.cuts[3].cost.total.reset();
  expect_has(street.refusal(), "no price");
}

TEST(ChosenCuts, SayWhatIsWrong) {
  SmallStreet street;
  street.settings.choose.must = {"bb"};
  expect_has(street.refusal(), "there is no cut \"bb\"");
  expect_has(street.refusal(), "did you mean \"b\"?");
  street.settings.choose.must = {"a"};
  street.settings.choose.never = {"a"};
  expect_has(street.refusal(), "in `must` and in `never`");
  street.settings.choose.never = {};
  street.settings.choose.must = {"a", "b", "c"};
  expect_has(street.refusal(), "over 2 cuts");
  street.settings.choose.must = {};
  street.settings.choose.storm = "flood";
  expect_has(street.refusal(), "there is no storm \"flood\". Allowed: two_year");
  street.settings.choose.storm = "two_year";
  street.settings.choose.aim = "peak";
  street.settings.choose.outfall = "west";
  expect_has(street.refusal(), "there is no outfall \"west\". Allowed: south, north");
}

}  // namespace
}  // namespace curbshed::testing
