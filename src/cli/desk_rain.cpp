// Checks of rain and what runs off.
#include "curbshed/base/error.hpp"
#include "curbshed/cli/desk_command.hpp"
#include "curbshed/water/losses.hpp"
#include "curbshed/water/peak_flow.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using base::Dimension;
using report::both_units;
using report::DeskAnswer;

constexpr double kUsualRatio = 0.2;
constexpr double kRevisedRatio = 0.05;

DeskAnswer runoff_answer(const DeskValues& v) {
  const double ratio = v["abstraction-ratio"];
  const bool usual = ratio == kUsualRatio;
  if (!usual && ratio != kRevisedRatio) {
    throw base::InputError({},
                           fmt::format("an initial abstraction of {:g} S has no published retention", ratio),
                           "0.2 or 0.05", "leave --abstraction-ratio out for 0.2");
  }
  const water::CurveNumber number = water::CurveNumber::of(v["curve-number"]);
  const double retention_m =
      usual ? number.retention().in_metres() : water::revised_retention(number).in_metres();
  const double runoff_m = water::excess_m(v["rain"], retention_m, ratio);
  DeskAnswer answer;
  answer.title = fmt::format("{} of rain on ground of curve number {:g}.",
                             both_units(v["rain"], Dimension::Length), v["curve-number"]);
  answer.values = {
      {"runoff_mm", "Runs off", Dimension::Length, runoff_m},
      {"retention_mm", "The ground can hold after runoff begins", Dimension::Length, retention_m}};
  answer.working = {usual ? "S = 1000/CN - 10 (inches)" : "S = 1.33 (1000/CN - 10)^1.15 (inches)",
                    fmt::format("Ia = {:g} S; Q = (P - Ia)^2 / (P - Ia + S) for P > Ia, else 0", ratio)};
  answer.sources = {std::string(water::kCurveNumberSource)};
  if (!usual) answer.sources.emplace_back(water::kRevisedRatioSource);
  answer.cautions = {
      "Meant for the rain of a whole day or event on one kind of ground; bursts shorter than an hour are "
      "outside what it was fitted to."};
  return answer;
}

DeskAnswer harvest_answer(const DeskValues& v) {
  const double flush_m = v.or_else("first-flush", 0.0);
  const double left_m = std::max(0.0, v["rain"] - flush_m);
  const double harvest_m3 = v["roof"] * left_m * v["coefficient"];
  DeskAnswer answer;
  answer.title = fmt::format("{} of rain on {} of roof.", both_units(v["rain"], Dimension::Length),
                             both_units(v["roof"], Dimension::Area));
  answer.values = {{"harvest_l", "Comes off the roof into the tank", Dimension::Volume, harvest_m3}};
  answer.working = {"V = A (P - first flush) C, A the roof's plan area",
                    fmt::format("A = {:g} m2, P = {:g} mm, first flush = {:g} mm, C = {:g}", v["roof"],
                                v["rain"] * 1000.0, flush_m * 1000.0, v["coefficient"])};
  answer.sources = {"plan area × depth × runoff coefficient (arithmetic; 1 in on 1 ft2 is 0.623 US gal)"};
  answer.cautions = {"A tank that is full takes nothing: give its overflow a way that harms nobody."};
  return answer;
}

DeskAnswer composite_answer(const DeskValues& v) {
  const double number = water::composite_curve_number(water::CurveNumber::of(v["curve-number"]),
                                                      v["impervious"], v["unconnected"]);
  DeskAnswer answer;
  answer.title = fmt::format("Ground of curve number {:g} with {:g} % hard ground in it.", v["curve-number"],
                             v["impervious"] * 100.0);
  answer.values = {{"curve_number", "One curve number for both", Dimension::Plain, number}};
  answer.working = {
      "CNc = CNp + P (98 - CNp) (1 - 0.5 R), R = 0 where P is 30 % or more",
      fmt::format("CNp = {:g}, P = {:g}, R = {:g}", v["curve-number"], v["impervious"], v["unconnected"])};
  answer.sources = {std::string(water::kCompositeCurveSource)};
  answer.cautions = {
      "In small rains one mixed number hides the runoff of the hard part: a run takes each kind of ground by "
      "itself."};
  return answer;
}

DeskAnswer rational_answer(const DeskValues& v) {
  const base::Flow flow =
      water::rational_flow(base::RunoffFraction::of(v.needed("coefficient", "the rational method")),
                           base::Rate::metres_per_second(v.needed("rain-rate", "the rational method")),
                           base::Area::square_metres(v["area"]));
  DeskAnswer answer;
  answer.values = {{"flow_m3_s", "Peak flow", Dimension::Flow, flow.in_cubic_metres_per_second()}};
  answer.working = {"Q = C i A (exact units: 1 acre-inch an hour is 1.0083 ft3/s)",
                    fmt::format("C = {:g}, i = {:g} mm/h, A = {:g} m2", v["coefficient"],
                                v["rain-rate"] * 3.6e6, v["area"])};
  answer.sources = {std::string(water::kRationalSource)};
  answer.cautions = {
      "i is the mean rain over the time of concentration; meant for areas under 80 ha (200 acres)."};
  return answer;
}

