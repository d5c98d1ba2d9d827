// Checks of water on its way: through a pond, over ground, in a pipe.
#include "curbshed/base/error.hpp"
#include "curbshed/cli/desk_command.hpp"
#include "curbshed/study/number_table.hpp"
#include "curbshed/water/full_pipe.hpp"
#include "curbshed/water/gutter.hpp"
#include "curbshed/water/pond_routing.hpp"
#include "curbshed/water/travel.hpp"

#include <cmath>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using base::Dimension;
using base::InputError;
using report::both_units;
using report::DeskAnswer;

constexpr double kMostSteps = 100000.0;

water::StageTable stage_table(const std::string& file) {
  const study::NumberTable table = study::read_number_table(file);
  const std::vector<double> stage = study::table_column(table, "stage", Dimension::Length);
  const std::vector<double> discharge = study::table_column(table, "discharge", Dimension::Flow);
  const std::vector<double> storage = study::table_column(table, "storage", Dimension::Volume);
  water::StageTable out;
  for (std::size_t r = 0; r < stage.size(); ++r) out.rows.push_back({stage[r], discharge[r], storage[r]});
  try {
    water::check(out);
  } catch (const InputError& error) {
    throw error.located({file, "", ""});
  }
  return out;
}

struct Series {
  std::vector<double> times_s;
  std::vector<double> values;
};

Series inflow_of(const std::string& file) {
  const study::NumberTable table = study::read_number_table(file);
  Series in{study::table_column(table, "time", Dimension::Duration),
            study::table_column(table, "inflow", Dimension::Flow)};
  for (std::size_t r = 0; r < in.times_s.size(); ++r) {
    const bool later = r == 0 || in.times_s[r] > in.times_s[r - 1];
    if (later && in.values[r] >= 0.0) continue;
    throw InputError({file, "", fmt::format("line {}", table.rows[r].line)},
                     fmt::format("inflow {:g} m3/s at {:g} s is not usable", in.values[r], in.times_s[r]),
                     "times that rise and inflows of 0 or more", "mend that line");
  }
  return in;
}

/// Straight between the given times.
double at_time(const Series& series, double time_s, std::size_t& from) {
  while (from + 2 < series.times_s.size() && series.times_s[from + 1] < time_s) ++from;
  if (series.times_s.size() == 1) return series.values.front();
  const double share = (time_s - series.times_s[from]) / (series.times_s[from + 1] - series.times_s[from]);
  return series.values[from] + share * (series.values[from + 1] - series.values[from]);
}

DeskAnswer route_answer(const DeskValues& v) {
  const Series given = inflow_of(v.text("inflow"));
  const water::StageTable table = stage_table(v.text("stage"));
  const double step_s = v["step"];
  const double span_s = given.times_s.back() - given.times_s.front();
  const double count = std::floor(span_s / step_s + 1e-9);
  if (count > kMostSteps) {
    throw InputError({"", "--step", ""}, fmt::format("{:g} steps are too many", count),
                     "at most 100,000 steps", "take a longer step");
  }
  std::vector<double> times;
  std::vector<double> inflow;
  std::size_t from = 0;
  for (std::size_t j = 0; j <= static_cast<std::size_t>(count); ++j) {
    const double time_s =
        std::min(given.times_s.back(), given.times_s.front() + step_s * static_cast<double>(j));
    times.push_back(time_s);
    inflow.push_back(at_time(given, time_s, from));
  }
  const double start_m3 = v.or_else("start-storage", table.rows.front().storage_m3);
  std::vector<double> outflow;
  std::vector<double> storage;
  for (const water::PondStep& step : water::level_pool(table, inflow, step_s, start_m3)) {
    outflow.push_back(step.outflow_m3_s);
    storage.push_back(step.storage_m3);
  }
  DeskAnswer answer;
  answer.series = true;
  answer.values = {{"time_s", "Time", Dimension::Duration, times},
                   {"inflow_m3_s", "Inflow", Dimension::Flow, inflow},
                   {"outflow_m3_s", "Outflow", Dimension::Flow, outflow},
                   {"storage_m3", "Storage", Dimension::Volume, storage}};
  answer.sources = {std::string(water::kLevelPoolSource)};
  return answer;
}

