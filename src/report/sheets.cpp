#include "curbshed/report/sheets.hpp"

#include "curbshed/report/candidate_tables.hpp"
#include "curbshed/report/chosen.hpp"
#include "curbshed/report/field_words.hpp"
#include "curbshed/report/full.hpp"
#include "curbshed/report/ranking.hpp"
#include "curbshed/report/sentences.hpp"

#include "report/text_cell.hpp"

#include <algorithm>
#include <memory>

#include <fmt/format.h>

namespace curbshed::report {

using base::Cell;
using base::Column;
using base::ColumnType;
using street::NodeKind;
using study::NodeResult;
using study::StormComparison;

namespace {

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

constexpr double kLitres = 1000.0;
constexpr double kPercent = 100.0;
constexpr double kMillimetresPerHour = 1000.0 * 3600.0;

Cell flag(bool value) { return static_cast<std::int64_t>(value ? 1 : 0); }
Cell minute(double value) { return value < 0.0 ? Cell() : Cell(value); }

/// The edge of the data is many places, so it is none.
bool has_place(const street::Network& network, std::int32_t node) {
  return network.kind[at(node)] != NodeKind::DataEdge;
}

const street::BlockFace* face_of(const RunFacts& facts, std::int32_t node) {
  const street::StreetModel& street = facts.preparation->maps.street;
  const std::int32_t face = street.places[at(node)].place.face;
  return face < 0 ? nullptr : &street.faces.faces()[at(face)];
}

/// Adds columns with little ink; holds what the getters need.
class Builder {
 public:
  Builder(const RunFacts& facts, Sheet& sheet)
      : facts_(facts), model_(facts.preparation->model), network_(model_.network), sheet_(sheet) {}

  const street::Network& network() const { return network_; }
  const study::ChainModel& model() const { return model_; }

  void take(const std::vector<NodeKind>& kinds) {
    for (std::int32_t node = 0; node < static_cast<std::int32_t>(network_.size()); ++node) {
      if (std::find(kinds.begin(), kinds.end(), network_.kind[at(node)]) != kinds.end()) {
        sheet_.nodes.push_back(node);
      }
    }
    std::sort(sheet_.nodes.begin(), sheet_.nodes.end(), [this](std::int32_t a, std::int32_t b) {
      const auto rank = [this](std::int32_t node) {
        return std::pair(network_.kind[at(node)], network_.site[at(node)]);
      };
      return rank(a) != rank(b) ? rank(a) < rank(b) : a < b;
    });
  }

  void words(std::string name, std::string title, std::function<Cell(std::int32_t)> value) {
    sheet_.columns.push_back({{std::move(name), std::move(title), "", ColumnType::Text}, std::move(value)});
  }
  void yes_no(std::string name, std::string title, std::function<Cell(std::int32_t)> value) {
    whole(std::move(name), std::move(title), std::move(value));
  }
  void whole(std::string name, std::string title, std::function<Cell(std::int32_t)> value) {
    sheet_.columns.push_back(
        {{std::move(name), std::move(title), "", ColumnType::Integer}, std::move(value)});
  }
  void number(std::string name, std::string title, std::string unit,
              std::function<Cell(std::int32_t)> value) {
    sheet_.columns.push_back(
        {{std::move(name), std::move(title), std::move(unit), ColumnType::Real}, std::move(value)});
  }
  /// A vector of the network times a factor.
  void network_number(std::string name, std::string title, std::string unit,
                      const std::vector<double>& values, double factor = 1.0) {
    number(std::move(name), std::move(title), std::move(unit),
           [&values, factor](std::int32_t node) { return Cell(values[at(node)] * factor); });
  }
  void param(std::string name, std::string title, std::string unit,
             std::function<double(const study::NodeParams&)> value) {
    const study::ChainModel* model = &model_;
    number(std::move(name), std::move(title), std::move(unit),
           [model, value = std::move(value)](std::int32_t node) {
             return Cell(value(model->params[at(node)]));
           });
  }

  void storm_number(std::string name, std::string title, std::string unit,
                    std::function<Cell(const StormComparison&, std::int32_t)> value,
                    ColumnType type = ColumnType::Real) {
    sheet_.storm_columns.push_back(
        {{std::move(name), std::move(title), std::move(unit), type}, std::move(value)});
  }
  void before(std::string name, std::string title, std::string unit, double NodeResult::*member,
              double factor = 1.0) {
    storm_number(std::move(name), std::move(title), std::move(unit),
                 [member, factor](const StormComparison& s, std::int32_t n) {
                   return Cell(s.base.nodes[at(n)].*member * factor);
                 });
  }
  void after(std::string name, std::string title, std::string unit, double NodeResult::*member,
             double factor = 1.0) {
    storm_number(std::move(name), std::move(title), std::move(unit),
                 [member, factor](const StormComparison& s, std::int32_t n) {
                   return Cell(s.with_cuts.nodes[at(n)].*member * factor);
                 });
  }
  void first_minute(std::string name, std::string title, double NodeResult::*member) {
    storm_number(std::move(name), std::move(title), "min",
                 [member](const StormComparison& s, std::int32_t n) {
                   return minute(s.with_cuts.nodes[at(n)].*member);
                 });
  }

