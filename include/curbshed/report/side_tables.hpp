// Tables that are no sheet: what was passed through and what was set aside.
#pragma once

#include "curbshed/report/facts.hpp"

#include <string>
#include <utility>
#include <vector>

namespace curbshed::report {

/// Gutters from each place down to the next: length, grades, and in each storm the widest water at the
/// flattest piece and at the lower end.
base::Table reaches_table(const RunFacts& facts);
struct ReachRow {
  std::int32_t from = -1;
  std::int32_t to = -1;
  double length_m = 0.0;
  double share = 1.0;   ///< of what leaves `from`
  bool second = false;  ///< straight on at a shared corner
  const base::Polyline* line = nullptr;
};
/// One a row of reaches_table.
std::vector<ReachRow> reaches_rows(const RunFacts& facts);

/// Street corners, one row a gutter that comes to one: what its water does and how sure that is.
base::Table corners_table(const RunFacts& facts);
/// Hollows that were passed through.
base::Table passed_table(const RunFacts& facts);
/// Features that were set aside, with the reason.
base::Table set_aside_table(const RunFacts& facts);
/// Digits after the point for CSV files, by column name.
std::vector<std::pair<std::string, int>> digits_of(const base::Table& table);

}  // namespace curbshed::report
