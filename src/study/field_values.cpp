#include "curbshed/study/field_values.hpp"

#include "curbshed/base/names.hpp"
#include "curbshed/study/chain_model.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

#include <fmt/format.h>

namespace curbshed::study {
namespace {

using base::InputError;
using street::Network;
using street::NodeKind;
using street::ValueFrom;

constexpr double kFarLevel_m = 3.0;      // a level that is farther off has another datum or unit
constexpr double kNearCurbWay_m = 5.0;   // the curb that was measured is the one the water would go over
constexpr double kCurbDecides_m = 0.02;  // ground behind that is this much higher decides instead

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }
std::size_t at(FieldValue what) { return static_cast<std::size_t>(what); }

constexpr std::array<std::string_view, kFieldValues> kWords = {
    "grade",     "cross slope",        "curb height",  "gutter level",
    "rim level", "rim below the curb", "infiltration", "doorway"};

bool may_have(NodeKind kind) { return street::has_basin(kind) || kind == NodeKind::Inlet; }

bool is_level(FieldValue what) {
  return what == FieldValue::CurbHeight || what == FieldValue::GutterLevel || what == FieldValue::RimLevel ||
         what == FieldValue::RimBelowCurb || what == FieldValue::DoorwayAboveCurb;
}

bool says_nothing(const FieldRow& row) {
  return !row.water_seen &&
         std::none_of(row.values.begin(), row.values.end(),
                      [](const std::optional<double>& value) { return value.has_value(); });
}

const char* const kMend = "write the id of a cut as in cuts.csv of the results, or its place";

/// Cuts and drain inlets by id, then by place_id; cuts first.
std::int32_t node_named(const FieldRow& row, const Network& network,
                        const std::vector<street::SitePlace>& places) {
  std::vector<std::string> known;
  for (const NodeKind kind : {NodeKind::Cut, NodeKind::Inlet, NodeKind::Basin}) {
    for (std::size_t n = 0; n < network.size(); ++n) {
      if (network.kind[n] != kind) {
        continue;
      }
      if (network.id[n] == row.cut || (n < places.size() && places[n].own_id == row.cut)) {
        return static_cast<std::int32_t>(n);
      }
      known.push_back(network.id[n]);
    }
  }
  std::string near;
  for (const std::string& word : base::nearest_words(row.cut, known, 3)) {
    near += fmt::format("{}{}", near.empty() ? "" : ", ", word);
  }
  throw InputError(row.where, fmt::format("there is no cut or drain inlet \"{}\"", row.cut),
                   fmt::format("an id of the study; near it: {}", near), kMend);
}

std::int32_t node_near(const FieldRow& row, const Network& network, double reach_m) {
  if (!row.at) {
    throw InputError(row.where, "the row names no cut", "an id in the column cut, or a place", kMend);
  }
  std::tuple<double, std::int32_t> best{std::numeric_limits<double>::infinity(), -1};
  for (std::size_t n = 0; n < network.size(); ++n) {
    if (may_have(network.kind[n])) {
      best = std::min(best, {base::distance_m(network.at[n], *row.at), static_cast<std::int32_t>(n)});
    }
  }
  const auto [off_m, node] = best;
  if (node < 0 || off_m > reach_m) {
    throw InputError(row.where,
                     node < 0 ? std::string("there is no cut")
                              : fmt::format("no cut is near this place; the nearest, {}, is {:.1f} m away",
                                            network.id[at(node)], off_m),
                     fmt::format("a place within {:g} m of a cut (street.snap)", reach_m), kMend);
  }
  return node;
}

[[noreturn]] void refuse_far_level(const FieldRow& row, FieldValue what, double value_m, double model_m) {
  throw InputError(
      row.where,
      fmt::format("the {} of {:.2f} m is {:.2f} m off the elevation model's gutter, {:.2f} m",
                  kWords[at(what)], value_m, std::abs(value_m - model_m), model_m),
      fmt::format("within {:g} m", kFarLevel_m),
      "check the unit and the zero of the heights, or measure from the top of the curb (rim_below_curb)");
}

void check_level(const FieldRow& row, FieldValue what, double value_m, double model_m) {
  if (std::abs(value_m - model_m) > kFarLevel_m) {
    refuse_far_level(row, what, value_m, model_m);
  }
}

/// A way over the curb beside the cut begins where the curb that was measured ends.
void move_curb_ways(Network& network, std::int32_t node, double before_m, double now_m) {
  for (street::SideWay& way : network.side_ways) {
    if (way.from != node || way.kind != street::SideWayKind::OverCurb ||
        base::distance_m(way.at, network.at[at(node)]) > kNearCurbWay_m) {
      continue;
    }
    const bool ground_decides = way.begins_depth_m > before_m + kCurbDecides_m;
    way.begins_depth_m = ground_decides ? std::max(way.begins_depth_m, now_m)
                                        : std::max(0.0, way.begins_depth_m + now_m - before_m);
  }
  std::sort(network.side_ways.begin(), network.side_ways.end(),
            [](const street::SideWay& a, const street::SideWay& b) {
              return std::tie(a.from, a.begins_depth_m, a.kind, a.to) <
                     std::tie(b.from, b.begins_depth_m, b.kind, b.to);
            });
}

void add(std::string& list, const std::string& text, const char* between) {
  if (!text.empty()) {
    list += (list.empty() ? "" : between) + text;
  }
}

}  // namespace

