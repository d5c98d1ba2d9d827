#include "curbshed/siting/choice.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/siting/plan_value.hpp"

#include "support/chain_worlds.hpp"
#include "support/run_tool.hpp"
#include "support/temp_folder.hpp"

#include <fstream>
#include <functional>
#include <random>
#include <regex>
#include <set>

#include <gtest/gtest.h>

namespace curbshed::testing {
namespace {

using enum NodeKind;
using siting::AloneWorth;
using siting::Choice;
using siting::ChoiceLimits;
using siting::ChoiceSite;
using siting::StormAim;

// Storms by the thousand: with sanitizers fewer of them.
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr int kSeeds = 50;
#else
constexpr int kSeeds = 500;
#endif

double pick(std::mt19937& random, double low, double high) {
  return low + (high - low) * static_cast<double>(random() >> 8) / static_cast<double>(1U << 24);
}

struct SmallChoice {
  study::ChainModel model;
  study::Storm storm;
  std::vector<std::int32_t> nodes;  // of the cuts
  std::vector<ChoiceSite> sites;
  ChoiceLimits limits;
  StormAim aim;
};

/// `cuts` cuts in one or two chains that meet; prices, blocks, spacing and limits as they come.
SmallChoice small_choice(std::mt19937& random, int cuts) {
  SmallChoice out;
  std::vector<NodeKind> kinds(static_cast<std::size_t>(cuts), Cut);
  if (random() % 4 == 0) {
    kinds.push_back(Basin);
  }
  kinds.push_back(Outfall);
  ChainBuilder world(kinds, pick(random, 10.0, 120.0));
  const auto outfall = static_cast<std::int32_t>(kinds.size()) - 1;
  if (random() % 2 == 0) {
    world.model.network.downstream[static_cast<std::size_t>(cuts / 2)] = outfall;
  }
  for (std::int32_t node = 0; node <= outfall; ++node) {
    world.patch({node, kPavement, static_cast<std::int64_t>(random() % 600), 2, 1});
    world.patch({node, kYard, static_cast<std::int64_t>(random() % 600), 10, 3});
    study::NodeParams& params = world.model.params[static_cast<std::size_t>(node)];
    params.opening_m = pick(random, 0.2, 1.2);
    params.basin.length_m = pick(random, 1.5, 6.0);
    params.basin.infiltration_m_s = pick(random, 0.0, 5e-5);
    params.basin.rain_m2 = node % 2 == 0 ? params.basin.length_m * params.basin.width_m : 0.0;
  }
  out.model = world.build();
  // A burst of a quarter of an hour: many sets are run.
  out.storm = {.id = "burst", .title = "", .step_s = 60.0, .rain_m = std::vector<double>(40, 0.0)};
  std::fill_n(out.storm.rain_m.begin(), 15, pick(random, 0.0002, 0.0015));
  for (std::int32_t node = 0; node < cuts; ++node) {
    out.nodes.push_back(node);
    out.sites.push_back({.id = "cut-" + std::to_string(node),
                         .money = 200.0 + static_cast<double>(random() % 20) * 50.0,
                         .digging_m3 = pick(random, 0.5, 3.0),
                         .block = random() % 2 == 0 ? "north" : "south",
                         .curb = static_cast<std::int32_t>(random() % 2),
                         .along_curb_m = pick(random, 0.0, 150.0),
                         .must = random() % 15 == 0});
    out.sites.back().never = !out.sites.back().must && random() % 10 == 0;
  }
  out.limits.pack.count = 2 + static_cast<std::int64_t>(random() % (cuts > 8 ? 2 : 3));
  if (random() % 2 == 0) {
    out.limits.pack.money = 2500.0;
  }
  if (random() % 4 == 0) {
    out.limits.pack.digging_m3 = 6.0;
  }
  if (random() % 4 == 0) {
    out.limits.pack.per_block = 2;
  }
  if (random() % 2 == 0) {
    out.limits.least_spacing_m = 12.0;
  }
  return out;
}

/// Why the set may not be built; "" = it may. Written apart from the search.
std::string forbidden(const SmallChoice& c, const std::vector<std::size_t>& set) {
  double money = 0.0;
  double digging_m3 = 0.0;
  std::map<std::string, std::int64_t> blocks;
  for (const std::size_t site : set) {
    money += c.sites[site].money;
    digging_m3 += c.sites[site].digging_m3;
    if (c.sites[site].never) {
      return "never";
    }
    if (++blocks[c.sites[site].block] > c.limits.pack.per_block.value_or(1000)) {
      return "block";
    }
    for (const std::size_t other : set) {
      if (other != site && c.sites[other].curb == c.sites[site].curb &&
          std::abs(c.sites[other].along_curb_m - c.sites[site].along_curb_m) < c.limits.least_spacing_m) {
        return "spacing";
      }
    }
  }
  for (std::size_t s = 0; s < c.sites.size(); ++s) {
    if (c.sites[s].must && std::find(set.begin(), set.end(), s) == set.end()) {
      return "must";
    }
  }
  return static_cast<std::int64_t>(set.size()) > c.limits.pack.count.value_or(1000) ? "count"
         : money > c.limits.pack.money.value_or(1e9)                                ? "money"
         : digging_m3 > c.limits.pack.digging_m3.value_or(1e9)                      ? "digging"
                                                                                    : "";
}

/// The worth of every allowed set by whole storm runs.
struct Tried {
  std::vector<std::size_t> best;
  double value = 0.0;
  int sets = 0;
};

double worth_by_whole_run(const SmallChoice& c, const std::vector<std::size_t>& set,
                          const study::EventReaches& reaches) {
  const auto run = [&](const std::vector<std::size_t>& open_sites) {
    std::vector<std::uint8_t> open = all_closed(c.model);
    for (const std::size_t site : open_sites) {
      open[static_cast<std::size_t>(c.nodes[site])] = 1;
    }
    const study::StormResult result =
        study::run_storm(c.model, reaches, c.storm, open, study::empty_state(c.model));
    double worth = 0.0;
    for (std::size_t n = 0; n < result.nodes.size(); ++n) {
      worth += c.aim.per_captured_m3 * (c.aim.weights.empty() ? 1.0 : c.aim.weights[n]) *
               (result.nodes[n].captured_m3 - result.nodes[n].over_rim_m3);
    }
    for (const std::int32_t outfall : c.aim.outfalls) {
      worth -= c.aim.per_peak_m3_s * result.nodes[static_cast<std::size_t>(outfall)].peak_leaving_m3_s;
    }
    return worth;
  };
  return run(set) - run({});
}

Tried by_brute_force(const SmallChoice& c) {
  Tried out;
  out.value = -1e9;
  const study::EventReaches reaches = study::event_reaches(c.model, c.storm);
  std::vector<std::size_t> set;
  const auto try_from = [&](const auto& self, std::size_t from) -> void {
    if (forbidden(c, set).empty()) {
      ++out.sets;
      const double value = worth_by_whole_run(c, set, reaches);
      if (value > out.value) {
        out.value = value;
        out.best = set;
      }
    }
    for (std::size_t s = from; s < c.sites.size(); ++s) {
      if (static_cast<std::int64_t>(set.size()) < c.limits.pack.count.value_or(1000)) {
        set.push_back(s);
        self(self, s + 1);
        set.pop_back();
      }
    }
  };
  try_from(try_from, 0);
  return out;
}

Choice chosen(const SmallChoice& c, const siting::ChoiceEffort& effort = {}, int threads = 1) {
  return siting::choose(c.sites, c.limits, *siting::storm_value(c.model, c.storm, c.nodes, c.aim), effort,
                        {threads});
}

void give_aim(SmallChoice& c, std::mt19937& random, int which) {
  const auto outfall = static_cast<std::int32_t>(c.model.network.size()) - 2;
  if (which == 1) {
    for (std::size_t n = 0; n < c.model.network.size(); ++n) {
      c.aim.weights.push_back(pick(random, 0.5, 2.0));
    }
  } else if (which == 2) {
    c.aim = {.per_captured_m3 = 0.0, .weights = {}, .per_peak_m3_s = 1.0, .outfalls = {outfall}};
  } else if (which == 3) {
    c.aim = {.per_captured_m3 = 1.0, .weights = {}, .per_peak_m3_s = 50.0, .outfalls = {outfall}};
  }
}

TEST(Choice, EqualsBruteForceOnSmallChains) {
  std::mt19937 random(911);
  int compared = 0;
  int search_alone = 0;
  double widest_gap = 0.0;
  for (int seed = 0; seed < kSeeds; ++seed) {
    SCOPED_TRACE(seed);
    const int cuts = seed % 50 == 0 ? 16 : 3 + static_cast<int>(random() % 6);
    SmallChoice c = small_choice(random, cuts);
    give_aim(c, random, seed % 4);
    const Tried best = by_brute_force(c);
    if (best.sets == 0) {
      EXPECT_THROW((void)chosen(c), base::InputError);
      continue;
    }
    ++compared;
    const Choice choice = chosen(c);
    EXPECT_TRUE(choice.proved);
    const double near = 1e-9 * std::max(1.0, std::abs(best.value));
    EXPECT_NEAR(choice.value, best.value, near);
    EXPECT_EQ(forbidden(c, choice.build_order), "");
    EXPECT_EQ(choice.bound, choice.value);
    // Without the proof the bound still holds.
    const Choice quick = chosen(c, {.exact_sets = 0});
    EXPECT_GE(quick.bound, best.value - near);
    EXPECT_LE(quick.value, best.value + near);
    EXPECT_EQ(forbidden(c, quick.build_order), "");
    search_alone += quick.value >= best.value - near ? 1 : 0;
    widest_gap = std::max(widest_gap, quick.gap());
  }
  EXPECT_GT(compared, kSeeds * 9 / 10);
  RecordProperty("search_alone_found_the_best", search_alone);
  std::cout << "search alone found the best in " << search_alone << " of " << compared
            << ", widest gap of bound and value " << widest_gap << '\n';
}

TEST(Choice, ThreadsChangeNothing) {
  std::mt19937 random(912);
  for (int which = 0; which < 4; ++which) {
    SmallChoice c = small_choice(random, 30);
    for (ChoiceSite& site : c.sites) {
      site.must = false;
    }
    c.limits.pack.count = 8;
    give_aim(c, random, which);
    const Choice one = chosen(c, {.exact_sets = 50}, 1);
    for (const int threads : {2, 3, 7}) {
      const Choice other = chosen(c, {.exact_sets = 50}, threads);
      EXPECT_EQ(other.build_order, one.build_order);
      EXPECT_EQ(other.value_after, one.value_after);
      EXPECT_EQ(other.bound, one.bound);
    }
  }
}

/// Cuts that have nothing to do with each other: each has its own way off.
SmallChoice linear_choice(std::mt19937& random, int cuts) {
  SmallChoice c = small_choice(random, cuts);
  const auto edge = static_cast<std::int32_t>(c.model.network.size()) - 1;
  for (std::int32_t node = 0; node < edge; ++node) {
    if (c.model.network.downstream[static_cast<std::size_t>(node)] >= 0) {
      c.model.network.downstream[static_cast<std::size_t>(node)] = edge;
    }
  }
  c.limits = {};
  c.limits.pack.money = 500.0 * cuts / 3.0;
  c.limits.pack.count = cuts / 2;
  c.limits.pack.digging_m3 = 0.6 * cuts;
  c.limits.pack.per_block = cuts / 3;
  for (ChoiceSite& site : c.sites) {
    site.must = false;
    site.never = false;
  }
  return c;
}

/// The same as an integer programme in the LP format that COIN-OR CBC reads.
std::string as_programme(const SmallChoice& c, const std::vector<AloneWorth>& alone) {
  std::string text = "Maximize\n worth:";
  const auto row = [&](const std::function<double(std::size_t)>& factor) {
    for (std::size_t s = 0; s < c.sites.size(); ++s) {
      char term[80];
      (void)std::snprintf(term, sizeof term, " + %.17g x%zu", factor(s), s);
      text += std::string(term) + "\n";
    }
  };
  row([&](std::size_t s) { return alone[s].gain; });
  text += "Subject To\n money:";
  row([&](std::size_t s) { return c.sites[s].money; });
  text += " <= " + std::to_string(*c.limits.pack.money) + "\n digging:";
  row([&](std::size_t s) { return c.sites[s].digging_m3; });
  text += " <= " + std::to_string(*c.limits.pack.digging_m3) + "\n count:";
  row([](std::size_t) { return 1.0; });
  text += " <= " + std::to_string(*c.limits.pack.count);
  for (const char* block : {"north", "south"}) {
    text += std::string("\n ") + block + ":";
    row([&](std::size_t s) { return c.sites[s].block == block ? 1.0 : 0.0; });
    text += " <= " + std::to_string(*c.limits.pack.per_block);
  }
  text += "\nBinary\n";
  for (std::size_t s = 0; s < c.sites.size(); ++s) {
    text += " x" + std::to_string(s) + "\n";
  }
  return text + "End\n";
}

// Outside check: COIN-OR CBC, a mixed-integer solver (package coinor-cbc).
TEST(Choice, OfCutsThatDoNotMeetAgreesWithAnOutsideSolver) {
  std::mt19937 random(913);
  const TempFolder folder;
  for (int i = 0; i < 8; ++i) {
    SCOPED_TRACE(i);
    const SmallChoice c = linear_choice(random, 12 + 4 * i);
    const std::unique_ptr<siting::PlanValue> value = siting::storm_value(c.model, c.storm, c.nodes, c.aim);
    std::vector<AloneWorth> alone;
    for (std::size_t s = 0; s < c.sites.size(); ++s) {
      alone.push_back(value->alone(s));
    }
    const std::string programme = folder.path() + "/choice.lp";
    std::ofstream(programme) << as_programme(c, alone);
    const ToolRun cbc = run_tool("cbc " + programme + " ratioGap 0 solve");
    std::smatch found;
    ASSERT_TRUE(std::regex_search(cbc.text, found, std::regex(R"(Objective value:\s+(-?[0-9.]+))")))
        << cbc.text;
    const double theirs = std::abs(std::stod(found[1]));
    const Choice choice = chosen(c);
    EXPECT_NEAR(choice.value, theirs, 1e-6 * theirs + 1e-7);
    EXPECT_EQ(forbidden(c, choice.build_order), "");
  }
}

/// Three cuts in a row. By itself the middle one keeps most, but what it keeps is what the other two would.
TEST(Choice, SeesThatOneCutDriesUpTheNext) {
  SmallChoice c;
  ChainBuilder world({Cut, Cut, Outfall, Cut, Outfall});
  world.model.network.downstream = {1, 2, -1, 4, -1, -1};
  world.patch({0, kPavement, 300, 2, 1});  // all that cut 1 gets has come past cut 0
  world.patch({3, kPavement, 200, 2, 1});
  for (const int cut : {0, 1, 3}) {
    study::NodeParams& params = world.model.params[static_cast<std::size_t>(cut)];
    params.opening_m = 3.0;
    params.basin.length_m = 12.0;
    params.basin.width_m = 3.0;
  }
  c.model = world.build();
  c.storm = hour_storm(0.012, 10.0, 3600.0);
  c.nodes = {0, 1, 3};
  c.sites = {{.id = "upper"}, {.id = "lower"}, {.id = "other"}};
  c.limits.pack.count = 2;
  const std::unique_ptr<siting::PlanValue> value = siting::storm_value(c.model, c.storm, c.nodes, c.aim);
  // Ignoring the chain, the two with the largest gains by themselves would be built.
  ASSERT_GT(value->alone(0).gain, value->alone(2).gain);
  ASSERT_GT(value->alone(1).gain, value->alone(2).gain);
  const Choice choice = chosen(c);
  EXPECT_EQ(std::set<std::size_t>(choice.build_order.begin(), choice.build_order.end()).count(2), 1U);
  EXPECT_TRUE(choice.proved);
  EXPECT_GT(choice.value, 1.2 * worth_by_whole_run(c, {0, 1}, study::event_reaches(c.model, c.storm)));
}

/// Two long basins on two gutters that meet. Each cuts the early peak and gives back when the peak of another
/// area, `late_cells` large, comes by 15 minutes later.
SmallChoice two_late_basins(std::int64_t late_cells) {
  SmallChoice c;
  ChainBuilder world({Cut, Cut, Outfall});
  world.model.network.downstream = {2, 2, -1, -1};
  for (const std::int32_t cut : {0, 1}) {
    world.patch({cut, kPavement, 1500, 0, 0});
    study::NodeParams& params = world.model.params[static_cast<std::size_t>(cut)];
    params.opening_m = 3.0;
    params.basin.length_m = 40.0;
    params.basin.width_m = 3.0;
    params.basin.ponding_m = 0.02;
    params.basin.infiltration_m_s = 0.0;
  }
  world.patch({2, kPavement, late_cells, 90, 0});
  c.model = world.build();
  c.storm = hour_storm(0.035, 20.0, 3600.0);
  c.nodes = {0, 1};
  c.sites = {{.id = "a"}, {.id = "b"}};
  c.limits.pack.count = 2;
  c.aim = {.per_captured_m3 = 0.0, .weights = {}, .per_peak_m3_s = 1.0, .outfalls = {2}};
  return c;
}

TEST(Choice, NeverTakesTwoThatTogetherRaiseThePeakThoughEachLowersIt) {
  int met = 0;
  for (std::int64_t late_cells = 2560; late_cells <= 2720; late_cells += 10) {
    SCOPED_TRACE(late_cells);
    const SmallChoice c = two_late_basins(late_cells);
    const study::EventReaches reaches = study::event_reaches(c.model, c.storm);
    const double one = worth_by_whole_run(c, {0}, reaches);
    const double both = worth_by_whole_run(c, {0, 1}, reaches);
    const Choice choice = chosen(c);
    EXPECT_NEAR(choice.value, std::max({0.0, one, both}), 1e-12);
    if (one > 0.0 && both < 0.0) {
      ++met;
      EXPECT_EQ(choice.build_order, (std::vector<std::size_t>{0}));
    }
  }
  EXPECT_GE(met, 1);
}

TEST(Choice, OfEqualSitesTheEarlierIsBuiltFirst) {
  SmallChoice c;
  ChainBuilder world({Cut, Outfall, Cut, Outfall, Cut, Outfall});
  world.model.network.downstream = {1, -1, 3, -1, 5, -1, -1};
  for (const std::int32_t node : {0, 2, 4}) {
    world.patch({node, kPavement, 300, 2, 1});
  }
  c.model = world.build();
  c.storm = hour_storm(0.012, 10.0, 3600.0);
  c.nodes = {4, 2, 0};
  c.sites = {{.id = "a"}, {.id = "b"}, {.id = "c"}};
  c.limits.pack.count = 2;
  EXPECT_EQ(chosen(c).build_order, (std::vector<std::size_t>{0, 1}));
}

TEST(Choice, SaysWhichLimitTheWantedCutsBreak) {
  std::mt19937 random(915);
  SmallChoice c = small_choice(random, 5);
  c.limits = {};
  c.limits.pack.money = 100.0;
  c.sites[3].must = true;
  c.sites[3].never = false;
  c.sites[3].money = 150.0;
  try {
    (void)chosen(c);
    FAIL();
  } catch (const base::InputError& error) {
    EXPECT_NE(std::string(error.what()).find("cut-3"), std::string::npos) << error.what();
    EXPECT_NE(std::string(error.what()).find("over 100 of money"), std::string::npos) << error.what();
  }
}

TEST(Choice, OfNothingIsNothing) {
  std::mt19937 random(916);
  SmallChoice c = small_choice(random, 3);
  for (ChoiceSite& site : c.sites) {
    site.must = false;
    site.never = true;
  }
  const Choice choice = chosen(c);
  EXPECT_TRUE(choice.build_order.empty());
  EXPECT_EQ(choice.value, 0.0);
  EXPECT_EQ(choice.gap(), 0.0);
  c.sites.clear();
  c.nodes.clear();
  EXPECT_TRUE(chosen(c).build_order.empty());
}

}  // namespace
}  // namespace curbshed::testing