DeskAnswer sheet_answer(const DeskValues& v) {
  const water::SheetFlow plane{.length = base::Length::metres(v["length"]),
                               .slope = base::Slope::fraction(v["grade"]),
                               .roughness = base::Roughness::manning(v.needed("roughness", "sheet flow"))};
  if (v.given("excess-rate") == v.given("day-rain")) {
    throw InputError({}, "sheet flow is worked from a steady excess rain or from the 2-year 24-hour rain",
                     "one of --excess-rate and --day-rain", "give one of them");
  }
  const bool steady = v.given("excess-rate");
  const base::Duration time =
      steady ? water::sheet_flow_time(plane, base::Rate::metres_per_second(v["excess-rate"]))
             : water::sheet_flow_time_from_day_rain(plane, base::Length::metres(v["day-rain"]));
  DeskAnswer answer;
  answer.values = {{"travel_time_s", "It takes", Dimension::Duration, time.in_seconds()}};
  answer.working = {steady ? "t = (n L)^0.6 / (i^0.4 S^0.3) (metres, seconds)"
                           : "t = 0.007 (n L)^0.8 / (P^0.5 S^0.4) (hours, feet, inches)"};
  answer.sources = {std::string(steady ? water::kSheetFlowSource : water::kSheetFlowDayRainSource)};
  answer.cautions = {"Beyond some 30 m (100 ft) water gathers in rills and runs faster."};
  return answer;
}

DeskAnswer shallow_answer(const DeskValues& v) {
  if (!v.given("cover")) {
    throw InputError({"", "--cover", ""}, "it is missing; shallow flow needs it", "paved, unpaved",
                     "add --cover …");
  }
  const bool paved = v.text("cover") == "paved";
  const double speed_m_s = water::shallow_speed_m_s(base::Slope::fraction(v["grade"]), paved);
  DeskAnswer answer;
  answer.values = {{"travel_time_s", "It takes", Dimension::Duration, v["length"] / speed_m_s}};
  answer.working = {fmt::format("V = {:g} S^(1/2) (ft/s), t = L/V",
                                paved ? water::kShallowPaved_ft_s : water::kShallowUnpaved_ft_s)};
  answer.sources = {std::string(water::kShallowFlowSource)};
  answer.cautions = {"Shallow flow that has gathered in rills; not for a gutter or a ditch."};
  return answer;
}

DeskAnswer gutter_answer(const DeskValues& v) {
  const water::GutterSection section{
      .grade = base::Slope::fraction(v["grade"]),
      .cross_slope = base::Slope::fraction(v.needed("cross-slope", "a gutter")),
      .roughness = base::Roughness::manning(v.needed("roughness", "a gutter"))};
  const double flow_m3_s = v.needed("flow", "a gutter");
  const double upper_m3_s = v["upstream-flow"];
  if (upper_m3_s > flow_m3_s) {
    throw InputError({"", "--upstream-flow", ""}, "it is more than the flow at the lower end",
                     "0 m3/s to --flow", "exchange the two");
  }
  const water::GutterFlow lower =
      water::gutter_at_flow(section, base::Flow::cubic_metres_per_second(flow_m3_s));
  const water::GutterFlow upper =
      water::gutter_at_flow(section, base::Flow::cubic_metres_per_second(upper_m3_s));
  const double share = water::mean_spread_share(upper.spread / lower.spread);
  const water::GutterFlow mean = water::gutter_at_spread(section, lower.spread * share);
  DeskAnswer answer;
  answer.values = {{"travel_time_s", "It takes", Dimension::Duration, v["length"] / mean.velocity_m_s}};
  answer.working = {"Ta/T2 = 0.65 {[1 - r^(8/3)]/[1 - r^2]}^(3/2), r = T1/T2; V at Ta; t = L/V",
                    fmt::format("T1 = {:g} m, T2 = {:g} m, Ta = {:g} m", upper.spread.in_metres(),
                                lower.spread.in_metres(), mean.spread.in_metres())};
  answer.sources = {std::string(water::kGutterSource), "HEC-22, 3rd ed., ch. 4, table 4-4 (from memory)"};
  answer.cautions = {"The flow is taken to grow evenly along the reach."};
  return answer;
}

DeskAnswer travel_answer(const DeskValues& v) {
  const std::string& kind = v.text("kind");
  DeskAnswer answer = kind == "sheet"     ? sheet_answer(v)
                      : kind == "shallow" ? shallow_answer(v)
                                          : gutter_answer(v);
  answer.title =
      fmt::format("Water on its way over {} at a grade of {}.", both_units(v["length"], Dimension::Length),
                  both_units(v["grade"], Dimension::Slope));
  const double time_s = std::get<double>(answer.values.front().value);
  answer.values.push_back({"velocity_m_s", "Mean speed", Dimension::Rate, v["length"] / time_s});
  answer.working.push_back(fmt::format("L = {:g} m, S = {:g}", v["length"], v["grade"]));
  return answer;
}