std::string_view from_word(ValueFrom from) {
  switch (from) {
    case ValueFrom::Study:
      return "study";
    case ValueFrom::Fitted:
      return "fitted";
    case ValueFrom::Measured:
      break;
  }
  return "measured";
}

std::optional<double> FieldMeasures::value(FieldValue what) const {
  const FieldRow* row = rows[at(what)];
  return row == nullptr ? std::nullopt : row->values[at(what)];
}

const FieldOverride* FieldFindings::find(std::int32_t node, FieldValue what) const {
  const auto found = std::find_if(overrides.begin(), overrides.end(), [&](const FieldOverride& one) {
    return one.node == node && one.what == what;
  });
  return found == overrides.end() ? nullptr : &*found;
}

const MeasuredLevel* FieldFindings::level(std::int32_t node, FieldValue what) const {
  const auto found = std::find_if(levels.begin(), levels.end(), [&](const MeasuredLevel& one) {
    return one.node == node && one.what == what;
  });
  return found == levels.end() ? nullptr : &*found;
}

FieldNotes::FieldNotes(const std::vector<FieldRow>& rows, const Network& network,
                       const std::vector<street::SitePlace>& places, double reach_m) {
  for (const FieldRow& row : rows) {
    if (says_nothing(row) && row.cut.empty() && !row.at) {
      continue;
    }
    take(row, row.cut.empty() ? node_near(row, network, reach_m) : node_named(row, network, places), network);
  }
  std::stable_sort(findings_.water.begin(), findings_.water.end(),
                   [](const WaterSeen& a, const WaterSeen& b) {
                     return a.node != b.node ? a.node < b.node : base::natural_less(a.by, b.by);
                   });
  std::stable_sort(findings_.levels.begin(), findings_.levels.end(),
                   [](const MeasuredLevel& a, const MeasuredLevel& b) {
                     return std::tie(a.node, a.what) < std::tie(b.node, b.what);
                   });
}

void FieldNotes::take(const FieldRow& row, std::int32_t node, const Network& network) {
  const std::string& id = network.id[at(node)];
  if (row.water_seen) {
    findings_.water.push_back({node, *row.water_seen, row.by, row.date});
  }
  FieldMeasures& own = measures_[node];
  for (std::size_t i = 0; i < kFieldValues; ++i) {
    if (!row.values[i]) {
      continue;
    }
    const auto what = static_cast<FieldValue>(i);
    const bool of_basin = what == FieldValue::RimLevel || what == FieldValue::RimBelowCurb ||
                          what == FieldValue::Infiltration || what == FieldValue::DoorwayAboveCurb;
    if (of_basin && !street::has_basin(network.kind[at(node)])) {
      throw InputError(row.where, fmt::format("{} is a drain inlet and has no {}", id, kWords[i]),
                       "grade, cross_slope, curb_height, gutter_level and water at an inlet",
                       "leave the cell empty, or name the cut");
    }
    const FieldValue other = what == FieldValue::RimLevel       ? FieldValue::RimBelowCurb
                             : what == FieldValue::RimBelowCurb ? FieldValue::RimLevel
                                                                : what;
    const FieldRow* given = own.rows[i] != nullptr ? own.rows[i] : own.rows[at(other)];
    if (given != nullptr) {
      throw InputError(row.where,
                       fmt::format("the {} of {} is there twice; also in {}", kWords[i], id, given->by),
                       "one value a cut, and its rim one way only",
                       "keep the better one, or write their mean into one row");
    }
    own.rows[i] = &row;
    if (is_level(what)) {
      findings_.levels.push_back(
          {node, what, *row.values[i], row.error_m.value_or(kMeasuredError_m), row.by, row.method, row.date});
    }
  }
}

