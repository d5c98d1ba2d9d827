#include "curbshed/report/chosen.hpp"

#include "support/small_facts.hpp"

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

using testing::SmallFacts;

/// The cuts of the small study: the last by name is built first, the others are not.
siting::ChosenCuts one_chosen(const RunFacts& facts) {
  siting::ChosenCuts chosen;
  const street::Network& network = facts.preparation->model.network;
  for (std::size_t n = 0; n < network.size(); ++n) {
    if (network.kind[n] == street::NodeKind::Cut) {
      chosen.cuts.push_back({.node = static_cast<std::int32_t>(n), .id = network.id[n], .digging_m3 = 1.5});
      chosen.left_out.push_back(siting::LeftOut::None);
      chosen.alone.push_back(2.0);
    }
  }
  chosen.choice.build_order = {chosen.cuts.size() - 1};
  chosen.choice.value_after = {2.0};
  chosen.choice.value = 2.0;
  chosen.choice.bound = 2.5;
  chosen.aim = "captured";
  chosen.kept_at_half_m3 = 1.5;
  chosen.kept_at_double_m3 = 2.4;
  chosen.storm_id = "common";
  chosen.storms = *facts.storms;
  return chosen;
}

TEST(Chosen, NothingWithoutAChoice) {
  const SmallFacts small;
  EXPECT_TRUE(choice_table(small.facts).rows.empty());
  EXPECT_EQ(build_order(small.facts, 0), 0);
}

TEST(Chosen, SaysWhatIsBuiltAndHowFarAnyOtherSetCanBeBetter) {
  SmallFacts small;
  siting::ChosenCuts chosen = one_chosen(small.facts);
  small.facts.chosen = &chosen;
  small.settings.choose.count = 1.0;
  EXPECT_EQ(build_order(small.facts, chosen.cuts.back().node), 1);
  const std::vector<std::string> sentences = choice_sentences(small.facts, Units::Metric);
  ASSERT_EQ(sentences.size(), 3U);
  EXPECT_NE(sentences[2].find("at half the rate the chosen basins keep 1.5 m3"), std::string::npos)
      << sentences[2];
  EXPECT_NE(sentences[0].find("with at most 1 cut."), std::string::npos) << sentences[0];
  EXPECT_NE(sentences[1].find("they keep 2.0"), std::string::npos) << sentences[1];
  EXPECT_NE(sentences[1].find("25 % more than this one"), std::string::npos) << sentences[1];
  chosen.choice.proved = true;
  EXPECT_NE(choice_sentences(small.facts, Units::Metric)[1].find("no other set"), std::string::npos);
  const base::Table table = choice_table(small.facts);
  ASSERT_EQ(table.rows.size(), chosen.cuts.size());
  EXPECT_EQ(std::get<std::string>(table.rows[0][0]), chosen.cuts.back().id);
}

TEST(Chosen, WhatAnOwnerSaidIsNotTold) {
  SmallFacts small;
  siting::ChosenCuts chosen = one_chosen(small.facts);
  small.facts.chosen = &chosen;
  chosen.choice.build_order.clear();
  chosen.choice.value_after.clear();
  chosen.left_out.front() = siting::LeftOut::Owner;
  const base::Table by_owner = choice_table(small.facts);
  chosen.left_out.front() = siting::LeftOut::Never;
  EXPECT_EQ(by_owner.rows, choice_table(small.facts).rows);
  EXPECT_EQ(choice_sentences(small.facts, Units::Us).size(), 2U);
}

}  // namespace
}  // namespace curbshed::report
