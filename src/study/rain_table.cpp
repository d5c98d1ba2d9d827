#include "curbshed/study/rain_table.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/study/number_table.hpp"

#include <vector>

namespace curbshed::study {

using base::Dimension;
using base::InputError;

water::DepthCurve read_depth_curve(const std::string& file, std::string_view column) {
  const NumberTable table = read_number_table(file);
  const std::vector<double> spans_s = table_column(table, "duration", Dimension::Duration);
  std::string names;
  std::vector<std::size_t> fitting;
  for (std::size_t c = 0; c < table.names.size(); ++c) {
    const NamedUnit depth = split_unit(table.names[c], Dimension::Length);
    const NamedUnit rate = split_unit(table.names[c], Dimension::Rate);
    if (depth.factor == 0.0 && rate.factor == 0.0) continue;
    const std::string name = rate.factor > 0.0 ? rate.name : depth.name;
    names += (names.empty() ? "" : ", ") + name;
    if (column.empty() || column == name) fitting.push_back(c);
  }
  if (fitting.size() != 1) {
    throw InputError({file, "", ""},
                     "one column of rain is needed, it has " + (names.empty() ? "none" : names),
                     "a column of depths (2yr_mm, 2yr_in) or rates (2yr_mm_h, 2yr_in_h)",
                     column.empty() ? "say which column" : "name one of its columns");
  }
  const std::string& name = table.names[fitting.front()];
  const NamedUnit rate = split_unit(name, Dimension::Rate);
  const NamedUnit depth = split_unit(name, Dimension::Length);
  water::DepthCurve curve;
  for (std::size_t r = 0; r < table.rows.size(); ++r) {
    const double cell = table.rows[r].cells[fitting.front()];
    curve.points.push_back(
        {spans_s[r], rate.factor > 0.0 ? cell * rate.factor * spans_s[r] : cell * depth.factor});
  }
  try {
    water::check(curve);
  } catch (const InputError& error) {
    throw error.located({file, "", ""});
  }
  return curve;
}

}  // namespace curbshed::study