void FieldNotes::replace(std::int32_t node, FieldValue what, double& value, double now,
                         std::string before_from) {
  const FieldMeasures& own = measures_.at(node);
  const FieldRow* row = own.rows[at(what)];
  if (row == nullptr) {
    row = own.rows[at(FieldValue::RimBelowCurb)];
  }
  findings_.overrides.push_back(
      {node, what, now, value, std::move(before_from), row->by, row->method, row->date});
  value = now;
}

void FieldNotes::correct_network(Network& network) {
  for (const auto& entry : measures_) {
    const std::int32_t node = entry.first;
    const std::size_t n = at(node);
    const FieldMeasures& own = entry.second;
    if (const auto grade = own.value(FieldValue::Grade)) {
      replace(node, FieldValue::Grade, network.grade[n], *grade,
              std::string(from_word(network.grade_from[n])));
      network.grade_error[n] = 0.0;
      network.grade_from[n] = ValueFrom::Measured;
    }
    if (const auto slope = own.value(FieldValue::CrossSlope)) {
      replace(node, FieldValue::CrossSlope, network.cross_slope[n], *slope,
              std::string(from_word(network.cross_slope_from[n])));
      network.cross_slope_error[n] = 0.0;
      network.cross_slope_from[n] = ValueFrom::Measured;
    }
    if (const auto height = own.value(FieldValue::CurbHeight)) {
      move_curb_ways(network, node, network.curb_height_m[n], *height);
      replace(node, FieldValue::CurbHeight, network.curb_height_m[n], *height, "study");
    }
    if (const auto level = own.value(FieldValue::GutterLevel)) {
      check_level(*own.rows[at(FieldValue::GutterLevel)], FieldValue::GutterLevel, *level,
                  network.gutter_level_m[n]);
      replace(node, FieldValue::GutterLevel, network.gutter_level_m[n], *level, "fitted");
    }
  }
}

std::optional<double> FieldNotes::crest_m(const Network& network, std::size_t node) const {
  const auto own = measures_.find(static_cast<std::int32_t>(node));
  if (own == measures_.end() ||
      (!own->second.value(FieldValue::CurbHeight) && !own->second.value(FieldValue::GutterLevel))) {
    return std::nullopt;
  }
  return network.gutter_level_m[node] + network.curb_height_m[node];
}

void FieldNotes::correct_basin(const Network& network, std::size_t node, std::string_view infiltration_from,
                               BasinParams& basin) {
  const auto number = static_cast<std::int32_t>(node);
  const auto own = measures_.find(number);
  if (own == measures_.end()) {
    return;
  }
  if (const auto below_m = own->second.value(FieldValue::RimBelowCurb)) {
    const double crest_m = network.gutter_level_m[node] + network.curb_height_m[node];
    replace(number, FieldValue::RimLevel, basin.rim_m, crest_m - *below_m, "fitted");
  }
  if (const auto level_m = own->second.value(FieldValue::RimLevel)) {
    check_level(*own->second.rows[at(FieldValue::RimLevel)], FieldValue::RimLevel, *level_m,
                network.gutter_level_m[node]);
    replace(number, FieldValue::RimLevel, basin.rim_m, *level_m, "fitted");
  }
  if (const auto rate = own->second.value(FieldValue::Infiltration)) {
    replace(number, FieldValue::Infiltration, basin.infiltration_m_s, *rate, std::string(infiltration_from));
  }
}

FieldFindings FieldNotes::finish(const ChainModel& model, double dry_area_m2) {
  std::stable_sort(findings_.overrides.begin(), findings_.overrides.end(),
                   [](const FieldOverride& a, const FieldOverride& b) {
                     return std::tie(a.node, a.what) < std::tie(b.node, b.what);
                   });
  if (findings_.water.empty()) {
    return std::move(findings_);
  }
  const std::vector<double> areas_m2 = areas_arriving_m2(model);
  for (std::size_t i = 0; i < findings_.water.size();) {
    DryCut dry{findings_.water[i].node, areas_m2[at(findings_.water[i].node)], "", ""};
    bool seen = false;
    for (; i < findings_.water.size() && findings_.water[i].node == dry.node; ++i) {
      seen = seen || findings_.water[i].seen;
      add(dry.dates, findings_.water[i].date, ", ");
      add(dry.by, findings_.water[i].by, "; ");
    }
    if (!seen && dry.area_m2 >= dry_area_m2) {
      findings_.dry.push_back(std::move(dry));
    }
  }
  std::stable_sort(findings_.dry.begin(), findings_.dry.end(),
                   [](const DryCut& a, const DryCut& b) { return a.area_m2 > b.area_m2; });
  return std::move(findings_);
}

}  // namespace curbshed::study
