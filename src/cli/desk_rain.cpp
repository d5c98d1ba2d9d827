// Checks of rain and what runs off.
#include "curbshed/base/error.hpp"
#include "curbshed/cli/desk_command.hpp"
#include "curbshed/water/losses.hpp"

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

}  // namespace

std::vector<DeskCheck> rain_checks() {
  return {{"runoff",
           "depth that runs off after a rain, by curve number",
           {{"rain", Dimension::Length, true, "0 mm", "2 m", "", "depth of the rain"},
            {"curve-number", Dimension::Plain, true, "30", "100", "", "curve number, average condition"},
            {"abstraction-ratio", Dimension::Plain, false, "0.05", "0.2", "0.2",
             "initial abstraction over S: 0.2 or 0.05"}},
           &runoff_answer},
          {"harvest",
           "water from a roof",
           {{"roof", Dimension::Area, true, "", "100 ha", "", "plan area of the roof"},
            {"rain", Dimension::Length, true, "0 mm", "10 m", "", "depth of rain"},
            {"coefficient", Dimension::Plain, true, "", "1", "", "share of the rain that comes off the roof"},
            {"first-flush", Dimension::Length, false, "0 mm", "50 mm", "", "depth that is led away first"}},
           &harvest_answer}};
}

}  // namespace curbshed::cli
