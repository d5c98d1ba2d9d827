// Checks of gutter and openings.
#include "curbshed/base/error.hpp"
#include "curbshed/cli/desk_command.hpp"
#include "curbshed/water/depressed_opening.hpp"
#include "curbshed/water/parabolic_gutter.hpp"

#include <cmath>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using base::Dimension;
using report::both_units;
using report::DeskAnswer;

constexpr std::string_view kShort =
    "The opening is shorter than the 1.5 m of the flume tests: take what it captures as a range between the "
    "two "
    "relations, and count on the lesser.";

std::vector<DeskFlag> gutter_flags(bool with_cross_slope) {
  return {{"grade", Dimension::Slope, true, "", "30 %", "", "grade along the gutter"},
          {"cross-slope", Dimension::Slope, with_cross_slope, "", "30 %", "", "cross slope of the pavement"},
          {"roughness", Dimension::Plain, true, "0.008", "0.05", "", "Manning n"}};
}
std::vector<DeskFlag> crown_flags() {
  return {{"crown-height", Dimension::Length, false, "", "1 m", "",
           "height of a parabolic crown, instead of the cross slope"},
          {"half-width", Dimension::Length, false, "", "50 m", "", "from the curb to the parabolic crown"}};
}
std::vector<DeskFlag> dip_flags() {
  return {{"gutter-width", Dimension::Length, false, "0 m", "3 m", "", "width of the dip at the curb"},
          {"depression", Dimension::Length, false, "0 m", "0.5 m", "",
           "how far the dip lies under the pavement's line"}};
}
DeskFlag flow_flag(bool required) {
  return {"flow", Dimension::Flow, required, "0 m3/s", "20 m3/s", "", "flow in the gutter"};
}
template <class... Lists>
std::vector<DeskFlag> together(Lists... lists) {
  std::vector<DeskFlag> all;
  (all.insert(all.end(), lists.begin(), lists.end()), ...);
  return all;
}

water::CompositeGutter gutter_of(const DeskValues& v) {
  water::CompositeGutter gutter{{base::Slope::fraction(v["grade"]), base::Slope::fraction(v["cross-slope"]),
                                 base::Roughness::manning(v["roughness"])}};
  gutter.width = base::Length::metres(v.or_else("gutter-width", 0.0));
  gutter.depression = base::Length::metres(v.or_else("depression", 0.0));
  return gutter;
}

std::string gutter_line(const DeskValues& v) {
  return v.or_else("depression", 0.0) > 0.0
             ? "Q = (0.376/n) S^(1/2) {(d^(8/3) - d1^(8/3))/Sw + d1^(8/3)/Sx}, Sw = Sx + a/W, d1 = Sx (T - W)"
             : "Q = (0.376/n) Sx^(5/3) S^(1/2) T^(8/3), d = T Sx (metres, m3/s)";
}
std::string gutter_numbers(const DeskValues& v) {
  std::string line =
      fmt::format("S = {:g}, Sx = {:g}, n = {:g}", v["grade"], v["cross-slope"], v["roughness"]);
  if (v.or_else("depression", 0.0) > 0.0) {
    line +=
        fmt::format(", W = {:g} m, a = {:g} m", v.or_else("gutter-width", 0.0), v.or_else("depression", 0.0));
  }
  return line;
}

