// Outside checks of gutter, openings and the way over ground.
#pragma once

#include "curbshed/water/depressed_opening.hpp"
#include "curbshed/water/full_pipe.hpp"
#include "curbshed/water/gutter_forms.hpp"
#include "curbshed/water/inlet.hpp"
#include "curbshed/water/travel.hpp"

#include "support/outside_checks.hpp"

#include <optional>

namespace curbshed::testing {

inline water::GutterSection example_gutter() {
  return {base::Slope::fraction(0.010), base::Slope::fraction(0.020), base::Roughness::manning(0.016)};
}
inline base::Flow cubic_feet(double v) { return base::Flow::cubic_feet_per_second(v); }
inline base::Flow cubic_metres(double v) { return base::Flow::cubic_metres_per_second(v); }

inline void add_gutter_checks(std::vector<OutsideCheck>& all) {
  const auto feet = [](double q) {
    return water::gutter_at_flow(example_gutter(), cubic_feet(q)).spread.in_feet();
  };
  const auto metres = [](double q) {
    return water::gutter_at_flow(example_gutter(), cubic_metres(q)).spread.in_metres();
  };
  all.push_back({kHec22,
                 "example 4-1 (1)",
                 Read::Memory,
                 "spread of a flow in a plain gutter (S 0.010, Sx 0.020, n 0.016)",
                 {{"0.05 m3/s", "m", 2.7, 1, metres(0.05)}, {"1.8 ft3/s", "ft", 9.0, 1, feet(1.8)}},
                 {{"0.005 m3/s, m", 1.1476766768773614, metres(0.005)},
                  {"0.05 m3/s, m", 2.7215702941481226, metres(0.05)},
                  {"0.5 m3/s, m", 6.453860233652714, metres(0.5)},
                  {"0.18 ft3/s, ft", 3.7925809922161298, feet(0.18)},
                  {"1.8 ft3/s, ft", 8.99362684153352, feet(1.8)},
                  {"18 ft3/s, ft", 21.327250210545476, feet(18.0)}}});

  water::CompositeGutter si{example_gutter()};
  si.width = base::Length::metres(0.6);
  si.depression = base::Length::millimetres(50.0);
  water::CompositeGutter us = si;
  us.width = base::Length::feet(2.0);
  us.depression = base::Length::inches(2.0);
  const water::CompositeFlow at_si = water::composite_at_spread(si, base::Length::metres(2.5));
  const water::CompositeFlow at_us = water::composite_at_spread(us, base::Length::feet(8.2));
  const auto at_flow = [&](double q) { return water::composite_at_flow(si, cubic_metres(q)); };
  all.push_back(
      {kHec22,
       "example 4-2 (1)",
       Read::Memory,
       "flow and gutter share of a depressed gutter at a spread of 2.5 m (8.2 ft)",
       {{"share, metric", "", 0.70, 2, at_si.gutter_flow_share},
        {"flow, metric", "m3/s", 0.06, 2, at_si.flow.in_cubic_metres_per_second()},
        {"share, feet", "", 0.70, 2, at_us.gutter_flow_share, 0.011,
         "printed from the metric gutter; 2 in and 2 ft are not 50 mm and 0.6 m"},
        {"flow, feet", "ft3/s", 2.3, 1, at_us.flow.in_cubic_feet_per_second()}},
       {{"share at 2.5 m", 0.7024968387874425, at_si.gutter_flow_share},
        {"flow at 2.5 m, m3/s", 0.06446181648424704, at_si.flow.in_cubic_metres_per_second()},
        {"share at 8.2 ft", 0.7104102171087248, at_us.gutter_flow_share},
        {"flow at 8.2 ft, ft3/s", 2.3051939485950323, at_us.flow.in_cubic_feet_per_second()},
        {"spread of a tenth, m", 0.4523116038195964, at_flow(0.006446181648424704).spread.in_metres()},
        {"spread of ten times, m", 6.911634019679403, at_flow(0.6446181648424704).spread.in_metres()},
        {"share of ten times", 0.26909633787562026, at_flow(0.6446181648424704).gutter_flow_share}}});

  OutsideCheck spreads{kHec22, "table 4-4", Read::Memory,
                       "spread of the mean speed over the downstream spread, by T1/T2"};
  const double table[] = {0.65, 0.66, 0.68, 0.70, 0.74, 0.77, 0.82, 0.86, 0.90};
  const double exact[] = {0.649519052838329,  0.6572553055011281, 0.6764129785974526,
                          0.7034138102505862, 0.7361698794610568, 0.7733257920181066,
                          0.8139486301531151, 0.8573686650610017, 0.9030890328208528};
  for (int i = 0; i < 9; ++i) {
    const std::string at = "T1/T2 0." + std::to_string(i);
    const double ours = water::mean_spread_share(0.1 * i);
    spreads.printed.push_back(
        {at, "", table[i], 2, ours, 0.0062, "the table's exponents are rounded to 2.67"});
    spreads.exact.push_back({at, exact[i], ours});
  }
  all.push_back(spreads);
}

inline void add_opening_checks(std::vector<OutsideCheck>& all) {
  const auto at = [](base::Length length, base::Flow flow) {
    return water::on_grade_capture({.gutter = example_gutter(), .clear_length = length}, flow);
  };
  const auto si = [&](double q) { return at(base::Length::metres(3.0), cubic_metres(q)); };
  const water::OnGradeCapture us = at(base::Length::feet(9.84), cubic_feet(1.77));
  all.push_back(
      {kHec22,
       "example 4-9 (1)",
       Read::Memory,
       "an opening of 3 m (9.84 ft) on grade without a depression",
       {{"full length", "m", 7.29, 2, si(0.05).full_length.in_metres()},
        {"share", "", 0.61, 2, si(0.05).efficiency.value()},
        {"taken", "m3/s", 0.031, 3, si(0.05).captured.in_cubic_metres_per_second()},
        {"full length, feet", "ft", 23.94, 2, us.full_length.in_feet()},
        {"taken, feet", "ft3/s", 1.08, 2, us.captured.in_cubic_feet_per_second(), 0.008,
         "printed from the rounded share 0.61"}},
       {{"full length, m", 7.28952905548242, si(0.05).full_length.in_metres()},
        {"taken of 0.05 m3/s", 0.03074922310134558, si(0.05).captured.in_cubic_metres_per_second()},
        {"full length, ft", 23.940032282532762, us.full_length.in_feet()},
        {"taken of 1.77 ft3/s", 1.087433543459802, us.captured.in_cubic_feet_per_second()},
        {"full length at a tenth, m", 2.7714016510650525, si(0.005).full_length.in_metres()},
        {"taken of a tenth", 0.005, si(0.005).captured.in_cubic_metres_per_second()},
        {"taken of ten times", 0.1319099582581652, si(0.5).captured.in_cubic_metres_per_second()}}});

  const auto sag = [](base::Length length, base::Length height, base::Length depth) {
    return water::sag_flow({.clear_length = length, .height = height}, base::Length::metres(0.0),
                           base::Length::metres(0.0), depth)
        .captured;
  };
  const auto sag_m = [&](double d) {
    return sag(base::Length::metres(2.5), base::Length::metres(0.13), base::Length::metres(d))
        .in_cubic_metres_per_second();
  };
  const double sag_ft = sag(base::Length::feet(8.2), base::Length::inches(5.0), base::Length::feet(0.164))
                            .in_cubic_feet_per_second();
  all.push_back({kHec22,
                 "example of a curb opening in a sag (1)",
                 Read::Memory,
                 "an opening of 2.5 m (8.2 ft) in a sag without a depression, spread 2.5 m at 2 %",
                 {{"taken", "m3/s", 0.045, 3, sag_m(0.05)}, {"taken, feet", "ft3/s", 1.6, 1, sag_ft}},
                 {{"weir at 0.05 m", 0.0447213595499958, sag_m(0.05)},
                  {"weir at a tenth of the depth", 0.001414213562373095, sag_m(0.005)},
                  {"orifice at ten times the depth", 0.6360307718334812, sag_m(0.5)},
                  {"weir at 0.164 ft, ft3/s", 1.5783093371574943, sag_ft}}});
}

/// Fair, Geyer & Okun's, pages 484 to 493: one gutter and its grate.
inline void add_grate_checks(std::vector<OutsideCheck>& all) {
  const std::string book =
      "Shammas & Wang, Fair, Geyer & Okun's Water and Wastewater Engineering, 3rd ed., 2011";
  const water::RawGutter gutter = water::raw_gutter(water::GutterSection{
      base::Slope::fraction(0.02), base::Slope::fraction(0.056), base::Roughness::manning(0.015)});
  const auto spread = [&](double q) { return water::spread_at_flow_m(gutter, q); };
  const std::string rounded = "exponents 1.67 and 2.67, and rounded steps between";
  all.push_back({book,
                 "example 13.14",
                 Read::Text,
                 "spread and depth of 0.0283 m3/s (1 ft3/s) at 2 %, cross slope 5.6 %, n 0.015",
                 {{"spread", "m", 0.985, 3, spread(0.0283), 0.006, rounded},
                  {"depth", "m", 0.055, 3, water::depth_at_flow_m(gutter, 0.0283)},
                  {"spread, feet", "ft", 3.23, 2, spread(0.0283168) / base::kMetresPerFoot, 0.02, rounded}},
                 {{"spread, m", 0.990143298804964, spread(0.0283)},
                  {"spread of a tenth, m", 0.41753996699929524, spread(0.00283)},
                  {"spread of ten times, m", 2.347999783623183, spread(0.283)}}});
  const auto share = [&](double q) { return water::flow_share_within(gutter, 0.61, q); };
  all.push_back({book,
                 "example 13.15",
                 Read::Text,
                 "share of that flow over a grate 0.61 m wide",
                 {{"share", "", 0.925, 3, share(0.0283), 0.004, "from the spread rounded to 0.98 m"},
                  {"flow over the grate", "m3/s", 0.026, 3, 0.0283 * share(0.0283)}},
                 {{"share", 0.9221369465549584, share(0.0283)},
                  {"share of a tenth", 1.0, share(0.00283)},
                  {"share of ten times", 0.5516631446791254, share(0.283)}}});
  const auto taken = [&](double q) {
    return water::inlet_on_grade_m3_s(
        {.kind = water::InletKind::Grate, .clear_length_m = 0.61, .width_m = 0.61, .splash_over_m_s = 0.91},
        {}, gutter, q);
  };
  all.push_back({book,
                 "example 13.16",
                 Read::Text,
                 "taken of it by that grate, 0.61 m long, splash-over speed 0.91 m/s (3 ft/s)",
                 {{"speed of the gutter", "m/s", 1.05, 2, water::velocity_at_flow_m_s(gutter, 0.0283), 0.021,
                   "from the area rounded to 0.027 m2"},
                  {"taken", "ft3/s", 0.90, 2, taken(0.0283168) / base::kCubicMetresPerCubicFoot}},
                 {{"speed, m/s", 1.0309374094366879, water::velocity_at_flow_m_s(gutter, 0.0283)},
                  {"taken of 0.0283 m3/s", 0.025540922383879124, taken(0.0283)},
                  {"taken of a tenth", 0.00283, taken(0.00283)},
                  {"taken of ten times", 0.12221641465194391, taken(0.283)}}});
  const auto pond = [](double d) {  // perimeter 0.73 m + 2 × 0.3 m; all open, so that it stays a weir
    return water::inlet_in_pond_m3_s(
        {.kind = water::InletKind::Grate, .clear_length_m = 0.73, .width_m = 0.3}, {}, d);
  };
  all.push_back({book,
                 "page 493, grate inlet in a sag, part 2",
                 Read::Text,
                 "a perimeter of 1.33 m takes 0.0283 m3/s from 55 mm of water",
                 {{"taken", "m3/s", 0.0283, 4, pond(0.055), 0.0002, "0.55 x 3.0 = 1.65 printed for 1.66"}},
                 {{"taken, m3/s", 0.028477624764979965, pond(0.055)},
                  {"at a tenth of the depth", 0.0009005415660895393, pond(0.0055)}}});
  const auto hole = [](double street_m, double pool_m) {
    return water::round_hole_m3_s({.diameter_m = 0.1016}, {.street_m = street_m, .pool_m = pool_m});
  };
  const double by_middle = 0.6 * 0.25 * 3.14159265358979323846 * 0.1016 * 0.1016 *
                           std::sqrt(2.0 * base::kGravity_m_s2 * 0.5 * 0.1016);
  all.push_back({"Encyclopaedia Britannica, 11th ed., 1911, vol. 14, Hydraulics",
                 "section 40",
                 Read::Text,
                 "a round orifice just full over the same by the head upon its middle",
                 {{"ratio", "", 0.96, 2, hole(0.1016, 0.0) / by_middle},
                  {"ratio under a deep pool", "", 1.0, 2,
                   hole(10.0, 0.0) / (by_middle * std::sqrt((10.0 - 0.0508) / 0.0508))}},
                 {{"4 in, just full, m3/s", 0.00466293738632314, hole(0.1016, 0.0)},
                  {"part full, m3/s", 0.0014391225986871072, hole(0.05, 0.0)},
                  {"a tenth full, m3/s", 6.692292697441881e-05, hole(0.01016, 0.0)},
                  {"ten times as deep, m3/s", 0.0211628876924293, hole(1.016, 0.0)},
                  {"half drowned, m3/s", 0.006202417995444181, hole(0.15, 0.06)},
                  {"drowned, m3/s", 0.003731337309365375, hole(0.15, 0.12)}}});
}

inline void add_constant_checks(std::vector<OutsideCheck>& all) {
  const auto depth_factor = [](double q) {
    const double depth = water::gutter_at_flow(example_gutter(), cubic_feet(q)).depth.in_feet();
    return depth / std::pow(q * 0.016 * 0.020 / std::sqrt(0.010), 0.375);
  };
  all.push_back({"City of Frisco (Texas), Engineering Standards, storm drainage, p. 108",
                 "depth form, z",
                 Read::Text,
                 "depth at the curb = z (Q n Sx / S^(1/2))^(3/8) in feet",
                 {{"z", "", 1.24, 2, depth_factor(1.8)}},
                 {{"z at 1.8 ft3/s", 1.24396003668649, depth_factor(1.8)},
                  {"z at a tenth", 1.24396003668649, depth_factor(0.18)},
                  {"z at ten times", 1.24396003668649, depth_factor(18.0)}}});
  const auto length_factor = [](double q) {
    const double feet =
        water::on_grade_capture({.gutter = example_gutter(), .clear_length = base::Length::feet(1.0)},
                                cubic_feet(q))
            .full_length.in_feet();
    return feet / (std::pow(q, 0.42) * std::pow(0.010, 0.3) * std::pow(1.0 / (0.016 * 0.020), 0.6));
  };
  all.push_back({"University lecture slides on curb and gutter, after a conveyance textbook, p. 393",
                 "opening length, K (US)",
                 Read::Text,
                 "full length = K Q^0.42 S^0.3 (1/(n Sx))^0.6 in feet; 0.817 in metres is used inside",
                 {{"K", "", 0.6, 1, length_factor(1.0)}},
                 {{"K at 1 ft3/s", 0.5998821603531832, length_factor(1.0)},
                  {"K at a tenth", 0.5998821603531832, length_factor(0.1)},
                  {"K at ten times", 0.5998821603531832, length_factor(10.0)}}});
}

inline void add_sag_constants(std::vector<OutsideCheck>& all) {
  const auto sag = [](double length_m, std::optional<double> height_m, double width_m, double dip_m,
                      double depth_m) {
    water::SagOpening opening{.clear_length = base::Length::metres(length_m), .height = {}};
    if (height_m) opening.height = base::Length::metres(*height_m);
    return water::sag_flow(opening, base::Length::metres(width_m), base::Length::metres(dip_m),
                           base::Length::metres(depth_m))
        .captured.in_cubic_metres_per_second();
  };
  const double plain = sag(1.0, std::nullopt, 0.0, 0.0, 0.25) / 0.125;
  const double dipped = sag(1.0, std::nullopt, 0.5, 0.05, 0.25) / (1.9 * 0.125);
  const double longer = sag(4.0, std::nullopt, 0.5, 0.05, 0.25) / (4.0 * 0.125);
  all.push_back(
      {"Texas DOT, Hydraulic Design Manual, ch. 10 sec. 6",
       "eq. 10-14, weir of a curb opening in a sag",
       Read::Text,
       "weir constant in metres",
       {{"no depression", "m^0.5/s", 1.60, 2, plain},
        {"depression", "m^0.5/s", 1.27, 2, dipped, 0.021, "HEC-22 prints 1.25, which is used inside"},
        {"depression, longer than 3.6 m", "m^0.5/s", 1.60, 2, longer}},
       {{"no depression", 1.60, plain},
        {"depression", 1.25, dipped},
        {"a tenth of the depth", 1.60 * 0.025 * std::sqrt(0.025), sag(1.0, std::nullopt, 0.0, 0.0, 0.025)}}});
  const auto orifice = [&](double depth_m) {
    return sag(1.0, 0.1, 0.0, 0.0, depth_m) / (0.1 * std::sqrt(2.0 * base::kGravity_m_s2 * (depth_m - 0.05)));
  };
  all.push_back({"Texas DOT, Hydraulic Design Manual, ch. 10 sec. 6",
                 "eq. 10-16, orifice of a curb opening in a sag",
                 Read::Text,
                 "orifice constant; weir up to the height of the opening, orifice from 1.4 heights on",
                 {{"1.6 heights", "", 0.67, 2, orifice(0.16)}, {"15 heights", "", 0.67, 2, orifice(1.5)}},
                 {{"1.6 heights", 0.67, orifice(0.16)}, {"15 heights", 0.67, orifice(1.5)}}});
  const auto length_factor = [](double q) {
    const double metres =
        water::on_grade_capture({.gutter = example_gutter(), .clear_length = base::Length::metres(1.0)},
                                cubic_metres(q))
            .full_length.in_metres();
    return metres / (std::pow(q, 0.42) * std::pow(0.010, 0.3) * std::pow(1.0 / (0.016 * 0.020), 0.6));
  };
  all.push_back({"Low impact development planning guide of the Toronto area, page on curb cuts (after Chin)",
                 "opening length, K (SI)",
                 Read::Text,
                 "full length = K Q^0.42 S^0.3 (1/(n Sx))^0.6 in metres",
                 {{"K", "", 0.817, 3, length_factor(0.05)}},
                 {{"K", 0.817, length_factor(0.05)},
                  {"K at a tenth", 0.817, length_factor(0.005)},
                  {"K at ten times", 0.817, length_factor(0.5)}}});
}

inline void add_travel_checks(std::vector<OutsideCheck>& all) {
  const water::SheetFlow grass{.length = base::Length::feet(100.0),
                               .slope = base::Slope::fraction(0.01),
                               .roughness = base::Roughness::manning(0.24)};
  const double sheet_h = water::sheet_flow_time_from_day_rain(grass, base::Length::inches(3.6)).in_hours();
  const double shallow_ft_s =
      water::shallow_speed_m_s(base::Slope::fraction(0.01), false) / base::kMetresPerFoot;
  const double shallow_h = 1400.0 / shallow_ft_s / 3600.0;
  // A full pipe of diameter 4 R has the hydraulic radius R: the same law.
  const double channel_ft_s =
      water::full_speed_m_s(base::Length::feet(4.0 * 0.957), base::Slope::fraction(0.005),
                            base::Roughness::manning(0.05)) /
      base::kMetresPerFoot;
  const double channel_h = 7300.0 / channel_ft_s / 3600.0;
  all.push_back({kTr55,
                 "example 3-1",
                 Read::SecondHand,
                 "time of concentration: sheet, shallow, channel",
                 {{"sheet", "h", 0.30, 2, sheet_h},
                  {"shallow speed", "ft/s", 1.6, 1, shallow_ft_s},
                  {"shallow", "h", 0.24, 2, shallow_h},
                  {"channel speed", "ft/s", 2.05, 2, channel_ft_s, 0.01, "1.49 printed for 1.486"},
                  {"channel", "h", 0.99, 2, channel_h},
                  {"all", "h", 1.53, 2, sheet_h + shallow_h + channel_h}},
                 {{"sheet, h", 0.2958801178425795, sheet_h},
                  {"shallow, h", 0.24102940214378435, shallow_h},
                  {"channel, h", 0.9936552326240874, channel_h}}});

  const auto sheet_min = [](base::Length length, base::Rate rain) {
    return water::sheet_flow_time({.length = length,
                                   .slope = base::Slope::fraction(0.005),
                                   .roughness = base::Roughness::manning(0.41)},
                                  rain)
        .in_minutes();
  };
  const auto si = [&](double i) {
    return sheet_min(base::Length::metres(68.0), base::Rate::millimetres_per_hour(i));
  };
  const auto us = [&](double i) {
    return sheet_min(base::Length::feet(223.0), base::Rate::inches_per_hour(i));
  };
  const auto pipe = [](base::Length d) {
    return water::full_speed_m_s(d, base::Slope::fraction(0.008), base::Roughness::manning(0.011));
  };
  const std::string rounded = "6.92 and 0.933 printed for the exact 6.988 and 0.940: 1.1 %";
  all.push_back({kHec22,
                 "example 3-2",
                 Read::Text,
                 "time of concentration: sheet flow on bermuda grass, full pipe",
                 {{"sheet, 90 mm/h", "min", 41.3, 1, si(90.0), 0.011 * 41.3, rounded},
                  {"sheet, 69 mm/h", "min", 45.9, 1, si(69.0), 0.011 * 45.9, rounded},
                  {"sheet, 3.4 in/h", "min", 42.1, 1, us(3.4), 0.011 * 42.1, rounded},
                  {"sheet, 2.7 in/h", "min", 46.2, 1, us(2.7), 0.011 * 46.2, rounded},
                  {"pipe, 380 mm", "m/s", 1.7, 1, pipe(base::Length::millimetres(380.0))},
                  {"pipe, 15 in", "ft/s", 5.58, 2, pipe(base::Length::inches(15.0)) / base::kMetresPerFoot,
                   0.03, "0.67 and 1.49 printed for 2/3 and 1.486"},
                  {"pipe, 146 m", "min", 1.4, 1, 146.0 / pipe(base::Length::millimetres(380.0)) / 60.0}},
                 {{"sheet, 90 mm/h, min", 41.70205017716121, si(90.0)},
                  {"sheet, ten times the rain", 16.601885202309614, si(900.0)},
                  {"sheet, a tenth of the rain", 104.75081400614292, si(9.0)},
                  {"sheet, 3.4 in/h, min", 42.385362774676274, us(3.4)},
                  {"pipe, m/s", 1.6929132802044649, pipe(base::Length::millimetres(380.0))}}});
}

}  // namespace curbshed::testing
