// A storm on a made chain of 1,000 nodes: 20 streets of 50 cuts and inlets, 2,000 steps.
#include "curbshed/study/storm.hpp"

#include "support/chain_worlds.hpp"

#include <benchmark/benchmark.h>

namespace curbshed::testing {
namespace {

using enum NodeKind;

study::ChainModel chain_1000() {
  std::vector<NodeKind> kinds;
  for (int i = 0; i < 1000; ++i) {
    kinds.push_back(i % 50 == 49 ? Outfall : i % 10 == 9 ? Inlet : Cut);
  }
  ChainBuilder world(kinds, 20.0);
  for (std::int32_t node = 0; node < 1000; ++node) {
    for (std::uint8_t part = 0; part < street::kJoinParts; ++part) {
      world.patch({node, kPavement, 40 + node % 7, static_cast<std::uint16_t>(2 + node % 5), part});
      world.patch({node, kRoof, 25, static_cast<std::uint16_t>(8 + part), part});
      world.patch({node, kYard, 60, static_cast<std::uint16_t>(15 + 3 * part), part});
    }
  }
  return world.build();
}

void storm_chain_1000(benchmark::State& state) {
  const study::ChainModel model = chain_1000();
  study::Storm storm = hour_storm(0.022);
  storm.rain_m.resize(2000, 0.0);
  const study::EventReaches reaches = study::event_reaches(model, storm);
  const std::vector<std::uint8_t> open = all_open(model);
  const study::ChainState start = study::empty_state(model);
  for (auto _ : state) {
    const study::StormResult result = study::run_storm(model, reaches, storm, open, start);
    if (!result.ledger.closes() || result.ledger.infiltrated_in_basins_m3 <= 0.0 ||
        result.ledger.left_at_outfalls_m3 <= 0.0) {
      state.SkipWithError("the storm's water does not add up");
      break;
    }
    benchmark::DoNotOptimize(result.ledger.gap_m3());
  }
  state.SetItemsProcessed(state.iterations() * 1000 * 2000);
}
BENCHMARK(storm_chain_1000)->Name("storm/chain_1000")->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace curbshed::testing
