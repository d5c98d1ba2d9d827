#include "curbshed/water/peak_flow.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <fmt/format.h>

namespace curbshed::water {
namespace {

struct PeakRow {
  DayShape shape;
  double ratio;  ///< Ia/P
  double c0;
  double c1;
  double c2;
};
using enum DayShape;
// TR-55, table F-1.
constexpr std::array<PeakRow, 25> kPeaks{{
    {I, 0.10, 2.30550, -0.51429, -0.11750},   {I, 0.20, 2.23537, -0.50387, -0.08929},
    {I, 0.25, 2.18219, -0.48488, -0.06589},   {I, 0.30, 2.10624, -0.45695, -0.02835},
    {I, 0.35, 2.00303, -0.40769, 0.01983},    {I, 0.40, 1.87733, -0.32274, 0.05754},
    {I, 0.45, 1.76312, -0.15644, 0.00453},    {I, 0.50, 1.67889, -0.06930, 0.00000},
    {IA, 0.10, 2.03250, -0.31583, -0.13748},  {IA, 0.20, 1.91978, -0.28215, -0.07020},
    {IA, 0.25, 1.83842, -0.25543, -0.02597},  {IA, 0.30, 1.72657, -0.19826, 0.02633},
    {IA, 0.50, 1.63417, -0.09100, 0.00000},   {II, 0.10, 2.55323, -0.61512, -0.16403},
    {II, 0.30, 2.46532, -0.62257, -0.11657},  {II, 0.35, 2.41896, -0.61594, -0.08820},
    {II, 0.40, 2.36409, -0.59857, -0.05621},  {II, 0.45, 2.29238, -0.57005, -0.02281},
    {II, 0.50, 2.20282, -0.51599, -0.01259},  {III, 0.10, 2.47317, -0.51848, -0.17083},
    {III, 0.30, 2.39628, -0.51202, -0.13245}, {III, 0.35, 2.35477, -0.49735, -0.11985},
    {III, 0.40, 2.30726, -0.46541, -0.11094}, {III, 0.45, 2.24876, -0.41314, -0.11508},
    {III, 0.50, 2.17772, -0.36803, -0.09525},
}};
constexpr double kMostUnconnected = 0.30;
constexpr double kPavedCurve = 98.0;
constexpr double kSquareMetresPerSquareMile = 640.0 * base::kSquareMetresPerAcre;

[[noreturn]] void refuse(std::string what, std::string allowed) {
  throw base::InputError({}, std::move(what), std::move(allowed), "look at the number and its unit");
}

double unit_peak(const PeakRow& row, double hours) {
  const double x = std::log10(hours);
  return std::pow(10.0, row.c0 + row.c1 * x + row.c2 * x * x);
}

}  // namespace

base::Flow rational_flow(base::RunoffFraction coefficient, base::Rate intensity, base::Area area) {
  if (!(intensity.in_metres_per_second() >= 0.0))
    refuse(fmt::format("a rain of {:g} mm/h is not usable", intensity.in_millimetres_per_hour()),
           "0 mm/h or more");
  if (!(area.in_square_metres() >= 0.0))
    refuse(fmt::format("an area of {:g} m2 is not usable", area.in_square_metres()), "0 m2 or more");
  return coefficient.value() * (area * intensity);
}

double weighted_by_area(std::span<const AreaPart> parts) {
  double area = 0.0;
  double sum = 0.0;
  for (const AreaPart& part : parts) {
    if (!(part.area >= 0.0)) refuse(fmt::format("an area of {:g} is not usable", part.area), "0 or more");
    area += part.area;
    sum += part.area * part.value;
  }
  if (!(area > 0.0)) refuse("parts without any area have no mean", "at least one area over 0");
  return sum / area;
}

double composite_curve_number(CurveNumber pervious, double impervious, double unconnected) {
  const double P = base::detail::within(impervious, 0.0, 1.0, "impervious share");
  const double R = base::detail::within(unconnected, 0.0, 1.0, "unconnected share");
  const double kept = P < kMostUnconnected ? 1.0 - 0.5 * R : 1.0;
  return pervious.value() + P * (kPavedCurve - pervious.value()) * kept;
}

double unit_peak_ft3_s_mi2_in(DayShape shape, double abstraction_ratio, base::Duration concentration) {
  const double hours = concentration.in_hours();
  if (!(hours >= 0.1 && hours <= 10.0))
    refuse(fmt::format("a time of concentration of {:g} h is not usable", hours), "0.1 h to 10 h");
  std::vector<PeakRow> rows;
  std::copy_if(kPeaks.begin(), kPeaks.end(), std::back_inserter(rows),
               [shape](const PeakRow& row) { return row.shape == shape; });
  if (!(abstraction_ratio > rows.front().ratio)) return unit_peak(rows.front(), hours);
  if (abstraction_ratio >= rows.back().ratio) return unit_peak(rows.back(), hours);
  std::size_t upper = 1;
  while (abstraction_ratio > rows[upper].ratio) ++upper;
  const PeakRow& a = rows[upper - 1];
  const PeakRow& b = rows[upper];
  const double share = (abstraction_ratio - a.ratio) / (b.ratio - a.ratio);
  return unit_peak(a, hours) + share * (unit_peak(b, hours) - unit_peak(a, hours));
}

GraphicalPeak graphical_peak(DayShape shape, CurveNumber number, base::Length day_rain,
                             base::Duration concentration, base::Area area) {
  GraphicalPeak peak{.flow = base::Flow::cubic_metres_per_second(0.0),
                     .runoff = runoff_depth(number, day_rain)};
  if (!(area.in_square_metres() >= 0.0))
    refuse(fmt::format("an area of {:g} m2 is not usable", area.in_square_metres()), "0 m2 or more");
  if (!(day_rain.in_metres() > 0.0)) return peak;
  peak.abstraction_ratio = number.initial_abstraction() / day_rain;
  peak.flow = base::Flow::cubic_feet_per_second(
      unit_peak_ft3_s_mi2_in(shape, peak.abstraction_ratio, concentration) *
      (area.in_square_metres() / kSquareMetresPerSquareMile) * peak.runoff.in_inches());
  return peak;
}

}  // namespace curbshed::water