DeskAnswer graphical_answer(const DeskValues& v) {
  if (!v.given("shape")) {
    throw base::InputError({"", "--shape", ""}, "it is missing; the graphical method needs it",
                           "I, IA, II, III", "take the type of your region");
  }
  const std::string kind = "the graphical method";
  const water::GraphicalPeak peak = water::graphical_peak(
      water::day_shape(v.text("shape")), water::CurveNumber::of(v.needed("curve-number", kind)),
      base::Length::metres(v.needed("rain", kind)), base::Duration::seconds(v.needed("concentration", kind)),
      base::Area::square_metres(v["area"]));
  DeskAnswer answer;
  answer.values = {{"flow_m3_s", "Peak flow", Dimension::Flow, peak.flow.in_cubic_metres_per_second()},
                   {"runoff_mm", "Runs off", Dimension::Length, peak.runoff.in_metres()}};
  answer.working = {"q = qu A Q, log qu = C0 + C1 log Tc + C2 (log Tc)^2 by type and Ia/P",
                    fmt::format("Ia/P = {:.3g}, Tc = {:g} h, A = {:g} m2", peak.abstraction_ratio,
                                v["concentration"] / 3600.0, v["area"])};
  answer.sources = {std::string(water::kGraphicalPeakSource), std::string(water::kCurveNumberSource)};
  answer.cautions = {"For a whole day's rain on one kind of ground without ponds."};
  return answer;
}

DeskAnswer peak_answer(const DeskValues& v) {
  DeskAnswer answer = v.text("method") == "rational" ? rational_answer(v) : graphical_answer(v);
  answer.title =
      fmt::format("Peak from {} by the {} method.", both_units(v["area"], Dimension::Area), v.text("method"));
  return answer;
}

DeskFlag word_flag(std::string_view name, std::vector<std::string_view> choices, bool required,
                   std::string_view doc) {
  DeskFlag flag{name, Dimension::Plain, required, "", "", "", doc, true};
  flag.choices = std::move(choices);
  return flag;
}

}  // namespace

std::vector<DeskCheck> rain_checks() {
  return {{"runoff",
           "depth that runs off after a rain, by curve number",
           {{"rain", Dimension::Length, true, "0 mm", "2 m", "", "depth of the rain"},
            {"curve-number", Dimension::Plain, true, "30", "100", "", "curve number, average condition"},
            {"abstraction-ratio", Dimension::Plain, false, "0.05", "0.2", "0.2",
             "initial abstraction over S: 0.2 or 0.05"}},
           &runoff_answer},
          {"composite",
           "one curve number for ground with hard ground in it",
           {{"curve-number", Dimension::Plain, true, "30", "100", "", "of the pervious ground"},
            {"impervious", Dimension::Plain, true, "0", "1", "", "share of hard ground"},
            {"unconnected", Dimension::Plain, false, "0", "1", "0",
             "share of the hard ground that drains over soil"}},
           &composite_answer},
          {"peak",
           "peak flow of a small area, by the rational or the graphical method",
           {word_flag("method", {"rational", "graphical"}, true, "which method"),
            {"area", Dimension::Area, true, "", "10000 ha", "", "area that drains"},
            {"coefficient", Dimension::Plain, false, "0", "1", "", "runoff coefficient (rational)"},
            {"rain-rate", Dimension::Rate, false, "0 mm/h", "2000 mm/h", "",
             "rain over the time of concentration (rational)"},
            word_flag("shape", {"I", "IA", "II", "III"}, false, "24-hour shape (graphical)"),
            {"curve-number", Dimension::Plain, false, "30", "100", "", "(graphical)"},
            {"rain", Dimension::Length, false, "0 mm", "2 m", "", "24-hour rain (graphical)"},
            {"concentration", Dimension::Duration, false, "6 min", "10 h", "",
             "time of concentration (graphical)"}},
           &peak_answer},
          {"harvest",
           "water from a roof",
           {{"roof", Dimension::Area, true, "", "100 ha", "", "plan area of the roof"},
            {"rain", Dimension::Length, true, "0 mm", "10 m", "", "depth of rain"},
            {"coefficient", Dimension::Plain, true, "", "1", "", "share of the rain that comes off the roof"},
            {"first-flush", Dimension::Length, false, "0 mm", "50 mm", "", "depth that is led away first"}},
           &harvest_answer}};
}

}  // namespace curbshed::cli