  void id() {
    words("id", "Name",
          [this_network = &network_](std::int32_t node) { return text(this_network->id[at(node)]); });
  }
  void xy() {
    const RunFacts* facts = &facts_;
    const street::Network* network = &network_;
    number("x_" + facts_.crs_unit, "East in the reference system", facts_.crs_unit, [=](std::int32_t node) {
      return has_place(*network, node) ? Cell(network->at[at(node)].x_m / facts->metres_per_unit) : Cell();
    });
    number("y_" + facts_.crs_unit, "North in the reference system", facts_.crs_unit, [=](std::int32_t node) {
      return has_place(*network, node) ? Cell(network->at[at(node)].y_m / facts->metres_per_unit) : Cell();
    });
  }
  /// Everything that says where a site is: the same for every kind.
  void where() {
    const RunFacts* facts = &facts_;
    const street::Network* network = &network_;
    words("place", "Where it is, measured along the curb from the corner", [=](std::int32_t node) {
      return has_place(*network, node) ? text(place_words(*facts, node, Units::Metric)) : Cell();
    });
    words("place_id", "Name made from street, side and distance",
          [=](std::int32_t node) { return text(facts->preparation->maps.street.places[at(node)].own_id); });
    xy();
    const auto degrees = [=](std::int32_t node, double Degrees::*member) {
      const bool known =
          has_place(*network, node) && at(node) < facts->degrees.size() && facts->degrees[at(node)];
      return known ? Cell((*facts->degrees[at(node)]).*member) : Cell();
    };
    number("longitude_deg", "Longitude, WGS 84 (EPSG:4326)", "deg",
           [=](std::int32_t node) { return degrees(node, &Degrees::longitude); });
    number("latitude_deg", "Latitude, WGS 84 (EPSG:4326)", "deg",
           [=](std::int32_t node) { return degrees(node, &Degrees::latitude); });
    words("street", "Street", [=](std::int32_t node) {
      const street::BlockFace* face = face_of(*facts, node);
      return text(face == nullptr ? std::string() : face->street);
    });
    words("side", "Side of the street", [=](std::int32_t node) {
      const street::BlockFace* face = face_of(*facts, node);
      return text(face == nullptr ? std::string() : face->side);
    });
    words("house_number", "Nearest house number", [=](std::int32_t node) {
      const std::vector<std::string>& numbers = facts->preparation->maps.house_numbers;
      return text(at(node) < numbers.size() ? numbers[at(node)] : std::string());
    });
  }
  void areas() {
    number("own_area_m2", "Ground that reaches this place first", "m2",
           [areas = own_areas_m2(model_)](std::int32_t node) { return Cell(areas[at(node)]); });
    number("area_arriving_m2",
           "Ground whose water comes by, upstream places included; by its share below a shared corner", "m2",
           [areas = areas_arriving_m2(model_)](std::int32_t node) { return Cell(areas[at(node)]); });
    yes_no("at_least", "1 = the area is cut by the edge of the data: read \"at least\"",
           [network = &network_](std::int32_t node) {
             return flag(network->edge_cuts_area[at(node)] != 0 || network->edge_cuts_above[at(node)] != 0);
           });
  }
  void downstream() {
    const RunFacts* facts = &facts_;
    const street::Network* network = &network_;
    words("next_down", "Where the gutter leads", [=](std::int32_t node) {
      const std::int32_t next = network->downstream[at(node)];
      return text(next < 0 ? std::string() : node_words(*facts, next));
    });
  }

