#include "siting/measure_parts.hpp"

#include <algorithm>
#include <string>

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

std::string from_words(street::ValueFrom from, const char* fitted) {
  return from == street::ValueFrom::Measured ? "measured at the cut"
         : from == street::ValueFrom::Fitted ? fitted
                                             : "assumed by the study";
}

/// Widest water in one storm without and with the cuts.
struct Spread {
  double before_m = 0.0;
  double after_m = 0.0;
  double rise_m() const { return after_m - before_m; }
};

Measured spread_at(const Survey& survey, std::size_t node, RuleId id) {
  const study::StormComparison* worst = nullptr;
  Spread most;
  for (const study::StormComparison& storm : *survey.in.storms) {
    const Spread one{storm.base.nodes[node].max_spread_m, storm.with_cuts.nodes[node].max_spread_m};
    if (worst == nullptr || one.rise_m() > most.rise_m()) {
      worst = &storm;
      most = one;
    }
  }
  if (worst == nullptr) return {};
  Measured out = plain_value(most.rise_m(), fmt::format("storm {}", worst->storm.id));
  const RuleSet& rules = *survey.in.rules;
  out.words = fmt::format("{} wide before, {} after.", with_unit(rules, id, most.before_m),
                          with_unit(rules, id, most.after_m));
  return out;
}

void measure_grades(const Survey& survey, const SiteFrame& frame, SiteMeasures& site) {
  const street::Network& network = survey.network();
  const std::size_t n = frame.node;
  if (network.in_sag[n] >= 0) {
    for (const RuleId id : {RuleId::GutterGrade, RuleId::GutterGradeLeast}) {
      of(site, id) = not_asked("the heights", "The cut stands in a hollow of the street.");
    }
  } else {
    Measured grade =
        plain_value(network.grade[n], from_words(network.grade_from[n], "fit to the heights over 30 m"),
                    network.grade_from[n] == street::ValueFrom::Fitted ? network.grade_error[n] : 0.0);
    of(site, RuleId::GutterGrade) = grade;
    of(site, RuleId::GutterGradeLeast) = std::move(grade);
  }
  Measured cross;  // assumed: nobody knows
  const bool fall_known = n < network.cross_fall.size() && network.cross_fall[n].has_value();
  if (network.cross_slope_from[n] == street::ValueFrom::Study && fall_known) {
    // Too flat, or away from the curb: the storm takes the study's slope, the rules look at the fit.
    const street::CrossFall& fall = *network.cross_fall[n];
    cross = plain_value(fall.slope, "fit to the heights over 20 m", fall.error);
  } else if (network.cross_slope_from[n] != street::ValueFrom::Study) {
    const bool fitted = network.cross_slope_from[n] == street::ValueFrom::Fitted;
    cross = plain_value(network.cross_slope[n],
                        from_words(network.cross_slope_from[n], "fit to the heights over 20 m"),
                        fitted ? network.cross_slope_error[n] : 0.0);
  }
  const std::int32_t curb = network.curb[n];
  const auto& facts = survey.in.inputs->curb_facts;
  of(site, RuleId::CrossSlope) = cross;
  if (curb >= 0 && !facts.empty() && !facts[static_cast<std::size_t>(curb)].water_runs_along) {
    cross.words = "The pavement falls away from this curb.";
  }
  of(site, RuleId::CrossSlopeLeast) = std::move(cross);
}

}  // namespace

void measure_street(const Survey& survey, const SiteFrame& frame, SiteMeasures& site) {
  measure_grades(survey, frame, site);
  const street::Network& network = survey.network();
  const bool cut_off = network.edge_cuts_above[frame.node] != 0;
  of(site, RuleId::SpreadAtSite) = spread_at(survey, frame.node, RuleId::SpreadAtSite);
  const std::int32_t below = network.downstream[frame.node];
  of(site, RuleId::SpreadBelow) =
      below < 0 ? not_asked("the network", "No place lies below.")
                : spread_at(survey, static_cast<std::size_t>(below), RuleId::SpreadBelow);
  Measured area = plain_value(survey.areas_m2[frame.node], "the heights");
  Measured paved = plain_value(survey.paved_areas_m2[frame.node], "the heights and what covers the ground");
  for (Measured* one : {&area, &paved}) {
    one->measure_at_best = cut_off;
    if (cut_off) one->words = "The edge of the data cuts this area: it is at least this large.";
  }
  for (const RuleId id : {RuleId::SpreadAtSite, RuleId::SpreadBelow}) of(site, id).measure_at_best = cut_off;
  of(site, RuleId::Catchment) = area;
  of(site, RuleId::CatchmentPaved) = std::move(paved);
  of(site, RuleId::CatchmentLeast) = std::move(area);
}

}  // namespace curbshed::siting
