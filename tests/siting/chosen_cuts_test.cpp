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
  study::Preparation preparation;
  study::StudyInputs inputs;
  study::Settings settings;
  std::vector<study::Storm> storms{hour_storm(0.012, 20.0, 3600.0)};

  SmallStreet() {
    ChainBuilder world({Cut, Cut, Outfall, Cut, Cut, Outfall});
    world.model.network.downstream = {1, 2, -1, 4, 5, -1, -1};
    world.model.network.id = {"a", "b", "south", "c", "d", "north", "edge"};
    world.model.network.site = {0, 1, -1, 2, 3, -1, -1};
    for (const std::int32_t node : {0, 1, 3, 4}) {
      world.patch({node, kPavement, 200 + 50 * node, 2, 1});
    }
    preparation.model = world.build();
    preparation.maps.street.places.resize(7);
    preparation.maps.house_numbers.assign(7, "");
    inputs.overrides.resize(4);
    storms.front().id = "two_year";
    settings.file = "study.toml";
    settings.choose.aim = "captured";
    settings.choose.storm = "two_year";
    settings.choose.count = 2.0;
  }

  siting::ChosenCutsInputs asked() const {
    siting::ChosenCutsInputs in;
    in.preparation = &preparation;
    in.inputs = &inputs;
    in.settings = &settings;
    in.storms = &storms;
    return in;
  }
  std::vector<std::string> chosen() const {
    const ChosenCuts cuts = siting::choose_cuts(asked(), {});
    std::vector<std::string> ids;
    for (const std::size_t site : cuts.choice.build_order) {
      ids.push_back(cuts.sites[site].id);
    }
    return ids;
  }
  std::string refusal() const {
    try {
      (void)siting::choose_cuts(asked(), {});
    } catch (const base::InputError& error) {
      return error.what();
    }
    return "";
  }
};

void expect_has(const std::string& text, const std::string& part) {
  EXPECT_NE(text.find(part), std::string::npos) << text;
}

TEST(ChosenCuts, AreOpenInThePlanAndTheOthersAreNot) {
  SmallStreet street;
  const ChosenCuts cuts = siting::choose_cuts(street.asked(), {});
  EXPECT_TRUE(cuts.choice.proved);
  EXPECT_EQ(cuts.choice.build_order.size(), 2U);
  siting::put_in_plan(cuts, street.preparation.model);
  int open = 0;
  for (std::size_t site = 0; site < cuts.nodes.size(); ++site) {
    open += street.preparation.model.params[static_cast<std::size_t>(cuts.nodes[site])].in_plan ? 1 : 0;
  }
  EXPECT_EQ(open, 2);
}

TEST(ChosenCuts, WhatMustAndMustNotBeIsKept) {
  SmallStreet street;
  const std::vector<std::string> best = street.chosen();
  street.settings.choose.never = {best.front()};
  EXPECT_EQ(std::count(best.begin(), best.end(), best.front()), 1);
  const std::vector<std::string> without = street.chosen();
  EXPECT_EQ(std::count(without.begin(), without.end(), best.front()), 0);
  street.settings.choose.never = {};
  street.settings.choose.must = {"a"};
  const std::vector<std::string> with = street.chosen();
  EXPECT_EQ(std::count(with.begin(), with.end(), "a"), 1);
}

TEST(ChosenCuts, AnOwnerWhoSaysNoOrALimitKeepsACutOut) {
  SmallStreet street;
  const std::string best = street.chosen().front();
  const ChosenCuts all = siting::choose_cuts(street.asked(), {});
  for (std::size_t site = 0; site < all.sites.size(); ++site) {
    if (all.sites[site].id == best) {
      street.inputs
          .overrides[static_cast<std::size_t>(
              street.preparation.model.network.site[static_cast<std::size_t>(all.nodes[site])])]
          .consent = study::Consent::No;
    }
  }
  const std::vector<std::string> without = street.chosen();
  EXPECT_EQ(std::count(without.begin(), without.end(), best), 0);

  SmallStreet screened;
  siting::ChosenCutsInputs in = screened.asked();
  in.refused.assign(screened.preparation.model.network.size(), 1);
  const ChosenCuts none = siting::choose_cuts(in, {});
  EXPECT_TRUE(none.choice.build_order.empty());
  EXPECT_EQ(none.left_out, std::vector<LeftOut>(4, LeftOut::OverALimit));
}

TEST(ChosenCuts, WeightsCount) {
  SmallStreet street;
  street.settings.choose.count = 1.0;
  for (const std::size_t site : {0U, 1U, 2U, 3U}) {
    street.inputs.overrides[site].weight = site == 2 ? 100.0 : 1.0;
  }
  EXPECT_EQ(street.chosen(), (std::vector<std::string>{"c"}));
}

TEST(ChosenCuts, MoneyIsKept) {
  SmallStreet street;
  street.settings.choose.count.reset();
  street.settings.choose.money = 1000.0;
  siting::ChosenCutsInputs in = street.asked();
  in.cost.resize(7);
  for (siting::Cost& cost : in.cost) {
    cost.total = 400.0;
  }
  const ChosenCuts cuts = siting::choose_cuts(in, {});
  EXPECT_EQ(cuts.choice.build_order.size(), 2U);
  EXPECT_EQ(cuts.money, 800.0);
  in.cost[3].without_price = {siting::Priced::Stone};
  try {
    (void)siting::choose_cuts(in, {});
    FAIL();
  } catch (const base::InputError& error) {
    expect_has(error.what(), "no price for stone");
  }
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
  street.settings.choose.outfall = "";
  street.settings.choose.aim = "captured";
  street.settings.choose.money = 100.0;
  expect_has(street.refusal(), "no price");
}

}  // namespace
}  // namespace curbshed::testing