 private:
  const RunFacts& facts_;
  const study::ChainModel& model_;
  const street::Network& network_;
  Sheet& sheet_;
};

void add_cut_place(const RunFacts& facts, Builder& build) {
  const street::Network* network = &build.network();
  build.id();
  build.where();
  build.words("words", "Words of the user's", [&facts, network](std::int32_t node) {
    const std::int32_t site = network->site[at(node)];
    return text(site < 0 ? std::string() : facts.inputs->overrides[at(site)].words);
  });
  build.words("curb_origin", "Where the curb line comes from", [&facts, network](std::int32_t node) {
    const std::int32_t curb = network->curb[at(node)];
    return text(curb < 0 ? std::string() : curb_origin_words(facts, curb));
  });
  const std::vector<street::CurbFacts>* known = &facts.inputs->curb_facts;
  build.number("curb_error_m", "Standard error of the curb's place across the street", "m",
               [=](std::int32_t node) {
                 const std::int32_t curb = network->curb[at(node)];
                 const bool told = curb >= 0 && !known->empty() && (*known)[at(curb)].position_error_m;
                 return told ? Cell(*(*known)[at(curb)].position_error_m) : Cell();
               });
  build.yes_no("water_runs_along", "0 = the pavement falls away from this curb", [=](std::int32_t node) {
    const std::int32_t curb = network->curb[at(node)];
    return flag(curb < 0 || known->empty() || (*known)[at(curb)].water_runs_along);
  });
  build.network_number("moved_m", "How far it was moved to its gutter", "m", network->moved_m);
  build.areas();
}

/// Empty where no uncertain corner lies above. The areas are those of the corner that changes most.
void add_cut_corners(const RunFacts& facts, Builder& build) {
  const auto effects =
      std::make_shared<const std::vector<std::vector<street::CornerEffect>>>(corner_effects(facts));
  const std::vector<street::Corner>* corners = &facts.preparation->maps.street.corners;
  build.words("uncertain_corners",
              "Corners above at which heights do not tell whether water turns or crosses",
              [effects, corners](std::int32_t node) {
                std::string ids;
                for (const street::CornerEffect& one : (*effects)[at(node)]) {
                  ids += (ids.empty() ? "" : "; ") + (*corners)[at(one.corner)].id;
                }
                return text(std::move(ids));
              });
  build.number("area_if_turns_m2", "Ground whose water comes by if it turns at the first of them", "m2",
               [effects](std::int32_t node) {
                 const auto& all = (*effects)[at(node)];
                 return all.empty() ? Cell() : Cell(all.front().area_if_turns_m2);
               });
  build.number("area_if_crosses_m2", "Ground whose water comes by if it crosses there", "m2",
               [effects](std::int32_t node) {
                 const auto& all = (*effects)[at(node)];
                 return all.empty() ? Cell() : Cell(all.front().area_if_crosses_m2);
               });
}

void add_cut_street(const RunFacts& facts, Builder& build) {
  const street::Network& network = build.network();
  build.network_number("grade_percent", "Grade of the gutter", "%", network.grade, kPercent);
  build.network_number("grade_error_percent", "Standard error of the grade", "%", network.grade_error,
                       kPercent);
  build.network_number("cross_slope_percent", "Cross slope of the pavement", "%", network.cross_slope,
                       kPercent);
  build.network_number("cross_slope_error_percent", "Standard error of the cross slope", "%",
                       network.cross_slope_error, kPercent);
  build.words("grade_origin", "Where the grade comes from: measured, or fitted to the heights",
              [&network](std::int32_t node) {
                return Cell(std::string(study::from_word(network.grade_from[at(node)])));
              });
  build.words("cross_slope_origin",
              "Where the cross slope comes from: measured, fitted to the heights, or the study's",
              [&network](std::int32_t node) {
                return Cell(std::string(study::from_word(network.cross_slope_from[at(node)])));
              });
  build.network_number("gutter_level_m", "Level of the gutter at the curb face", "m", network.gutter_level_m);
  build.words("gutter_level_origin", "Where that level comes from: measured, or fitted to the heights",
              [&facts](std::int32_t node) {
                return text(field_origin(facts, node, study::FieldValue::GutterLevel, "fitted"));
              });
  build.network_number("curb_height_m", "Top of the curb above the gutter", "m", network.curb_height_m);
  build.words("curb_height_origin", "Where that height comes from: measured, or the study and its layers",
              [&facts](std::int32_t node) {
                return text(field_origin(facts, node, study::FieldValue::CurbHeight, "study"));
              });
  build.words("water_seen", "Whether somebody saw water there while it rained: yes, no, or both at times",
              [&facts](std::int32_t node) { return text(water_seen_word(facts, node)); });
  build.whole("build_order", "Build as number; empty = not chosen, or no choice was asked for",
              [&facts](std::int32_t node) {
                const std::int64_t order = build_order(facts, node);
                return order > 0 ? Cell(order) : Cell();
              });
  build.param("opening_m", "Length of the cut", "m", [](const study::NodeParams& p) { return p.opening_m; });
  build.param("clogging_percent", "Share of the cut taken as clogged", "%",
              [](const study::NodeParams& p) { return p.clogging * kPercent; });
  const study::ChainModel* model = &build.model();
  build.words("opening_kind", "sawn through the curb, or a cored round hole", [model](std::int32_t node) {
    return text(model->params[at(node)].kind == study::OpeningKind::Core ? "core" : "sawn");
  });
  build.number("opening_height_m", "Height of the opening; empty = open at the top", "m",
               [model](std::int32_t node) {
                 const study::NodeParams& p = model->params[at(node)];
                 if (p.kind == study::OpeningKind::Core) return Cell(p.opening_m);
                 return p.throat_m ? Cell(*p.throat_m) : Cell();
               });
  build.words("gutter_section", "Section of the gutter: straight, depressed or parabolic",
              [model](std::int32_t node) {
                return text(std::string(study::word(model->params[at(node)].section.form)));
              });
  build.downstream();
}

/// Widest water between a cut and the next place.
Cell reach_spread(const std::vector<study::ReachSpread>& reaches, std::int32_t node) {
  if (at(node) >= reaches.size() || !(reaches[at(node)].flattest_m || reaches[at(node)].lower_end_m))
    return {};
  return reaches[at(node)].widest_m();
}

void add_cut_storms(const RunFacts& facts, Builder& build) {
  build.before("arriving_before_{}_m3", "Runoff that comes by, without cuts", "m3", &NodeResult::arriving_m3);
  build.after("arriving_{}_m3", "Runoff that comes by, with the cuts above", "m3", &NodeResult::arriving_m3);
  build.after("captured_{}_m3", "Water that the basin takes (entered less returned)", "m3",
              &NodeResult::captured_m3);
  build.storm_number(
      "captured_other_{}_m3",
      "The same by the second published relation; empty = no cut is shorter than the flume tests", "m3",
      [](const StormComparison& s, std::int32_t n) {
        return s.by_second_relation.empty() ? Cell() : Cell(s.by_second_relation[at(n)].captured_m3);
      });
  build.storm_number("captured_{}_percent", "Share of the arriving water that the basin takes", "%",
                     [](const StormComparison& s, std::int32_t n) {
                       const NodeResult& r = s.with_cuts.nodes[at(n)];
                       return r.arriving_m3 > 0.0 ? Cell(r.captured_m3 / r.arriving_m3 * kPercent) : Cell();
                     });
  build.after("returned_{}_m3", "Water that flowed back to the gutter", "m3", &NodeResult::returned_m3);
  build.before("peak_before_{}_l_s", "Peak that arrives, without cuts", "L/s",
               &NodeResult::peak_arriving_m3_s, kLitres);
  build.after("peak_after_{}_l_s", "Peak that arrives, with the cuts above", "L/s",
              &NodeResult::peak_arriving_m3_s, kLitres);
  build.after("peak_left_{}_l_s", "Peak that goes on below the cut", "L/s", &NodeResult::peak_leaving_m3_s,
              kLitres);
  build.before("depth_before_{}_m", "Deepest water at the curb face, without cuts", "m",
               &NodeResult::max_depth_m);
  build.after("depth_after_{}_m", "Deepest water at the curb face, with cuts", "m", &NodeResult::max_depth_m);
  build.before("spread_before_{}_m", "Widest water from the curb, without cuts", "m",
               &NodeResult::max_spread_m);
  build.after("spread_after_{}_m", "Widest water from the curb, with cuts", "m", &NodeResult::max_spread_m);
  build.storm_number(
      "spread_below_before_{}_m", "Widest water between here and the next place down, without cuts", "m",
      [](const StormComparison& s, std::int32_t n) { return reach_spread(s.reaches_before, n); });
  build.storm_number(
      "spread_below_after_{}_m", "Widest water between here and the next place down, with cuts", "m",
      [](const StormComparison& s, std::int32_t n) { return reach_spread(s.reaches_with_cuts, n); });
  build.first_minute("filled_{}_min", "Minute at which the basin was full; empty = never",
                     &NodeResult::filled_minute);
  build.storm_number(
      "filled_before_peak_{}", "1 = full before the peak came", "",
      [](const StormComparison& s, std::int32_t n) {
        return flag(s.with_cuts.nodes[at(n)].filled_before_peak);
      },
      ColumnType::Integer);
  build.after("over_rim_{}_m3", "Water over the rim of the basin", "m3", &NodeResult::over_rim_m3);
  build.first_minute("over_rim_{}_min", "First minute of water over the rim; empty = never",
                     &NodeResult::over_rim_first_minute);
  build.after("over_curb_{}_m3", "Water over the curb, a lip or the crown", "m3", &NodeResult::over_curb_m3);
  build.after("to_lots_{}_m3", "Of that, onto lots and lost to the street; the rest reaches another gutter",
              "m3", &NodeResult::to_lots_m3);
  build.storm_number("second_captured_{}_m3", "Taken when the same storm comes again 12 h later", "m3",
                     [](const StormComparison& s, std::int32_t n) {
                       return s.second.nodes.empty() ? Cell() : Cell(s.second.nodes[at(n)].captured_m3);
                     });
  build.storm_number(
      "result_{}", "In words", "",
      [&facts](const StormComparison& s, std::int32_t n) { return text(result_words(facts, s, n)); },
      ColumnType::Text);
}

/// Peak change in words; the limit of a useful change is a ruling of the project.
Cell change_words(const PeakChange& change) {
  if (change.rises()) {
    return std::string("higher");
  }
  return std::string(change.useful() ? "lower" : "no useful change");
}

void add_ends(Builder& build) {
  build.before("left_before_{}_m3", "Water that left, without cuts", "m3", &NodeResult::passed_on_m3);
  build.after("left_after_{}_m3", "Water that left, with cuts", "m3", &NodeResult::passed_on_m3);
  build.before("peak_before_{}_l_s", "Peak, without cuts", "L/s", &NodeResult::peak_leaving_m3_s, kLitres);
  build.after("peak_after_{}_l_s", "Peak, with cuts", "L/s", &NodeResult::peak_leaving_m3_s, kLitres);
  const auto rational = [](const StormComparison& s, std::int32_t n) {
    return at(n) < s.rational.size() ? s.rational[at(n)] : study::RationalPeak{};
  };
  build.storm_number("rational_peak_{}_l_s", "Peak without cuts by the rational formula, C*i*A", "L/s",
                     [rational](const StormComparison& s, std::int32_t n) {
                       const study::RationalPeak peak = rational(s, n);
                       return peak.area_m2 > 0.0 ? Cell(peak.peak_m3_s() * kLitres) : Cell();
                     });
  build.storm_number("concentration_{}_min", "Time of concentration of its area", "min",
                     [rational](const StormComparison& s, std::int32_t n) {
                       const study::RationalPeak peak = rational(s, n);
                       return peak.area_m2 > 0.0 ? Cell(peak.concentration_s / base::kSecondsPerMinute)
                                                 : Cell();
                     });
  build.storm_number(
      "why_peak_differs_{}", "Why the peak without cuts lies outside 0.5 to 1.5 times C*i*A", "",
      [rational](const StormComparison& s, std::int32_t n) {
        return text(std::string(study::reason_words(rational(s, n).reason)));
      },
      ColumnType::Text);
  const auto change = [](const StormComparison& s, std::int32_t n) {
    return PeakChange{n, s.base.nodes[at(n)].peak_leaving_m3_s, s.with_cuts.nodes[at(n)].peak_leaving_m3_s};
  };
  build.storm_number(
      "peak_change_{}_percent", "Change of the peak", "%",
      [change](const StormComparison& s, std::int32_t n) { return Cell(change(s, n).change() * kPercent); });
  build.storm_number(
      "result_{}", "In words", "",
      [change](const StormComparison& s, std::int32_t n) { return change_words(change(s, n)); },
      ColumnType::Text);
}

}  // namespace

std::string storm_column_name(const std::string& pattern, const std::string& storm_id) {
  std::string name = pattern;
  const std::size_t mark = name.find("{}");
  if (mark == std::string::npos) {
    return name;
  }
  name.replace(mark, 2, storm_id);
  if (storm_id.empty()) {
    name.erase(mark > 0 ? mark - 1 : mark, 1);  // the underscore before it
  }
  return name;
}

std::string result_words(const RunFacts&, const StormComparison& storm, std::int32_t node) {
  const NodeResult& result = storm.with_cuts.nodes[at(node)];
  if (result.arriving_m3 < 0.001) {
    return "no water comes by";
  }
  std::string words =
      fmt::format("takes {} of what comes", show_share(result.captured_m3 / result.arriving_m3));
  if (result.over_rim_m3 > 0.0) {
    words +=
        fmt::format("; spills over its rim from minute {:.0f}: over the limit", result.over_rim_first_minute);
  } else if (result.filled_before_peak) {
    words += "; full before the peak";
  }
  const std::string leaving = leaving_words(result);
  return leaving.empty() ? words : fmt::format("{}; {}", words, leaving);
}

Sheet cuts_sheet(const RunFacts& facts) {
  Sheet sheet;
  sheet.name = "cuts";
  sheet.title = "Curb cuts";
  sheet.description = "Every cut: the street runoff that comes by, what its basin takes, and what goes on.";
  Builder build(facts, sheet);
  sheet.nodes = ranked_cuts(facts);
  std::vector<std::int64_t> rank(build.network().size(), 0);
  for (std::size_t i = 0; i < sheet.nodes.size(); ++i) {
    rank[at(sheet.nodes[i])] = static_cast<std::int64_t>(i) + 1;
  }
  build.whole("rank", "Rank by the water that it takes, 1 = most",
              [rank = std::move(rank)](std::int32_t node) { return Cell(rank[at(node)]); });
  add_cut_place(facts, build);
  add_cut_corners(facts, build);
  add_cut_street(facts, build);
  add_cut_storms(facts, build);
  return sheet;
}

/// Empty where the study gives no months.
void add_year(const RunFacts& facts, Builder& build) {
  const study::YearlyWater* year = facts.year;
  build.number("year_m3", "Water that it takes in a mean year", "m3", [year](std::int32_t node) {
    return year == nullptr ? Cell() : Cell(year->year_m3[at(node)]);
  });
  build.number(
      "canopy_bound_m2", "Most canopy that this can carry (a yearly balance: an upper bound)", "m2",
      [year](std::int32_t node) { return year == nullptr ? Cell() : Cell(year->canopy[at(node)].bound_m2); });
  build.words("canopy_limit", "What caps that canopy", [year](std::int32_t node) {
    if (year == nullptr) return Cell();
    return Cell(std::string(year->canopy[at(node)].limit == trees::CanopyLimit::Water ? "water" : "room"));
  });
}

/// Size, levels and ways out of a basin.
void add_basin_shape(const RunFacts& facts, Builder& build) {
  using study::NodeParams;
  build.param("length_m", "Water line along the curb", "m",
              [](const NodeParams& p) { return p.basin.length_m; });
  build.param("width_m", "Water line square to the curb", "m",
              [](const NodeParams& p) { return p.basin.width_m; });
  build.param("side_slope", "Sides: horizontal to one vertical", "",
              [](const NodeParams& p) { return p.basin.side_slope; });
  build.words("basin_kind", "beside the gutter, water runs through it, or in line with the gutter",
              [model = &build.model()](std::int32_t node) {
                switch (model->params[at(node)].basin.kind) {
                  case study::BasinKind::Through:
                    return text("through");
                  case study::BasinKind::InLine:
                    return text("in line");
                  case study::BasinKind::Beside:
                    break;
                }
                return text("beside");
              });
  build.param("outlet_m", "Length of the second cut; 0 = there is none", "m",
              [](const NodeParams& p) { return p.basin.outlet_m; });
  build.param("outlet_drop_m", "Its invert under the first cut's", "m",
              [](const NodeParams& p) { return p.basin.outlet_drop_m; });
  build.param("floor_grade_percent", "Fall of the floor along the basin", "%",
              [](const NodeParams& p) { return p.basin.floor_grade * 100.0; });
  build.param("check_dams", "Dams across it", "",
              [](const NodeParams& p) { return static_cast<double>(p.basin.check_dams); });
  build.param("ponding_m", "Depth from the cut's invert, or the second's, to the mulch", "m",
              [](const NodeParams& p) { return p.basin.ponding_m; });
  build.param("infiltration_mm_h", "Design rate on the floor", "mm/h",
              [](const NodeParams& p) { return p.basin.infiltration_m_s * kMillimetresPerHour; });
  build.words("infiltration_origin", "Where that rate comes from", [&facts](std::int32_t node) {
    const std::int32_t site = facts.preparation->model.network.site[at(node)];
    const bool own = site >= 0 && facts.inputs->overrides[at(site)].infiltration_m_s;
    return text(field_origin(facts, node, study::FieldValue::Infiltration,
                             own ? std::string_view("study") : facts.settings->basin.infiltration_origin));
  });
  build.param("invert_level_m", "Level of the cut's invert", "m",
              [](const NodeParams& p) { return p.basin.invert_m; });
  build.param("rim_level_m", "Lowest point of the rim", "m",
              [](const NodeParams& p) { return p.basin.rim_m; });
  build.words("rim_origin", "Where that level comes from: measured, or fitted to the heights",
              [&facts](std::int32_t node) {
                return text(field_origin(facts, node, study::FieldValue::RimLevel, "fitted"));
              });
  build.param("rim_above_invert_m", "Rim above the invert; below 0 it spills to the lots", "m",
              [](const NodeParams& p) { return p.basin.rim_m - p.basin.invert_m; });
  const study::ChainModel* model = &build.model();
  build.words("when_full", "Where the water goes when it is full",
              [&facts](std::int32_t node) { return text(when_full_words(facts, node)); });
  build.words("same_ground_as", "Another basin drawn on the same ground: build only one of them",
              [&facts](std::int32_t node) {
                const std::vector<std::int32_t>& overlaps = facts.preparation->maps.overlaps;
                const std::int32_t other = at(node) < overlaps.size() ? overlaps[at(node)] : -1;
                return text(other < 0 ? std::string() : facts.preparation->model.network.id[at(other)]);
              });
  build.words("rim_spills_to", "Who would get water over the rim", [&facts, model](std::int32_t node) {
    return text(node_words(facts, model->params[at(node)].basin.rim_to));
  });
}

/// What is dug and built; empty for a basin without a floor.
void add_basin_work(const RunFacts& facts, Builder& build) {
  const auto figure = [&](std::string name, std::string title, std::string unit,
                          double (*value)(const siting::DugFigures&)) {
    build.number(std::move(name), std::move(title), std::move(unit), [&facts, value](std::int32_t node) {
      const std::optional<siting::DugBasin> basin = dug_basin(facts, node);
      return basin ? Cell(value(siting::figures_of(*basin))) : Cell();
    });
  };
  figure("rim_length_m", "Rim of the dug slopes along the curb", "m",
         [](const siting::DugFigures& f) { return f.rim_length_m; });
  figure("rim_width_m", "Rim of the dug slopes square to the curb", "m",
         [](const siting::DugFigures& f) { return f.rim_width_m; });
  figure("floor_m2", "Level floor", "m2", [](const siting::DugFigures& f) { return f.floor_m2; });
  figure("dug_m3", "Soil dug, as it lies in the ground, from the top of the curb down", "m3",
         [](const siting::DugFigures& f) { return f.dug_m3(); });
  const auto amount = [&](std::string name, std::string title, double siting::Materials::*member) {
    build.number(std::move(name), std::move(title), "m3", [&facts, member](std::int32_t node) {
      const std::optional<siting::Materials> materials = materials_of(facts, node);
      return materials ? Cell((*materials).*member) : Cell();
    });
  };
  amount("soil_out_m3", "The same loosened, on the truck", &siting::Materials::soil_out_m3);
  amount("stone_m3", "Stone at the mouth", &siting::Materials::stone_m3);
  amount("mulch_m3", "Mulch", &siting::Materials::mulch_m3);
  build.whole("plants", "Plants", [&facts](std::int32_t node) {
    const std::optional<siting::Materials> materials = materials_of(facts, node);
    return materials ? Cell(materials->plants) : Cell();
  });
  build.number("cost", "Cost in the currency of [money], of what has a price; empty = no price given", "",
               [&facts](std::int32_t node) {
                 const std::optional<siting::Materials> materials = materials_of(facts, node);
                 const siting::Cost cost = materials ? cost_of(facts, *materials, 1) : siting::Cost{};
                 return cost.total ? Cell(*cost.total) : Cell();
               });
  build.words("cost_words", "The same in words, with what has no price", [&facts](std::int32_t node) {
    const std::optional<siting::Materials> materials = materials_of(facts, node);
    return materials ? text(siting::cost_words(cost_of(facts, *materials, 1), facts.settings->money.currency))
                     : Cell();
  });
}

void add_when_full(const RunFacts& facts, Sheet& sheet) {
  for (NodeColumn& column : full_columns(facts)) sheet.columns.push_back(std::move(column));
}

Sheet basins_sheet(const RunFacts& facts) {
  Sheet sheet;
  sheet.name = "basins";
  sheet.title = "Basins";
  sheet.description = "The basin behind each cut: its size, its two ways out, and what it did in each storm.";
  Builder build(facts, sheet);
  build.take({NodeKind::Cut});
  build.id();
  build.where();
  add_basin_shape(facts, build);
  add_basin_work(facts, build);
  add_year(facts, build);
  add_when_full(facts, sheet);
  build.after("entered_{}_m3", "Water in through the cut", "m3", &NodeResult::entered_m3);
  build.after("returned_{}_m3", "Water back through the cut", "m3", &NodeResult::returned_m3);
  build.after("rain_on_{}_m3", "Rain that fell into the basin", "m3", &NodeResult::rain_on_m3);
  build.after("infiltrated_{}_m3", "Water soaked in", "m3", &NodeResult::infiltrated_m3);
  build.after("stored_at_end_{}_m3", "Still standing at the end", "m3", &NodeResult::stored_at_end_m3);
  build.after("over_rim_{}_m3", "Water over the rim", "m3", &NodeResult::over_rim_m3);
  build.after("pool_{}_m", "Deepest pool above the mulch", "m", &NodeResult::max_pool_m);
  build.first_minute("filled_{}_min", "Minute at which it was full; empty = never",
                     &NodeResult::filled_minute);
  return sheet;
}

Sheet existing_basins_sheet(const RunFacts& facts) {
  Sheet sheet;
  sheet.name = "existing_basins";
  sheet.title = "Existing basins";
  sheet.description = "Basins that are there already: what they take without and with the cuts above them.";
  Builder build(facts, sheet);
  build.take({NodeKind::Basin});
  build.id();
  build.where();
  build.areas();
  add_basin_shape(facts, build);
  build.param("opening_m", "Length of the opening", "m",
              [](const study::NodeParams& p) { return p.opening_m; });
  build.downstream();
  build.before("arriving_before_{}_m3", "Water that comes by, without cuts", "m3", &NodeResult::arriving_m3);
  build.after("arriving_{}_m3", "Water that comes by, with cuts", "m3", &NodeResult::arriving_m3);
  build.before("captured_before_{}_m3", "Water that it takes, without cuts", "m3", &NodeResult::captured_m3);
  build.after("captured_{}_m3", "Water that it takes, with cuts", "m3", &NodeResult::captured_m3);
  build.before("over_rim_before_{}_m3", "Water over its rim, without cuts", "m3", &NodeResult::over_rim_m3);
  build.after("over_rim_{}_m3", "Water over its rim, with cuts", "m3", &NodeResult::over_rim_m3);
  return sheet;
}

Sheet outfalls_sheet(const RunFacts& facts) {
  Sheet sheet;
  sheet.name = "outfalls";
  sheet.title = "Outfalls";
  sheet.description = "Where the street's water leaves the study, without and with the cuts.";
  Builder build(facts, sheet);
  build.take({NodeKind::Outfall, NodeKind::DataEdge});
  build.id();
  build.where();
  build.words("kind", "What it is", [network = &build.network()](std::int32_t node) {
    return Cell(std::string(network->kind[at(node)] == NodeKind::Outfall ? "outfall" : "edge of the data"));
  });
  build.areas();
  add_ends(build);
  return sheet;
}

void add_inlet_kind(const RunFacts& facts, Builder& build) {
  const study::ChainModel* model = &build.model();
  const auto input = [&facts, model](std::int32_t node) {
    const std::int32_t site = model->network.site[at(node)];
    return site < 0 || facts.inputs->overrides.empty() ? study::InletInput{}
                                                       : facts.inputs->overrides[at(site)].inlet;
  };
  build.words("kind", "curb_opening, grate or slotted", [model](std::int32_t node) {
    const water::InletKind kind = model->params[at(node)].inlet;
    return Cell(std::string(kind == water::InletKind::Grate     ? "grate"
                            : kind == water::InletKind::Slotted ? "slotted"
                                                                : "curb_opening"));
  });
  build.words("rating", "Table that says what it takes, instead of the formulas",
              [input](std::int32_t node) { return text(input(node).rating_name); });
  build.words("outlet", "Where its water comes up again; empty = it is gone",
              [input](std::int32_t node) { return text(input(node).outlet); });
  build.words("outlet_leads_to", "Place that this water reaches next", [&facts, model](std::int32_t node) {
    const std::int32_t to = model->params[at(node)].pipe_to;
    return text(to < 0 ? std::string() : node_words(facts, to));
  });
}

Sheet inlets_sheet(const RunFacts& facts) {
  Sheet sheet;
  sheet.name = "inlets";
  sheet.title = "Drain inlets";
  sheet.description = "Drain inlets, without and with the cuts above them.";
  Builder build(facts, sheet);
  build.take({NodeKind::Inlet});
  build.id();
  build.where();
  build.areas();
  using study::NodeParams;
  build.param("opening_m", "Length of the opening", "m", [](const NodeParams& p) { return p.opening_m; });
  build.param("clogging_percent", "Share taken as clogged", "%",
              [](const NodeParams& p) { return p.clogging * kPercent; });
  add_inlet_kind(facts, build);
  build.downstream();
  build.before("arriving_before_{}_m3", "Water that comes, without cuts", "m3", &NodeResult::arriving_m3);
  build.after("arriving_{}_m3", "Water that comes, with cuts", "m3", &NodeResult::arriving_m3);
  build.before("taken_before_{}_m3", "Water into the drain, without cuts", "m3", &NodeResult::into_inlet_m3);
  build.after("taken_{}_m3", "Water into the drain, with cuts", "m3", &NodeResult::into_inlet_m3);
  build.before("peak_before_{}_l_s", "Peak that arrives, without cuts", "L/s",
               &NodeResult::peak_arriving_m3_s, kLitres);
  build.after("peak_after_{}_l_s", "Peak that arrives, with cuts", "L/s", &NodeResult::peak_arriving_m3_s,
              kLitres);
  return sheet;
}

Sheet sags_sheet(const RunFacts& facts) {
  Sheet sheet;
  sheet.name = "sags";
  sheet.title = "Sags";
  sheet.description = "Hollows of the street where water ponds before it finds a way out.";
  Builder build(facts, sheet);
  build.take({NodeKind::Sag});
  const street::Network& network = build.network();
  build.id();
  build.where();
  build.areas();
  build.network_number("depth_m", "Spill level above the deepest ground", "m", network.sag_depth_m);
  build.network_number("volume_m3", "Water it holds up to its spill level", "m3", network.sag_volume_m3);
  build.network_number("pond_area_m2", "Water surface at its spill level", "m2", network.sag_area_m2);
  build.network_number("bottom_level_m", "Deepest ground", "m", network.sag_bottom_m);
  build.network_number("spill_level_m", "Level at which it spills", "m", network.sag_spill_m);
  build.downstream();
  build.before("arriving_before_{}_m3", "Water that comes, without cuts", "m3", &NodeResult::arriving_m3);
  build.after("arriving_{}_m3", "Water that comes, with cuts", "m3", &NodeResult::arriving_m3);
  build.before("depth_before_{}_m", "Deepest water, without cuts", "m", &NodeResult::max_depth_m);
  build.after("depth_after_{}_m", "Deepest water, with cuts", "m", &NodeResult::max_depth_m);
  return sheet;
}

base::Table table_of(const Sheet& sheet, const RunFacts& facts) {
  base::Table table;
  table.name = sheet.name;
  table.title = sheet.title;
  table.description = sheet.description;
  for (const NodeColumn& column : sheet.columns) {
    table.columns.push_back(column.column);
  }
  for (const StormComparison& storm : *facts.storms) {
    for (const StormColumn& column : sheet.storm_columns) {
      Column named = column.column;
      named.name = storm_column_name(column.column.name, storm.storm.id);
      named.title = fmt::format("{} ({})", column.column.title, storm.storm.title);
      table.columns.push_back(std::move(named));
    }
  }
  for (const std::int32_t node : sheet.nodes) {
    std::vector<Cell> row;
    row.reserve(table.columns.size());
    for (const NodeColumn& column : sheet.columns) {
      row.push_back(column.value(node));
    }
    for (const StormComparison& storm : *facts.storms) {
      for (const StormColumn& column : sheet.storm_columns) {
        row.push_back(column.value(storm, node));
      }
    }
    table.rows.push_back(std::move(row));
  }
  base::check(table);
  return table;
}

}  // namespace curbshed::report