DeskAnswer crown_answer(const DeskValues& v) {
  if (v.given("gutter-width") || v.given("depression") || v.given("cross-slope")) {
    throw base::InputError({}, "a parabolic crown has no cross slope and no dip of its own",
                           "--crown-height and --half-width without them", "leave them out");
  }
  const water::ParabolicStreet street{
      .grade = base::Slope::fraction(v["grade"]),
      .crown_height = base::Length::metres(v["crown-height"]),
      .half_width = base::Length::metres(v.needed("half-width", "a parabolic crown")),
      .roughness = base::Roughness::manning(v["roughness"])};
  const water::GutterFlow flow =
      v.given("flow") ? water::parabolic_at_flow(street, base::Flow::cubic_metres_per_second(v["flow"]))
                      : water::parabolic_at_spread(street, base::Length::metres(v["spread"]));
  DeskAnswer answer;
  answer.title = fmt::format("A gutter beside a parabolic crown {} high, {} from the curb.",
                             both_units(v["crown-height"], Dimension::Length),
                             both_units(v["half-width"], Dimension::Length));
  answer.values = {
      {"flow_m3_s", "Flow", Dimension::Flow, flow.flow.in_cubic_metres_per_second()},
      {"spread_m", "Water reaches from the curb", Dimension::Length, flow.spread.in_metres()},
      {"depth_m", "Depth at the curb", Dimension::Length, flow.depth.in_metres()},
      {"velocity_m_s", "Mean speed", Dimension::Rate, flow.velocity_m_s},
      {"gutter_flow_share", "Share of the flow in the gutter's own width", Dimension::Plain, 1.0}};
  answer.working = {
      "y = (2 H/B) x - (H/B^2) x^2; Q = (1/n) S^(1/2) integral of (d - y)^(5/3) dx, 0 to T (metres, m3/s)",
      fmt::format("H = {:g} m, B = {:g} m, S = {:g}, n = {:g}", v["crown-height"], v["half-width"],
                  v["grade"], v["roughness"])};
  answer.sources = {std::string(water::kParabolicSource)};
  answer.cautions = {"Uniform flow on one side of the crown; compare the depth with the height of the curb."};
  return answer;
}

DeskAnswer gutter_answer(const DeskValues& v) {
  if (v.given("flow") == v.given("spread")) {
    throw base::InputError({}, "a gutter is worked from its flow or from its spread",
                           "one of --flow and --spread", "give one of them");
  }
  if (v.given("crown-height")) return crown_answer(v);
  v.needed("cross-slope", "a gutter without --crown-height");
  const water::CompositeGutter gutter = gutter_of(v);
  const water::CompositeFlow flow =
      v.given("flow") ? water::composite_at_flow(gutter, base::Flow::cubic_metres_per_second(v["flow"]))
                      : water::composite_at_spread(gutter, base::Length::metres(v["spread"]));
  DeskAnswer answer;
  answer.title =
      v.given("flow")
          ? fmt::format("A gutter that carries {}.", both_units(v["flow"], Dimension::Flow))
          : fmt::format("A gutter with water {} wide.", both_units(v["spread"], Dimension::Length));
  answer.values = {{"flow_m3_s", "Flow", Dimension::Flow, flow.flow.in_cubic_metres_per_second()},
                   {"spread_m", "Water reaches from the curb", Dimension::Length, flow.spread.in_metres()},
                   {"depth_m", "Depth at the curb", Dimension::Length, flow.depth.in_metres()},
                   {"velocity_m_s", "Mean speed", Dimension::Rate, flow.velocity_m_s},
                   {"gutter_flow_share", "Share of the flow in the gutter's own width", Dimension::Plain,
                    flow.gutter_flow_share}};
  answer.working = {gutter_line(v), gutter_numbers(v)};
  answer.sources = {
      std::string(v.or_else("depression", 0.0) > 0.0 ? water::kCompositeSource : water::kGutterSource)};
  answer.cautions = {"Uniform flow in a clean gutter; compare the depth with the height of the curb."};
  return answer;
}

