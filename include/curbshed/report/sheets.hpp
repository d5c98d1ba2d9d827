// The tables of a run: one row a cut, basin, outfall, inlet, sag, passed hollow.
#pragma once

#include "curbshed/report/facts.hpp"

#include <functional>
#include <string>
#include <vector>

namespace curbshed::report {

/// A column that does not depend on the storm.
struct NodeColumn {
  base::Column column;
  std::function<base::Cell(std::int32_t node)> value;
};

/// A column that is there once a storm. "{}" in the name stands for the storm's id: `arriving_{}_m3`.
struct StormColumn {
  base::Column column;
  std::function<base::Cell(const study::StormComparison& storm, std::int32_t node)> value;
};

/// A table before it is laid out: as columns for files, as nested objects for summary.json.
struct Sheet {
  std::string name;
  std::string title;
  std::string description;
  std::vector<std::int32_t> nodes;  ///< one row each
  std::vector<NodeColumn> columns;
  std::vector<StormColumn> storm_columns;
};

/// The sheets keep pointers into `facts`. Every number has its unit at the end of the column's name.
Sheet cuts_sheet(const RunFacts& facts);  ///< by rank
Sheet basins_sheet(const RunFacts& facts);
Sheet existing_basins_sheet(const RunFacts& facts);
Sheet outfalls_sheet(const RunFacts& facts);  ///< outfalls and the edge of the data
Sheet inlets_sheet(const RunFacts& facts);
Sheet sags_sheet(const RunFacts& facts);

/// Columns in order; storm columns storm by storm.
base::Table table_of(const Sheet& sheet, const RunFacts& facts);

/// Name of a storm column in a file: "arriving_{}_m3", "common" → "arriving_common_m3"; "" → "arriving_m3".
std::string storm_column_name(const std::string& pattern, const std::string& storm_id);

/// Short result of a cut in a storm, in words: "takes all that arrives".
std::string result_words(const RunFacts& facts, const study::StormComparison& storm, std::int32_t node);

}  // namespace curbshed::report
