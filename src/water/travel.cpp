#include "curbshed/water/travel.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/water/powers.hpp"

#include <cstddef>

#include <fmt/format.h>

namespace curbshed::water {
namespace {

void require_moving(const SheetFlow& plane, double drive, const char* drive_name) {
  if (plane.length.in_metres() > 0.0 && plane.slope.as_fraction() > 0.0 && drive > 0.0) return;
  throw base::InputError({},
                         fmt::format("sheet flow over {} m at a slope of {} % with {} {} has no travel time",
                                     plane.length.in_metres(), plane.slope.as_percent(), drive_name, drive),
                         "length, slope and rain over 0", "give a least slope, such as 0.2 %");
}

}  // namespace

base::Duration sheet_flow_time(const SheetFlow& plane, base::Rate excess) {
  require_moving(plane, excess.in_metres_per_second(), "an excess (m/s) of");
  const RawSheet cell{.slope = plane.slope.as_fraction(),
                      .roughness = plane.roughness.value(),
                      .excess_m_s = excess.in_metres_per_second()};
  return base::Duration::seconds(sheet_time_added_s(cell, 0.0, plane.length.in_metres()));
}

base::Duration sheet_flow_time_from_day_rain(const SheetFlow& plane, base::Length two_year_day) {
  require_moving(plane, two_year_day.in_inches(), "a day's rain (in) of");
  const double n = plane.roughness.value();
  const double L = plane.length.in_feet();
  const double s = plane.slope.as_fraction();
  const double P2 = two_year_day.in_inches();
  return base::Duration::hours(0.007 * std::pow(n * L, 0.8) / (std::sqrt(P2) * std::pow(s, 0.4)));
}

void sheet_times_added_s(const SheetCells& cells, std::vector<double>& seconds) {
  const std::size_t count = cells.unit_s.size();
  base::ensure(cells.slope.size() == count && cells.to_end_m.size() == count && cells.step_m.size() == count,
               "as many slopes and lengths as cells");
  std::vector<double> power(count);
  std::vector<double> sum(count);
  for (std::size_t i = 0; i < count; ++i) sum[i] = cells.to_end_m[i] + cells.step_m[i];
  seconds.resize(count);
  powers(sum, 0.6, seconds);
  powers(cells.to_end_m, 0.6, power);
  for (std::size_t i = 0; i < count; ++i) seconds[i] -= power[i];
  powers(cells.slope, 0.3, power);
  for (std::size_t i = 0; i < count; ++i) seconds[i] *= cells.unit_s[i] / power[i];
}

double shallow_speed_m_s(base::Slope slope, bool paved) {
  return raw_shallow_speed_m_s(slope.as_fraction(), paved);
}

}  // namespace curbshed::water