DeskAnswer opening_answer(const DeskValues& v) {
  const water::CompositeGutter gutter = gutter_of(v);
  const base::Length clear =
      water::clear_length(base::Length::metres(v["length"]), v.or_else("clogging", 0.0));
  const double cuts_given = v.or_else("cuts", 1.0);
  if (std::floor(cuts_given) != cuts_given) {
    throw base::InputError({}, fmt::format("{:g} cuts are no whole number", cuts_given), "1 to 1000",
                           "give a whole number");
  }
  const int cuts = static_cast<int>(cuts_given);
  base::Flow flow = base::Flow::cubic_metres_per_second(v["flow"]);
  const water::OnGradeCapture first = water::depressed_capture(gutter, clear, flow);
  std::vector<double> captured;
  for (int i = 0; i < cuts; ++i) {
    const water::OnGradeCapture one = water::depressed_capture(gutter, clear, flow);
    captured.push_back(one.captured.in_cubic_metres_per_second());
    flow = one.bypass;
  }
  DeskAnswer answer;
  answer.title =
      fmt::format("An opening of {} on a grade, with {} in the gutter.",
                  both_units(v["length"], Dimension::Length), both_units(v["flow"], Dimension::Flow));
  answer.values = {
      {"full_interception_length_m", "Length that would take all of it", Dimension::Length,
       first.full_length.in_metres()},
      {"efficiency", "Share that the opening takes", Dimension::Plain, first.efficiency.value()}};
  if (v.given("cuts")) {
    answer.values.push_back({"captured_m3_s", fmt::format("Taken by {} openings one after the other", cuts),
                             Dimension::Flow, captured});
  } else {
    answer.values.push_back({"captured_m3_s", "Taken", Dimension::Flow, captured.front()});
  }
  answer.values.push_back({"bypass_m3_s", "Runs past", Dimension::Flow, flow.in_cubic_metres_per_second()});
  const bool dipped = v.or_else("depression", 0.0) > 0.0;
  answer.working = {dipped ? "LT = 0.817 Q^0.42 S^0.3 (1/(n Se))^0.6, Se = Sx + (a/W) E0 (metres, m3/s)"
                           : "LT = 0.817 Q^0.42 S^0.3 (1/(n Sx))^0.6 (metres, m3/s)",
                    "E = 1 - (1 - L/LT)^1.8 where L < LT, else 1",
                    gutter_numbers(v) + fmt::format(", clear length L = {:g} m", clear.in_metres())};
  answer.sources = {std::string(water::kOnGradeSource)};
  if (first.outside_tests) {
    const water::OnGradeCapture other = water::depressed_capture(
        gutter, clear, base::Flow::cubic_metres_per_second(v["flow"]), water::OnGradeRelation::FlumeTests);
    report::DeskValue value{"", "By the second published relation the (first) opening takes", Dimension::Flow,
                            other.captured.in_cubic_metres_per_second()};
    value.text_only = true;
    answer.values.push_back(value);
    answer.working.emplace_back(
        "second relation: LT = 0.38 Q^0.51 S^0.058 (1/(n Se))^0.46 (feet, ft3/s), the same E");
    answer.sources.emplace_back(water::kOnGradeTestsSource);
  }
  if (dipped) answer.sources.emplace_back(water::kDepressedSource);
  if (first.outside_tests) answer.cautions.emplace_back(kShort);
  answer.cautions.emplace_back("Nothing stands behind the opening: a basin that fills takes less.");
  return answer;
}

/// A cored hole: a weir while it is part full, an orifice when full.
DeskAnswer hole_answer(const DeskValues& v) {
  if (v.given("length") || v.given("height") || v.given("gutter-width") || v.given("depression")) {
    throw base::InputError({}, "a round hole has a diameter and no length, height or dip",
                           "--diameter without them", "leave them out");
  }
  const double diameter_m = v["diameter"];
  const double share = 1.0 - v.or_else("clogging", 0.0);
  const double flow_m3_s =
      share * water::round_hole_m3_s({.diameter_m = diameter_m}, {.street_m = v["depth"], .pool_m = 0.0});
  DeskAnswer answer;
  answer.title =
      fmt::format("A round hole of {} through the curb, with {} of water over its lowest point.",
                  both_units(diameter_m, Dimension::Length), both_units(v["depth"], Dimension::Length));
  const bool full = v["depth"] >= diameter_m;
  const std::string regime(water::word(!(v["depth"] > 0.0) ? water::SagRegime::Dry
                                       : full              ? water::SagRegime::Orifice
                                                           : water::SagRegime::Weir));
  answer.values = {{"captured_m3_s", "Taken", Dimension::Flow, flow_m3_s},
                   {"regime", "It works as", Dimension::Plain, regime}};
  answer.working = {
      "Q = C (2 g)^(1/2) integral of b(z) (d - z)^(1/2) dz over the water in the hole, b(z) = 2 (z (D - "
      "z))^(1/2)",
      fmt::format("D = {:g} m, C = {:g}; well over the hole this is C A (2 g (d - D/2))^(1/2)", diameter_m,
                  water::kRoundHoleConstant)};
  answer.sources = {std::string(water::kRoundHoleSource)};
  answer.cautions = {"Free fall behind the hole; a leaf or a bottle closes a small one."};
  return answer;
}