DeskAnswer pipe_answer(const DeskValues& v) {
  const water::FullPipe pipe{.diameter = base::Length::metres(v["diameter"]),
                             .length = base::Length::metres(v["length"]),
                             .roughness = base::Roughness::manning(v["roughness"]),
                             .local_losses = v["local-losses"]};
  const water::PipeHead head = water::head_lost(pipe, base::Flow::cubic_metres_per_second(v["flow"]));
  const double drop_m = v["drop"];
  const bool enough = drop_m >= head.lost.in_metres();
  DeskAnswer answer;
  answer.title =
      fmt::format("A pipe that dips and stands full, {} inside, {} long, with {}.",
                  both_units(v["diameter"], Dimension::Length), both_units(v["length"], Dimension::Length),
                  both_units(v["flow"], Dimension::Flow));
  answer.values = {{"head_lost_m", "Head lost", Dimension::Length, head.lost.in_metres()},
                   {"drop_m", "The outlet lies below the inlet by", Dimension::Length, drop_m},
                   {"enough", "Enough for this flow", Dimension::Plain, std::string(enough ? "yes" : "no")},
                   {"velocity_m_s", "Speed in the pipe", Dimension::Rate, head.velocity_m_s},
                   {"most_flow_m3_s", "This drop carries at most", Dimension::Flow,
                    water::flow_at_drop(pipe, base::Length::metres(drop_m)).in_cubic_metres_per_second()}};
  answer.working = {"h = L (V n / R^(2/3))^2 + K V^2 / (2 g), R = D/4, V = Q / (pi D^2 / 4)",
                    fmt::format("friction {:g} m, entry, bends and exit {:g} m (K = {:g})",
                                head.friction.in_metres(), head.local.in_metres(), pipe.local_losses)};
  answer.sources = {std::string(water::kFullPipeSource)};
  answer.cautions = {
      "Water stays in the dip: it can freeze and burst the pipe, and mosquitoes breed where they get in.",
      "Give the lowest place a drain point that can be opened, and both ends a screen (common practice, "
      "no source).",
      "Take the levels of the water, not of the pipe: the inlet's lowest level at which it must run."};
  return answer;
}

}  // namespace

std::vector<DeskCheck> flow_checks() {
  DeskFlag kind{"kind", Dimension::Plain, true, "", "", "", "how the water runs", true};
  kind.choices = {"sheet", "shallow", "gutter"};
  DeskFlag cover{"cover", Dimension::Plain, false, "", "", "", "ground (shallow)", true};
  cover.choices = {"paved", "unpaved"};
  return {
      {"route",
       "flow through a pond: time, inflow, outflow, storage as CSV",
       {{"inflow", Dimension::Plain, true, "", "", "",
         "CSV: time_h,inflow_m3_s (other units by the names' ends)", true},
        {"stage", Dimension::Plain, true, "", "", "", "CSV: stage_m,discharge_m3_s,storage_m3", true},
        {"step", Dimension::Duration, true, "1 s", "24 h", "", "step of the calculation"},
        {"start-storage", Dimension::Volume, false, "0 m3", "1000000000 m3", "",
         "what the pond holds at the start; without it the table's first row"}},
       &route_answer},
      {"travel",
       "time that water takes over ground or along a gutter",
       {kind,
        {"length", Dimension::Length, true, "", "5000 m", "", "length of the way"},
        {"grade", Dimension::Slope, true, "", "100 %", "", "fall along the way"},
        {"roughness", Dimension::Plain, false, "0.008", "1", "", "Manning n (sheet, gutter)"},
        {"excess-rate", Dimension::Rate, false, "", "1000 mm/h", "", "steady rain that runs off (sheet)"},
        {"day-rain", Dimension::Length, false, "", "1 m", "", "2-year 24-hour rain (sheet)"},
        cover,
        {"cross-slope", Dimension::Slope, false, "", "30 %", "", "cross slope of the pavement (gutter)"},
        {"flow", Dimension::Flow, false, "", "20 m3/s", "", "flow at the lower end (gutter)"},
        {"upstream-flow", Dimension::Flow, false, "0 m3/s", "20 m3/s", "0 m3/s",
         "flow at the upper end (gutter)"}},
       &travel_answer},
      {"pipe",
       "whether a pipe that dips under a path carries a flow by its fall alone",
       {{"flow", Dimension::Flow, true, "", "10 m3/s", "", "design flow"},
        {"diameter", Dimension::Length, true, "1 mm", "3 m", "", "inside the pipe"},
        {"length", Dimension::Length, true, "", "1000 m", "", "along the pipe"},
        {"roughness", Dimension::Plain, true, "0.008", "0.05", "", "Manning n"},
        {"local-losses", Dimension::Plain, true, "0", "100", "",
         "sum of the loss coefficients of entry, bends and exit"},
        {"drop", Dimension::Length, true, "-100 m", "100 m", "", "inlet's water level less the outlet's"}},
       &pipe_answer}};
}

}  // namespace curbshed::cli
