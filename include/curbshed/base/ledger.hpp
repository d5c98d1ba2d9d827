// The water ledger: every drop that came in, and where it is at the end.
#pragma once

#include <array>
#include <string_view>
#include <vector>

namespace curbshed::base {

/// All terms in cubic metres. Each is summed where it happens; none is the remainder of others.
struct WaterLedger {
  // in
  double rain_on_cells_m3 = 0.0;
  double rain_on_basins_m3 = 0.0;
  double other_inflow_m3 = 0.0;
  double stored_at_start_m3 = 0.0;
  // out
  double lost_at_source_m3 = 0.0;
  double screened_off_m3 = 0.0;         ///< at the leaf screens of tanks, lost on the lots
  double first_flush_m3 = 0.0;          ///< kept out of tanks, lost on the lots
  double infiltrated_on_lots_m3 = 0.0;  ///< in the basins that take the overflow of tanks
  double infiltrated_in_basins_m3 = 0.0;
  double evaporated_m3 = 0.0;
  double taken_by_trees_and_uses_m3 = 0.0;
  double into_inlets_m3 = 0.0;
  double left_at_outfalls_m3 = 0.0;
  double over_curbs_m3 = 0.0;  ///< over curb, lip or crown's edge to lots
  double over_rims_m3 = 0.0;   ///< over the rim of a basin
  double off_the_edge_m3 = 0.0;
  // still here at the end
  double in_basins_m3 = 0.0;
  double in_gutters_m3 = 0.0;  ///< on its way in reaches
  double in_sags_m3 = 0.0;
  double in_tanks_m3 = 0.0;
  double in_lot_basins_m3 = 0.0;
  double in_soil_m3 = 0.0;
  double on_the_way_m3 = 0.0;  ///< run off, not yet in a gutter or basin

  double in_m3() const;
  double out_m3() const;
  double stored_m3() const;
  /// in − out − stored, in cubic metres.
  double gap_m3() const { return in_m3() - out_m3() - stored_m3(); }
  /// |gap| over max(in, 1 L).
  double relative_gap() const;
  bool closes() const { return relative_gap() <= kClosure; }

  static constexpr double kClosure = 1e-9;

  WaterLedger& operator+=(const WaterLedger& other);
};

enum class LedgerSide : unsigned char { In, Out, Stored };
struct LedgerTerm {
  double WaterLedger::*value;
  LedgerSide side;
  std::string_view key;    ///< for files: `rain_on_cells_m3`
  std::string_view title;  ///< for people
};
/// Every term once, in the order of the struct.
const std::vector<LedgerTerm>& ledger_terms();

}  // namespace curbshed::base
