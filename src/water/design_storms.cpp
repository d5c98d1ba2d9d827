#include "curbshed/water/design_storms.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/water/rain.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include <fmt/format.h>

namespace curbshed::water {
namespace {

struct DayRow {
  double hours;
  std::array<double, 4> share;  ///< I, IA, II, III
};
// kDayShapeSource.
constexpr std::array<DayRow, 23> kDay{{
    {0.0, {0.000, 0.000, 0.000, 0.000}},   {2.0, {0.035, 0.050, 0.022, 0.020}},
    {4.0, {0.076, 0.116, 0.048, 0.043}},   {6.0, {0.125, 0.206, 0.080, 0.072}},
    {7.0, {0.156, 0.268, 0.098, 0.089}},   {8.0, {0.194, 0.425, 0.120, 0.115}},
    {8.5, {0.219, 0.480, 0.133, 0.130}},   {9.0, {0.254, 0.520, 0.147, 0.148}},
    {9.5, {0.303, 0.550, 0.163, 0.167}},   {9.75, {0.362, 0.564, 0.172, 0.178}},
    {10.0, {0.515, 0.577, 0.181, 0.189}},  {10.5, {0.583, 0.601, 0.204, 0.216}},
    {11.0, {0.624, 0.624, 0.235, 0.250}},  {11.5, {0.654, 0.645, 0.283, 0.298}},
    {11.75, {0.669, 0.655, 0.357, 0.339}}, {12.0, {0.682, 0.664, 0.663, 0.500}},
    {12.5, {0.706, 0.683, 0.735, 0.702}},  {13.0, {0.727, 0.701, 0.772, 0.751}},
    {13.5, {0.748, 0.719, 0.799, 0.785}},  {14.0, {0.767, 0.736, 0.820, 0.811}},
    {16.0, {0.830, 0.800, 0.880, 0.886}},  {20.0, {0.926, 0.906, 0.952, 0.957}},
    {24.0, {1.000, 1.000, 1.000, 1.000}},
}};
constexpr double kDayHours = 24.0;
constexpr double kWholeWithin = 1e-9;

[[noreturn]] void refuse(std::string what, std::string allowed, std::string next) {
  throw base::InputError({}, std::move(what), std::move(allowed), std::move(next));
}

std::size_t whole_blocks(base::Duration duration, base::Duration block) {
  const double blocks = duration / block;
  const double whole = std::round(blocks);
  if (!(block.in_seconds() > 0.0) || !(whole >= 1.0) || std::fabs(blocks - whole) > kWholeWithin * whole ||
      duration.in_hours() > kDayHours) {
    refuse(fmt::format("a storm of {:g} min in blocks of {:g} min is not usable", duration.in_minutes(),
                       block.in_minutes()),
           "a whole number of blocks, at most 24 h in all", "change the duration or the block");
  }
  return static_cast<std::size_t>(whole);
}

/// What is left by rounding goes into the largest block, so that they add up to `whole_m`.
std::vector<double> added_up_to(std::vector<double> blocks, double whole_m) {
  double sum = 0.0;
  for (const double block : blocks) sum += block;
  const auto largest = std::max_element(blocks.begin(), blocks.end());
  *largest = std::max(0.0, *largest + (whole_m - sum));
  return blocks;
}

}  // namespace

DayShape day_shape(std::string_view name) {
  constexpr std::array<std::string_view, 4> kNames{"I", "IA", "II", "III"};
  for (std::size_t i = 0; i < kNames.size(); ++i) {
    if (kNames[i] == name) return static_cast<DayShape>(i);
  }
  refuse(fmt::format("\"{}\" is no 24-hour shape", name), "I, IA, II, III", "take the type of your region");
}

std::vector<SharePoint> day_points(DayShape shape) {
  std::vector<SharePoint> points;
  for (const DayRow& row : kDay) points.push_back({row.hours, row.share[static_cast<std::size_t>(shape)]});
  return points;
}

double day_share(DayShape shape, double hours) {
  if (!(hours >= 0.0 && hours <= kDayHours)) {
    refuse(fmt::format("hour {:g} is not in a day", hours), "0 to 24", "look at the time");
  }
  const auto type = static_cast<std::size_t>(shape);
  std::size_t upper = 1;
  while (hours > kDay[upper].hours) ++upper;
  const DayRow& a = kDay[upper - 1];
  const DayRow& b = kDay[upper];
  return a.share[type] + (hours - a.hours) / (b.hours - a.hours) * (b.share[type] - a.share[type]);
}

std::vector<double> day_blocks_m(DayShape shape, base::Length depth, base::Duration block) {
  const double depth_m = depth.in_metres();
  if (!(depth_m >= 0.0))
    refuse(fmt::format("a rain of {:g} m is not usable", depth_m), "0 mm or more", "give a depth");
  const std::size_t count = whole_blocks(base::Duration::hours(kDayHours), block);
  std::vector<double> blocks;
  double before = 0.0;
  for (std::size_t k = 1; k <= count; ++k) {
    const double share = day_share(shape, kDayHours * static_cast<double>(k) / static_cast<double>(count));
    blocks.push_back(depth_m * (share - before));
    before = share;
  }
  return added_up_to(std::move(blocks), depth_m);
}

void check(const DepthCurve& curve) {
  const std::vector<DepthPoint>& points = curve.points;
  if (points.size() < 2)
    refuse(fmt::format("a table of {} durations is too short", points.size()), "2 durations or more",
           "give the depths of at least two durations");
  for (std::size_t p = 0; p < points.size(); ++p) {
    const DepthPoint& at = points[p];
    const bool sound =
        std::isfinite(at.duration_s) && std::isfinite(at.depth_m) && at.duration_s > 0.0 && at.depth_m > 0.0;
    // A printed table is rounded: the mean intensity may rise by a thousandth.
    const bool follows =
        p == 0 || (at.duration_s > points[p - 1].duration_s && at.depth_m >= points[p - 1].depth_m &&
                   at.depth_m / at.duration_s <= 1.001 * points[p - 1].depth_m / points[p - 1].duration_s);
    if (sound && follows) continue;
    refuse(fmt::format("{:g} mm in {:g} min (row {}) does not follow on the row before", at.depth_m * 1000.0,
                       at.duration_s / 60.0, p + 1),
           "longer durations with more rain at a lesser mean rate", "mend that row");
  }
}

double depth_within_m(const DepthCurve& curve, double duration_s) {
  const std::vector<DepthPoint>& points = curve.points;
  if (duration_s == 0.0) return 0.0;
  if (!(duration_s > 0.0) || duration_s > points.back().duration_s * (1.0 + kWholeWithin)) {
    refuse(fmt::format("the table has no rain of {:g} min", duration_s / 60.0),
           fmt::format("up to {:g} min", points.back().duration_s / 60.0),
           "take a shorter storm or a table with longer durations");
  }
  std::size_t upper = 1;
  while (upper + 1 < points.size() && duration_s > points[upper].duration_s) ++upper;
  const DepthPoint& a = points[upper - 1];
  const DepthPoint& b = points[upper];
  const double power = std::log(b.depth_m / a.depth_m) / std::log(b.duration_s / a.duration_s);
  return b.depth_m * std::pow(duration_s / b.duration_s, power);
}

std::vector<double> alternating_blocks_m(const DepthCurve& curve, const CurveStorm& storm) {
  check(curve);
  const std::size_t count = whole_blocks(storm.duration, storm.block);
  std::vector<double> blocks;
  double before_m = 0.0;
  for (std::size_t k = 1; k <= count; ++k) {
    const double fallen_m = depth_within_m(curve, storm.block.in_seconds() * static_cast<double>(k));
    blocks.push_back(fallen_m - before_m);
    before_m = fallen_m;
  }
  return added_up_to(alternating_order(std::move(blocks)), before_m);
}

std::vector<double> chicago_blocks_m(const DepthCurve& curve, const CurveStorm& storm) {
  check(curve);
  const double r = storm.peak_at;
  if (!(r >= 0.0 && r <= 1.0)) {
    refuse(fmt::format("a peak at {:g} of the storm is not usable", r), "0 to 1",
           "give the share before the peak");
  }
  const std::size_t count = whole_blocks(storm.duration, storm.block);
  const double peak_s = r * storm.duration.in_seconds();
  const double whole_m = depth_within_m(curve, storm.duration.in_seconds());
  const auto fallen_m = [&](double t) {
    if (t <= peak_s) return r * whole_m - (r > 0.0 ? r * depth_within_m(curve, (peak_s - t) / r) : 0.0);
    return r * whole_m + (r < 1.0 ? (1.0 - r) * depth_within_m(curve, (t - peak_s) / (1.0 - r)) : 0.0);
  };
  std::vector<double> blocks;
  double before_m = 0.0;
  for (std::size_t k = 1; k <= count; ++k) {
    const double now_m = k == count ? whole_m : fallen_m(storm.block.in_seconds() * static_cast<double>(k));
    blocks.push_back(std::max(0.0, now_m - before_m));
    before_m = now_m;
  }
  return added_up_to(std::move(blocks), whole_m);
}

}  // namespace curbshed::water
