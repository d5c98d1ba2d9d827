#include "curbshed/siting/candidates_model.hpp"

#include "curbshed/siting/chosen_cuts.hpp"
#include "curbshed/study/storms.hpp"

#include "support/study_block.hpp"

#include <algorithm>
#include <set>

#include <gtest/gtest.h>

namespace curbshed::siting {
namespace {

/// Kiln Street, 160 m along x, with a cut of the user's on each side and walks 2.2 m behind the curbs.
struct World {
  study::StudyInputs inputs;
  study::Settings settings = testing::usual_settings();
  BesideShapes beside;

  explicit World(bool cuts = true) {
    testing::DrawnBlock block = testing::draw_block({});
    if (cuts) {
      block.cut("K1", 10.0, 4.8);
      block.cut("K2", 40.0, -4.8);
    }
    inputs = testing::inputs_of(block);
    settings.candidates.on = true;
    settings.basin.infiltration_origin = "study";
    const auto box = [](double south, double north) {
      return base::Polygon{{{{-90, south}, {90, south}, {90, north}, {-90, north}, {-90, south}}}};
    };
    beside[BesideKind::Walk] = {box(7.2, 8.7), box(-8.7, -7.2)};
  }
  CandidateModel model(int threads = 1) {
    return candidate_model(inputs, beside, settings, std::nullopt, {threads, 0, 0});
  }
  study::Storm storm(double depth_m = 0.010) const {
    study::Storm out;
    out.id = "common";
    out.title = "common";
    out.rain_m.assign(static_cast<std::size_t>(3600 * 3 / 5), 0.0);
    for (std::size_t k = 0; k < 720; ++k) out.rain_m[k] = depth_m / 720.0;
    return out;
  }
};

TEST(CandidateModel, InputsAreLeftAsTheyCame) {
  World world;
  const std::size_t sites = world.inputs.sites.size();
  const CandidateModel model = world.model();
  EXPECT_EQ(world.inputs.sites.size(), sites);
  EXPECT_EQ(world.inputs.overrides.size(), sites);
  EXPECT_GT(model.node.size(), 10U);
  EXPECT_EQ(model.cuts.size(), 2U);
}

/// The run's own network never sees a candidate: its results are the same to the bit.
TEST(CandidateModel, TheRunsResultsDoNotChangeByABit) {
  World world;
  const study::Preparation before = study::prepare(world.inputs, world.settings, {});
  const study::StormComparison alone = study::compare_storm(before.model, world.storm(), false);
  world.model();
  const study::Preparation after = study::prepare(world.inputs, world.settings, {});
  const study::StormComparison beside = study::compare_storm(after.model, world.storm(), false);
  ASSERT_EQ(before.model.network.id, after.model.network.id);
  for (std::size_t n = 0; n < alone.with_cuts.nodes.size(); ++n) {
    EXPECT_EQ(alone.with_cuts.nodes[n].captured_m3, beside.with_cuts.nodes[n].captured_m3);
    EXPECT_EQ(alone.with_cuts.nodes[n].peak_leaving_m3_s, beside.with_cuts.nodes[n].peak_leaving_m3_s);
  }
}

/// In the candidates' network the same ground comes by the same cuts, to the cell; volumes differ by what a
/// receiver's own cells are reckoned with.
TEST(CandidateModel, SameGroundComesByTheCutsAndNearlyTheSameWater) {
  World world;
  const study::Preparation run = study::prepare(world.inputs, world.settings, {});
  const std::vector<double> areas_m2 = study::areas_arriving_m2(run.model);
  const CandidateModel model = world.model();
  for (std::size_t i = 0; i < model.cuts.size(); ++i) {
    const std::string& id = model.model.network.id[static_cast<std::size_t>(model.cuts[i])];
    const auto node = static_cast<std::size_t>(testing::node_of(run.model.network, id));
    EXPECT_NEAR(model.cut_area_m2[i], areas_m2[node], 1e-9 * areas_m2[node]) << id;
  }
  const study::StormComparison storm = study::compare_storm(run.model, world.storm(), false);
  double kept_m3 = 0.0;
  for (const study::NodeResult& node : storm.with_cuts.nodes) {
    kept_m3 += node.captured_m3 - node.over_rim_m3;
  }
  const CandidateStorm here = candidate_storm(model, world.storm(), false, {});
  EXPECT_NEAR(here.cuts_here_m3, kept_m3, 0.02 * kept_m3);
}

TEST(CandidateModel, TakesAreThoseOfARunWithThatOneOpen) {
  World world;
  const CandidateModel model = world.model();
  const study::Storm storm = world.storm();
  const CandidateStorm takes = candidate_storm(model, storm, true, {});
  const study::EventReaches reaches = study::event_reaches(model.model, storm);
  const CandidateStorm own = candidate_storm(model, storm, false, {});
  for (std::size_t i = 0; i < model.node.size(); i += 5) {
    EXPECT_EQ(own.takes[i].kept_m3, takes.takes[i].kept_m3);
    EXPECT_EQ(own.takes[i].over_rim_m3, takes.takes[i].over_rim_m3);
    EXPECT_FALSE(own.takes[i].gain_m3);
    std::vector<std::uint8_t> open = study::open_in_plan(model.model);
    open[static_cast<std::size_t>(model.node[i])] = 1;
    const study::StormResult run =
        study::run_storm(model.model, reaches, storm, open, study::empty_state(model.model));
    double sum_m3 = 0.0;
    for (const study::NodeResult& node : run.nodes) {
      sum_m3 += node.entered_m3 - node.returned_m3 - node.over_rim_m3;
    }
    const study::NodeResult& node_alone = run.nodes[static_cast<std::size_t>(model.node[i])];
    EXPECT_EQ(takes.takes[i].over_rim_m3, node_alone.over_rim_m3);
    EXPECT_EQ(takes.takes[i].kept_m3, node_alone.captured_m3 - node_alone.over_rim_m3);
    EXPECT_NEAR(takes.takes[i].gain_m3.value(), sum_m3 - takes.cuts_here_m3, 1e-9);
  }
}

TEST(CandidateModel, ScreenedByTheSameRulesAndChosenTogetherWithTheCuts) {
  World world;
  const std::vector<study::Storm> storms = {world.storm(0.022)};
  const RuleSet rules = default_rules();
  const CandidateModel model = candidate_model(world.inputs, world.beside, world.settings, std::nullopt,
                                               {2, 0, 0}, {}, {&rules, &storms});
  ASSERT_TRUE(model.screening.has_value());
  ASSERT_EQ(model.screening->verdicts.size(), model.node.size());
  ASSERT_EQ(model.to_choose.size(), model.node.size() + 2U) << "and the two cuts of the user's";
  std::size_t candidates = 0;
  for (const CutToChoose& cut : model.to_choose) {
    if (cut.candidate < 0) continue;
    ++candidates;
    const auto i = static_cast<std::size_t>(cut.candidate);
    EXPECT_EQ(cut.node, model.node[i]);
    EXPECT_EQ(cut.id, model.model.network.id[static_cast<std::size_t>(cut.node)]);
    EXPECT_EQ(cut.over_a_limit, model.screening->verdicts[i].basin == Outcome::OverLimit);
    EXPECT_EQ(cut.digging_m3, model.materials[i].soil_dug_m3);
    // Its own basin was measured, not the study's.
    const Measured& length = model.screening->measures[i][static_cast<std::size_t>(RuleId::BasinLength)];
    ASSERT_TRUE(length.value.has_value());
    EXPECT_NEAR(*length.value, model.found.spots[i].basin.length_m, 1e-6);
  }
  EXPECT_EQ(candidates, model.node.size());
  // All may be built here: the best three are better than the two of the user's with any third.
  world.settings.choose.count = 3.0;
  world.settings.choose.storm = "common";
  world.settings.choose.aim = "captured";
  std::vector<CutToChoose> free = model.to_choose;
  for (CutToChoose& cut : free) cut.over_a_limit = false;
  const ChosenCuts chosen = choose_cuts(model.model, free, world.settings, storms, {2});
  ASSERT_EQ(chosen.choice.build_order.size(), 3U);
  EXPECT_TRUE(std::any_of(chosen.choice.build_order.begin(), chosen.choice.build_order.end(),
                          [&](std::size_t site) { return chosen.cuts[site].candidate >= 0; }));
  EXPECT_NEAR(chosen.kept_m3, chosen.choice.value, 0.02 * chosen.kept_m3)
      << "what the search says is what the chosen ones keep when they are run";
  EXPECT_LT(chosen.kept_at_half_m3, chosen.kept_m3);
  EXPECT_GT(chosen.kept_at_double_m3, chosen.kept_m3);
  // None over a limit is ever taken, whatever it would bring.
  for (CutToChoose& cut : free) cut.over_a_limit = cut.candidate >= 0;
  for (const std::size_t site :
       choose_cuts(model.model, free, world.settings, storms, {1}).choice.build_order) {
    EXPECT_LT(free[site].candidate, 0);
  }
}

TEST(CandidateModel, AnOpeningHigherThanTheCurbIsNoCandidateAndNoError) {
  World world(false);
  world.settings.basin.opening_kind = "core";
  world.settings.basin.core_diameter_m = 0.30;  // through a curb of 15 cm
  const CandidateModel model = world.model();
  EXPECT_TRUE(model.node.empty());
  EXPECT_GT(model.found.without[static_cast<std::size_t>(WhyNone::NoCurb)], 0);
  world.settings.basin.core_diameter_m = 0.10;
  EXPECT_FALSE(world.model().node.empty());
}

TEST(CandidateModel, ThreadsAndOrderChangeNothing) {
  World world;
  const std::vector<study::Storm> storms = {world.storm(), world.storm(0.022)};
  const CandidateResults one = candidate_results(world.model(), storms, {1});
  std::reverse(world.inputs.curbs.begin(), world.inputs.curbs.end());
  std::reverse(world.inputs.sites.begin(), world.inputs.sites.end());
  const CandidateResults other = candidate_results(world.model(3), storms, {3});
  ASSERT_EQ(one.ranked.size(), other.ranked.size());
  std::set<std::string> ids;
  for (std::size_t k = 0; k < one.ranked.size(); ++k) {
    const auto a = static_cast<std::size_t>(one.ranked[k]);
    const auto b = static_cast<std::size_t>(other.ranked[k]);
    const std::string& id = one.model.model.network.id[static_cast<std::size_t>(one.model.node[a])];
    EXPECT_TRUE(ids.insert(id).second) << id;
    EXPECT_EQ(id, other.model.model.network.id[static_cast<std::size_t>(other.model.node[b])]);
    EXPECT_EQ(one.model.area_m2[a], other.model.area_m2[b]);
    for (std::size_t s = 0; s < storms.size(); ++s) {
      EXPECT_EQ(one.storms[s].takes[a].kept_m3, other.storms[s].takes[b].kept_m3);
      EXPECT_EQ(one.storms[s].takes[a].gain_m3, other.storms[s].takes[b].gain_m3);
    }
  }
}

TEST(CandidateModel, NamesComeFromStreetSideAndDistance) {
  World world(false);
  const CandidateModel model = world.model();
  ASSERT_FALSE(model.node.empty());
  EXPECT_TRUE(model.cuts.empty());
  for (const std::int32_t node : model.node) {
    EXPECT_EQ(model.model.network.id[static_cast<std::size_t>(node)].rfind("kiln-street-", 0), 0U);
  }
}

}  // namespace
}  // namespace curbshed::siting