DeskAnswer sag_answer(const DeskValues& v) {
  if (v.given("diameter")) return hole_answer(v);
  v.needed("length", "an opening without --diameter");
  water::SagOpening opening{.clear_length = base::Length::metres(v["length"]), .height = {}};
  if (v.given("height")) opening.height = base::Length::metres(v["height"]);
  const water::SagFlow flow =
      water::sag_flow(opening, base::Length::metres(v.or_else("gutter-width", 0.0)),
                      base::Length::metres(v.or_else("depression", 0.0)), base::Length::metres(v["depth"]));
  DeskAnswer answer;
  answer.title =
      fmt::format("An opening of {} in a sag, with {} of water before it.",
                  both_units(v["length"], Dimension::Length), both_units(v["depth"], Dimension::Length));
  answer.values = {{"captured_m3_s", "Taken", Dimension::Flow, flow.captured.in_cubic_metres_per_second()},
                   {"regime", "It works as", Dimension::Plain, std::string(water::word(flow.regime))}};
  const bool dipped = v.or_else("depression", 0.0) > 0.0 && v["length"] <= water::kLongOpening_m;
  answer.working = {
      dipped ? "weir: Q = 1.25 (L + 1.8 W) d^1.5 (metres, m3/s)" : "weir: Q = 1.60 L d^1.5 (metres, m3/s)",
      "orifice: Q = 0.67 h L (2 g (d - h/2))^(1/2); between the throat's height and 1.4 times it the lesser"};
  answer.sources = {std::string(dipped ? water::kDepressedSagSource : water::kSagOpeningSource)};
  answer.cautions = {"Free fall behind the opening: water that stands in the basin takes some of it away."};
  return answer;
}

}  // namespace

std::vector<DeskCheck> street_checks() {
  const std::vector<DeskFlag> length = {
      {"length", Dimension::Length, true, "0 m", "100 m", "", "length of the opening"}};
  return {
      {"gutter", "spread, depth and speed of a flow in a gutter, or the flow of a spread",
       together(std::vector<DeskFlag>{flow_flag(false),
                                      {"spread", Dimension::Length, false, "0 m", "50 m", "",
                                       "width of the water"}},
                gutter_flags(false), dip_flags(), crown_flags()),
       &gutter_answer},
      {"opening", "what an opening in the curb takes of a passing flow",
       together(
           std::vector<DeskFlag>{flow_flag(true)}, gutter_flags(true), length, dip_flags(),
           std::vector<DeskFlag>{
               {"clogging", Dimension::Plain, false, "0", "1", "", "share that is clogged"},
               {"cuts", Dimension::Plain, false, "1", "1000", "", "how many of them, one after the other"}}),
       &opening_answer},
      {"sag", "what an opening takes of a pond before it",
       together(std::vector<DeskFlag>{{"depth", Dimension::Length, true, "0 m", "3 m", "",
                                       "depth of the water, by the pavement's own slope"}},
                std::vector<DeskFlag>{
                    {"length", Dimension::Length, false, "0 m", "100 m", "", "length of the opening"},
                    {"diameter", Dimension::Length, false, "", "0.6 m", "",
                     "of a cored round hole, instead of the length"},
                    {"clogging", Dimension::Plain, false, "0", "1", "", "share of the hole that is clogged"}},
                std::vector<DeskFlag>{{"height", Dimension::Length, false, "", "2 m", "",
                                       "height of the throat; without it the opening has no top"}},
                dip_flags()),
       &sag_answer}};
}

}  // namespace curbshed::cli
