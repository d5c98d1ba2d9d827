#include "curbshed/study/storm_trials.hpp"

#include "curbshed/base/error.hpp"

#include "support/chain_worlds.hpp"

#include <random>

#include <gtest/gtest.h>

namespace curbshed::testing {
namespace {

using enum NodeKind;

study::StormResult whole_run(const study::ChainModel& model, const study::Storm& storm,
                             const std::vector<std::uint8_t>& open) {
  return study::run_storm(model, study::event_reaches(model, storm), storm, open,
                          study::start_state(model, open));
}

void expect_same(const study::StormTrials& trials, const study::StormResult& whole) {
  double captured_m3 = 0.0;
  for (std::size_t n = 0; n < whole.nodes.size(); ++n) {
    SCOPED_TRACE(n);
    const auto node = static_cast<std::int32_t>(n);
    EXPECT_EQ(trials.captured_m3(node), whole.nodes[n].captured_m3);
    EXPECT_EQ(trials.peak_m3_s(node), whole.nodes[n].peak_leaving_m3_s);
    EXPECT_EQ(trials.leaving_m3_s(node), whole.leaving_m3_s[n]);
    captured_m3 += whole.nodes[n].captured_m3;
  }
  EXPECT_EQ(trials.captured_m3(), captured_m3);
}

/// Two streets of cuts that meet in a third, with an inlet whose water comes up again and a side way.
study::ChainModel forked_chain(std::mt19937& random) {
  ChainBuilder world({Cut, Cut, Inlet, Cut, Cut, Cut, Cut, Basin, Cut, Outfall});
  world.model.network.downstream = {1, 2, 6, 4, 5, 6, 7, 8, 9, -1, -1};
  world.model.params[2].pipe_to = 8;
  world.side_way(1, 4, 0.03);
  std::uniform_int_distribution<std::int64_t> cells(20, 400);
  std::uniform_real_distribution<double> metres(1.0, 6.0);
  for (std::int32_t node = 0; node < 10; ++node) {
    world.patch({node, kPavement, cells(random), 3, 1});
    world.patch({node, kYard, cells(random), 12, 3});
    world.model.params[static_cast<std::size_t>(node)].basin.length_m = metres(random);
  }
  return world.build();
}

void flip_at_random(const study::ChainModel& model, std::mt19937& random, int times) {
  const study::Storm storm = hour_storm(0.022, 20.0, 3600.0);
  std::vector<std::int32_t> cuts;
  for (std::size_t n = 0; n < model.network.size(); ++n) {
    if (model.network.kind[n] == Cut) {
      cuts.push_back(static_cast<std::int32_t>(n));
    }
  }
  study::StormTrials trials(model, storm);
  std::vector<std::uint8_t> open = all_closed(model);
  expect_same(trials, whole_run(model, storm, open));
  const auto last = static_cast<std::int32_t>(model.network.size()) - 2;
  for (int i = 0; i < times; ++i) {
    SCOPED_TRACE(i);
    std::shuffle(cuts.begin(), cuts.end(), random);
    const std::vector<std::int32_t> some(cuts.begin(), cuts.begin() + 1 + static_cast<int>(random() % 3));
    std::vector<std::uint8_t> flipped = open;
    for (const std::int32_t node : some) {
      flipped[static_cast<std::size_t>(node)] ^= 1;
    }
    const study::StormResult whole = whole_run(model, storm, flipped);
    const study::TrialAnswer tried = trials.tried(some, {.outfalls = {last}, .series = true});
    EXPECT_EQ(trials.tried(some).captured_m3, tried.captured_m3);
    EXPECT_EQ(tried.peak_m3_s.at(0), whole.nodes[static_cast<std::size_t>(last)].peak_leaving_m3_s);
    EXPECT_EQ(tried.leaving_m3_s.at(0), whole.leaving_m3_s[static_cast<std::size_t>(last)]);
    expect_same(trials, whole_run(model, storm, open));  // a trial changes nothing
    trials.flip(some);
    open = flipped;
    expect_same(trials, whole);
    EXPECT_EQ(trials.captured_m3(), tried.captured_m3);
  }
}

TEST(StormTrials, EachSetOfCutsGivesWhatAWholeRunGives) {
  std::mt19937 random(711);
  flip_at_random(busy_chain(), random, 20);
  for (int seed = 0; seed < 10; ++seed) {
    study::ChainModel model = forked_chain(random);
    for (study::NodeParams& params : model.params) {
      params.basin.start_share = seed % 2 == 0 ? 0.0 : 0.4;
    }
    flip_at_random(model, random, 6);
  }
}

TEST(StormTrials, ACopyTriesOnItsOwn) {
  std::mt19937 random(712);
  const study::ChainModel model = forked_chain(random);
  study::StormTrials first(model, hour_storm(0.022, 20.0, 3600.0));
  study::StormTrials second(first);
  second.flip({0});
  EXPECT_FALSE(first.is_open(0));
  EXPECT_TRUE(second.is_open(0));
  EXPECT_LT(first.captured_m3(), second.captured_m3());
  EXPECT_EQ(first.tried({0}).captured_m3, second.captured_m3());
}

TEST(StormTrials, OnlyACutCanBeFlipped) {
  std::mt19937 random(713);
  const study::ChainModel model = forked_chain(random);
  study::StormTrials trials(model, hour_storm(0.022, 20.0, 3600.0));
  EXPECT_THROW(trials.flip({2}), base::BugError);
  EXPECT_THROW(trials.flip({-1}), base::BugError);
  EXPECT_THROW((void)trials.tried({100}), base::BugError);
}

}  // namespace
}  // namespace curbshed::testing
