// The choice of cuts on made streets: 50 candidates in a row drain to an outfall, an inlet after every ninth.
#include "curbshed/siting/plan_value.hpp"

#include "support/chain_worlds.hpp"

#include <benchmark/benchmark.h>

namespace curbshed::testing {
namespace {

using enum NodeKind;

void choose_cuts(benchmark::State& state, int nodes, std::int64_t count, base::Workers workers) {
  std::vector<NodeKind> kinds;
  for (int i = 0; i < nodes; ++i) {
    kinds.push_back(i % 50 == 49 ? Outfall : Cut);
  }
  ChainBuilder world(kinds, 10.0);
  std::vector<std::int32_t> cuts;
  std::vector<siting::ChoiceSite> sites;
  for (std::int32_t node = 0; node < nodes; ++node) {
    world.patch({node, kPavement, 30 + (node * 37) % 50, static_cast<std::uint16_t>(2 + node % 5), 2});
    world.patch({node, kYard, 40 + (node * 53) % 90, static_cast<std::uint16_t>(15 + node % 7), 4});
    if (world.model.network.kind[static_cast<std::size_t>(node)] == Cut) {
      cuts.push_back(node);
      sites.push_back({.curb = node / 50, .along_curb_m = 10.0 * (node % 50)});
    }
  }
  const study::ChainModel model = world.build();
  const study::Storm storm = hour_storm(0.012, 10.0, 3600.0);
  const siting::ChoiceLimits limits{.pack = {.count = count}, .least_spacing_m = 15.0};
  double gap = 0.0;
  for (auto _ : state) {
    const siting::Choice choice =
        siting::choose(sites, limits, *siting::storm_value(model, storm, cuts, {}, workers), {}, workers);
    if (static_cast<std::int64_t>(choice.build_order.size()) != count || !(choice.value > 0.0) ||
        choice.value > choice.bound) {
      state.SkipWithError("the choice does not keep its limits or its bound");
      break;
    }
    gap = choice.gap();
  }
  state.counters["gap"] = gap;
}

void choice_10_of_500(benchmark::State& state) { choose_cuts(state, 500, 10, {1}); }
BENCHMARK(choice_10_of_500)->Name("choice/10_of_500")->Unit(benchmark::kMillisecond);

/// The gate leaves out what is long.
void choice_100_of_10000(benchmark::State& state) { choose_cuts(state, 10'000, 100, {2}); }
BENCHMARK(choice_100_of_10000)
    ->Name("long/choice_100_of_10000")
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

}  // namespace
}  // namespace curbshed::testing
