#include "curbshed/siting/plan_value.hpp"

#include "curbshed/base/error.hpp"

#include "support/chain_worlds.hpp"

#include <gtest/gtest.h>

namespace curbshed::testing {
namespace {

using enum NodeKind;

/// Cuts at the nodes of the busy chain.
const std::vector<std::int32_t> kCuts{0, 2, 3, 4, 6, 8};

double worth_of(const study::ChainModel& model, const study::Storm& storm,
                const std::vector<std::int32_t>& nodes) {
  const auto run = [&](const std::vector<std::int32_t>& cuts) {
    std::vector<std::uint8_t> open = all_closed(model);
    for (const std::int32_t node : cuts) {
      open[static_cast<std::size_t>(node)] = 1;
    }
    return study::run_storm(model, study::event_reaches(model, storm), storm, open,
                            study::empty_state(model));
  };
  const auto kept_m3 = [](const study::StormResult& result) {
    double sum = 0.0;
    for (const study::NodeResult& node : result.nodes) {
      sum += node.captured_m3 - node.over_rim_m3;
    }
    return sum;
  };
  const study::StormResult with = run(nodes);
  const study::StormResult without = run({});
  return kept_m3(with) - kept_m3(without) +
         20.0 * (without.nodes[9].peak_leaving_m3_s - with.nodes[9].peak_leaving_m3_s);
}

TEST(PlanValue, IsWhatWholeRunsGive) {
  const study::ChainModel model = busy_chain();
  const study::Storm storm = hour_storm(0.025, 20.0, 3600.0);
  const auto value = siting::storm_value(model, storm, kCuts, {.per_peak_m3_s = 20.0, .outfalls = {9}});
  EXPECT_EQ(value->worth().value, 0.0);
  EXPECT_NEAR(value->worth_with({0, 4}).value, worth_of(model, storm, {0, 6}), 1e-9);
  EXPECT_NEAR(value->alone(3).gain, worth_of(model, storm, {4}), 1e-9);
  value->flip({0, 1, 5});
  EXPECT_NEAR(value->worth().value, worth_of(model, storm, {0, 2, 8}), 1e-9);
  const auto other = value->copy();
  other->flip({1});
  EXPECT_NEAR(other->worth().value, worth_of(model, storm, {0, 8}), 1e-9);
  EXPECT_NEAR(value->worth().value, worth_of(model, storm, {0, 2, 8}), 1e-9);
}

TEST(PlanValue, WeightsCountWhatABasinKeeps) {
  const study::ChainModel model = busy_chain();
  const study::Storm storm = hour_storm(0.025, 20.0, 3600.0);
  std::vector<double> weights(model.network.size(), 0.0);
  weights[8] = 3.0;
  const auto plain = siting::storm_value(model, storm, kCuts, {});
  const auto weighted = siting::storm_value(model, storm, kCuts, {.weights = weights});
  EXPECT_NEAR(weighted->alone(5).gain, 3.0 * plain->alone(5).gain, 1e-12);
  EXPECT_EQ(weighted->alone(0).gain, 0.0);
}

TEST(PlanValue, ItsBoundHoldsForEverySet) {
  const study::ChainModel model = busy_chain();
  for (const double depth_m : {0.006, 0.03}) {
    const study::Storm storm = hour_storm(depth_m, 60.0, 1800.0);
    for (const double per_peak : {0.0, 20.0}) {
      SCOPED_TRACE(per_peak);
      const auto value = siting::storm_value(
          model, storm, kCuts,
          {.per_peak_m3_s = per_peak,
           .outfalls = per_peak > 0.0 ? std::vector<std::int32_t>{9} : std::vector<std::int32_t>{}});
      std::vector<siting::AloneWorth> alone;
      for (std::size_t s = 0; s < kCuts.size(); ++s) {
        alone.push_back(value->alone(s));
      }
      for (const std::int64_t count : {1, 2, 4, 6}) {
        const double bound =
            value->bound(std::vector<siting::ChoiceSite>(kCuts.size()), {.count = count}, alone);
        for (std::uint32_t set = 0; set < 64; ++set) {
          std::vector<std::size_t> sites;
          for (std::size_t s = 0; s < kCuts.size(); ++s) {
            if ((set >> s & 1U) != 0) {
              sites.push_back(s);
            }
          }
          if (static_cast<std::int64_t>(sites.size()) <= count) {
            EXPECT_LE(value->worth_with(sites).value, bound + 1e-9);
          }
        }
      }
    }
  }
}

TEST(PlanValue, OnlyCutsAreSites) {
  const study::ChainModel model = busy_chain();
  EXPECT_THROW((void)siting::storm_value(model, hour_storm(0.01), {1}, {}), base::BugError);
}

}  // namespace
}  // namespace curbshed::testing
