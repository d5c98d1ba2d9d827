#include "curbshed/base/ledger.hpp"

#include <set>

#include <gtest/gtest.h>

namespace curbshed::base {
namespace {

TEST(WaterLedger, EveryTermIsListedOnceOnItsSide) {
  std::set<std::string_view> keys;
  for (const LedgerTerm& term : ledger_terms()) {
    keys.insert(term.key);
    WaterLedger ledger;
    ledger.*term.value = 2.0;
    EXPECT_DOUBLE_EQ(ledger.in_m3(), term.side == LedgerSide::In ? 2.0 : 0.0) << term.key;
    EXPECT_DOUBLE_EQ(ledger.out_m3(), term.side == LedgerSide::Out ? 2.0 : 0.0) << term.key;
    EXPECT_DOUBLE_EQ(ledger.stored_m3(), term.side == LedgerSide::Stored ? 2.0 : 0.0) << term.key;
  }
  EXPECT_EQ(keys.size(), sizeof(WaterLedger) / sizeof(double));
}

TEST(WaterLedger, ADroppedLitreIsMissedExactly) {
  WaterLedger full;
  full.rain_on_cells_m3 = 120.0;
  full.stored_at_start_m3 = 3.0;
  full.lost_at_source_m3 = 40.0;
  full.into_inlets_m3 = 50.0;
  full.in_basins_m3 = 33.0;
  EXPECT_TRUE(full.closes());
  for (const LedgerTerm& term : ledger_terms()) {
    if (term.side == LedgerSide::In || full.*term.value <= 0.0) {
      continue;
    }
    WaterLedger broken = full;
    broken.*term.value -= 0.001;
    EXPECT_NEAR(broken.gap_m3(), 0.001, 1e-12) << term.key;
    EXPECT_FALSE(broken.closes()) << term.key;
  }
}

TEST(WaterLedger, SmallAmountsAreJudgedAgainstOneLitre) {
  WaterLedger ledger;
  ledger.rain_on_cells_m3 = 1e-13;
  EXPECT_DOUBLE_EQ(ledger.relative_gap(), 1e-10);
  EXPECT_TRUE(ledger.closes());
}

TEST(WaterLedger, AddsTermByTerm) {
  WaterLedger a;
  a.rain_on_cells_m3 = 1.0;
  a.on_the_way_m3 = 0.5;
  WaterLedger b = a;
  b += a;
  EXPECT_DOUBLE_EQ(b.rain_on_cells_m3, 2.0);
  EXPECT_DOUBLE_EQ(b.on_the_way_m3, 1.0);
  EXPECT_DOUBLE_EQ(b.into_inlets_m3, 0.0);
}

}  // namespace
}  // namespace curbshed::base
