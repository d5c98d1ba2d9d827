// A storm on a made chain of 1,000 nodes: 20 streets of 50 cuts and inlets, 2,000 steps.
#include "curbshed/study/storm.hpp"

#include "support/chain_worlds.hpp"

#include <benchmark/benchmark.h>

namespace curbshed::testing {
namespace {

using enum NodeKind;

study::ChainModel chain(int nodes) {
  std::vector<NodeKind> kinds;
  for (int i = 0; i < nodes; ++i) {
    kinds.push_back(i % 50 == 49 ? Outfall : i % 10 == 9 ? Inlet : Cut);
  }
  ChainBuilder world(kinds, 20.0);
  for (std::int32_t node = 0; node < nodes; ++node) {
    for (std::uint8_t part = 0; part < street::kJoinParts; ++part) {
      world.patch({node, kPavement, 40 + node % 7, static_cast<std::uint16_t>(2 + node % 5), part});
      world.patch({node, kRoof, 25, static_cast<std::uint16_t>(8 + part), part});
      world.patch({node, kYard, 60, static_cast<std::uint16_t>(15 + 3 * part), part});
    }
  }
  return world.build();
}

void run_storms(benchmark::State& state, int nodes, const study::Storm& storm, base::Workers workers) {
  const study::ChainModel model = chain(nodes);
  const study::EventReaches reaches = study::event_reaches(model, storm);
  const std::vector<std::uint8_t> open = all_open(model);
  const study::ChainState start = study::empty_state(model);
  for (auto _ : state) {
    const study::StormResult result = study::run_storm(model, reaches, storm, open, start, workers);
    if (!result.ledger.closes() || result.ledger.infiltrated_in_basins_m3 <= 0.0 ||
        result.ledger.left_at_outfalls_m3 <= 0.0) {
      state.SkipWithError("the storm's water does not add up");
      break;
    }
    benchmark::DoNotOptimize(result.ledger.gap_m3());
  }
  state.SetItemsProcessed(state.iterations() * nodes * static_cast<std::int64_t>(storm.rain_m.size()));
}

void storm_chain_1000(benchmark::State& state) {
  study::Storm storm = hour_storm(0.022);
  storm.rain_m.resize(2000, 0.0);
  run_storms(state, 1000, storm, {1});  // the gate counts one thread's time
}
BENCHMARK(storm_chain_1000)->Name("storm/chain_1000")->Unit(benchmark::kMillisecond);

/// 10,000 chained cuts at 10 s for 24 h. The gate leaves out what is long.
void storm_chain_10000(benchmark::State& state) {
  study::Storm storm = hour_storm(0.022, 10.0);
  storm.rain_m.resize(8640, 0.0);
  run_storms(state, 10000, storm, {2});
}
BENCHMARK(storm_chain_10000)->Name("long/chain_10000")->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
}  // namespace curbshed::testing
