#include "curbshed/base/ledger.hpp"

#include <algorithm>
#include <cmath>

namespace curbshed::base {
namespace {

constexpr double kLeastIn_m3 = 0.001;  // 1 L

double sum(const WaterLedger& ledger, LedgerSide side) {
  double total = 0.0;
  for (const LedgerTerm& term : ledger_terms()) {
    if (term.side == side) {
      total += ledger.*term.value;
    }
  }
  return total;
}

}  // namespace

double WaterLedger::in_m3() const { return sum(*this, LedgerSide::In); }
double WaterLedger::out_m3() const { return sum(*this, LedgerSide::Out); }
double WaterLedger::stored_m3() const { return sum(*this, LedgerSide::Stored); }

double WaterLedger::relative_gap() const { return std::abs(gap_m3()) / std::max(in_m3(), kLeastIn_m3); }

WaterLedger& WaterLedger::operator+=(const WaterLedger& other) {
  for (const LedgerTerm& term : ledger_terms()) {
    this->*term.value += other.*term.value;
  }
  return *this;
}

const std::vector<LedgerTerm>& ledger_terms() {
  using enum LedgerSide;
  using L = WaterLedger;
  static const std::vector<LedgerTerm> terms = {
      {&L::rain_on_cells_m3, In, "rain_on_cells_m3", "Rain on the ground"},
      {&L::rain_on_basins_m3, In, "rain_on_basins_m3", "Rain on basins"},
      {&L::other_inflow_m3, In, "other_inflow_m3", "Other inflow"},
      {&L::stored_at_start_m3, In, "stored_at_start_m3", "Stored at the start"},
      {&L::lost_at_source_m3, Out, "lost_at_source_m3", "Lost where it fell"},
      {&L::screened_off_m3, Out, "screened_off_m3", "Lost at the screens of tanks"},
      {&L::first_flush_m3, Out, "first_flush_m3", "First flush of roofs, kept out of tanks"},
      {&L::infiltrated_on_lots_m3, Out, "infiltrated_on_lots_m3", "Soaked in on lots, from tanks"},
      {&L::infiltrated_in_basins_m3, Out, "infiltrated_in_basins_m3", "Soaked in at basins"},
      {&L::evaporated_m3, Out, "evaporated_m3", "Evaporated"},
      {&L::taken_by_trees_and_uses_m3, Out, "taken_by_trees_and_uses_m3", "Taken by trees and uses"},
      {&L::into_inlets_m3, Out, "into_inlets_m3", "Into drain inlets"},
      {&L::left_at_outfalls_m3, Out, "left_at_outfalls_m3", "Left at outfalls"},
      {&L::over_curbs_m3, Out, "over_curbs_m3", "Over curbs to lots"},
      {&L::over_rims_m3, Out, "over_rims_m3", "Over basin rims"},
      {&L::off_the_edge_m3, Out, "off_the_edge_m3", "Off the edge of the data"},
      {&L::in_basins_m3, Stored, "in_basins_m3", "Still in basins"},
      {&L::in_gutters_m3, Stored, "in_gutters_m3", "Still in gutters"},
      {&L::in_sags_m3, Stored, "in_sags_m3", "Still in sags"},
      {&L::in_tanks_m3, Stored, "in_tanks_m3", "Still in tanks"},
      {&L::in_lot_basins_m3, Stored, "in_lot_basins_m3", "Still in basins on lots"},
      {&L::in_soil_m3, Stored, "in_soil_m3", "Still in the soil"},
      {&L::on_the_way_m3, Stored, "on_the_way_m3", "Still on its way"},
  };
  static_assert(sizeof(WaterLedger) == 23 * sizeof(double), "a ledger term is missing in the table");
  return terms;
}

}  // namespace curbshed::base
