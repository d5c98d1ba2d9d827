// Storms of a given depth through time: the day-long shapes of the NRCS, and storms from a table of depths by
// duration.
#pragma once

#include "curbshed/base/quantity.hpp"

#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

namespace curbshed::water {

inline constexpr std::string_view kDayShapeSource =
    "NRCS 24-hour rainfall distributions, types I, IA, II and III, SCS TP-149 (1973), the table of 23 points "
    "(TR-55 app. B draws the same shapes; attribution from memory)";
inline constexpr std::string_view kAlternatingSource =
    "alternating blocks from depths by duration, as in Chow, Maidment & Mays 1988, Applied Hydrology, ch. 14 "
    "(from memory)";
inline constexpr std::string_view kChicagoSource =
    "Chicago storm: Keifer & Chu 1957, J. Hydraulics Division ASCE 83(HY4) (from memory), written with "
    "depths "
    "instead of a fitted intensity";

enum class DayShape : std::uint8_t { I, IA, II, III };
/// "I", "IA", "II", "III". Anything else: InputError that lists them.
DayShape day_shape(std::string_view name);

/// Share of the day's rain fallen by `hours` (0 to 24, else InputError), straight between the points of
/// kDayShapeSource.
double day_share(DayShape shape, double hours);
struct SharePoint {
  double hours = 0.0;
  double share = 0.0;
};
/// The points themselves.
std::vector<SharePoint> day_points(DayShape shape);

/// Depth of each block. 24 h must be a whole number of blocks (InputError). They add up to `depth`.
std::vector<double> day_blocks_m(DayShape shape, base::Length depth, base::Duration block);

/// Depth of rain of one frequency, by duration.
struct DepthPoint {
  double duration_s = 0.0;  ///< > 0, strictly rising
  double depth_m = 0.0;     ///< > 0, never falling; the mean intensity never rises
};
struct DepthCurve {
  std::vector<DepthPoint> points = {};  ///< at least two
};
/// InputError that names the point.
void check(const DepthCurve& curve);
/// Log-log between the points; under the shortest duration the first segment goes on (our assumption). 0 → 0.
/// Over the longest: InputError.
double depth_within_m(const DepthCurve& curve, double duration_s);

/// A storm whose worst spans have the depths of the curve.
struct CurveStorm {
  base::Duration duration = base::Duration::hours(1.0);  ///< a whole number of blocks, at most 24 h
  base::Duration block = base::Duration::minutes(5.0);
  double peak_at = 0.5;  ///< Chicago: share of the duration before the peak, 0 to 1
};
/// Differences of the curve in alternating order. The worst span of k blocks has the curve's depth.
std::vector<double> alternating_blocks_m(const DepthCurve& curve, const CurveStorm& storm);
/// Chicago: by time t after the peak (1 − r) P(t/(1 − r)) has fallen, by time t before it r P(t/r) is to
/// fall, P depth by duration, r = peak_at. The span of any length that the peak divides as r has the curve's
/// depth. Both add up to P(duration). Errors (InputError): check(curve), a storm outside its ranges or the
/// curve.
std::vector<double> chicago_blocks_m(const DepthCurve& curve, const CurveStorm& storm);

}  // namespace curbshed::water
