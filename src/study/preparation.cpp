#include "curbshed/study/preparation.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/base/names.hpp"

#include "study/basin_sites.hpp"
#include "study/drain_pipes.hpp"
#include "study/node_water.hpp"
#include "study/opening_fill.hpp"
#include "study/reach_profile.hpp"
#include "study/travel_times.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>
#include <utility>

namespace curbshed::study {
namespace {

using base::ensure;
using base::NoteId;
using street::NodeKind;

constexpr double kTimeBin_s = 10.0;
// Of inlets that do not say; common practice, no source.
constexpr double kGrateWidth_m = 0.45;
constexpr double kSlotWidth_m = 0.045;
constexpr double kGrateOpen = 0.5;
constexpr std::int64_t kStripes = 64;
constexpr double kRimWidth_m = 1.0;  // length of rim that spills: common practice, no source

terrain::CurbSettings curb_settings(const StreetSettings& street) {
  terrain::CurbSettings out;
  out.vertical_height_m = street.curb_height_m;
  out.rolled_height_m = street.rolled_height_m;
  out.lip_m = street.lip_m;
  out.lowering_m = street.lowering_m;
  out.fade_m = street.fade_m;
  out.default_cross_slope = street.cross_slope;
  return out;
}

street::NetworkSettings network_settings(const Settings& settings) {
  street::NetworkSettings out;
  out.snap_m = settings.street.snap_m;
  out.inlet_snap_m = settings.street.snap_m;
  out.elevation_error_m = settings.ground.elevation_error_m;
  out.error_range_m = settings.ground.error_range_m;
  out.sag_least_area_m2 = settings.ground.sag_least_area_m2;
  out.sag_depth_errors = settings.ground.sag_depth_errors;
  out.default_cross_slope = settings.street.cross_slope;
  return out;
}

void check(const StudyInputs& inputs) {
  const std::int64_t cells = inputs.ground.frame.cells();
  ensure(inputs.ground.height_m.cells() == cells && inputs.ground.valid.cells() == cells,
         "the ground fills its frame");
  ensure(inputs.loss_class.cells() == cells && !inputs.loss_classes.empty(), "every cell has a loss class");
  ensure(inputs.pavement.empty() || inputs.pavement.cells() == cells, "pavement is on the ground's grid");
  ensure(inputs.roof.empty() || inputs.roof.cells() == cells, "roofs are on the ground's grid");
  ensure(inputs.curb_facts.empty() || inputs.curb_facts.size() == inputs.curbs.size(), "facts: one a curb");
  ensure(inputs.gutters.empty() || inputs.gutters.size() == inputs.curbs.size(), "gutters: one a curb");
  ensure(inputs.overrides.empty() || inputs.overrides.size() == inputs.sites.size(), "overrides: one a site");
  ensure(inputs.tank.empty() ? inputs.tanks.empty() : inputs.tank.cells() == cells,
         "tanks are on the ground's grid");
  const auto& losses = inputs.loss_class.values();
  ensure(losses.empty() || *std::max_element(losses.begin(), losses.end()) < inputs.loss_classes.size(),
         "loss classes are in their list");
}

/// Opening and gutter of every node, basin measures of the cuts; rims come later.
class NodeFiller {
 public:
  NodeFiller(const StudyInputs& inputs, const Settings& settings, ChainModel& model)
      : inputs_(inputs), settings_(settings), model_(model) {}

  void fill(std::size_t node) {
    const street::Network& network = model_.network;
    NodeParams& params = model_.params[node];
    params.grade = std::max(network.grade[node], settings_.street.least_grade);
    params.cross_slope =
        network.cross_slope[node] > 0.0 ? network.cross_slope[node] : settings_.street.cross_slope;
    params.roughness = settings_.street.roughness;
    params.section = section(node, params);
    if (street::has_basin(network.kind[node])) {
      fill_cut(node, params);
    } else if (network.kind[node] == NodeKind::Inlet) {
      fill_inlet(node, params);
    } else {
      return;
    }
    const std::string& id = network.id[node];
    if (network.grade[node] < settings_.street.least_grade && network.in_sag[node] < 0) {
      model_.notes.add(NoteId::GradeBelowFormula, network.grade[node], id);
    }
    const std::int32_t curb = network.curb[node];
    if (network.kind[node] == NodeKind::Cut && curb >= 0 && !inputs_.curb_facts.empty() &&
        !inputs_.curb_facts[static_cast<std::size_t>(curb)].water_runs_along) {
      model_.notes.add(NoteId::CutWithoutGutter, 0.0, id);
    }
    if (params.opening_m > 0.0 && params.opening_m < water::kShortestTestedOpening_m &&
        params.basin.kind != BasinKind::InLine) {
      model_.notes.add(NoteId::OpeningOutsideTests, params.opening_m, id);
    }
  }

  /// Where a cut's infiltration comes from when nobody measured it on the street.
  std::string_view infiltration_from(std::size_t node) const {
    return overrides(node).infiltration_m_s ? std::string_view("study")
                                            : std::string_view(settings_.basin.infiltration_origin);
  }

  bool only_looked_at(std::size_t node) const { return overrides(node).only_looked_at; }

  double safety_factor() const { return settings_.basin.safety_factor; }

  BasinOffset offset(std::size_t node) const {
    return {.setback_m = overrides(node).setback_m.value_or(settings_.basin.setback_m),
            .mouth_at = overrides(node).mouth_at.value_or(settings_.basin.mouth_at)};
  }

 private:
  const SiteOverrides& overrides(std::size_t node) const {
    static const SiteOverrides none;
    const std::int32_t site = model_.network.site[node];
    return site < 0 || inputs_.overrides.empty() ? none : inputs_.overrides[static_cast<std::size_t>(site)];
  }

  base::Where where(std::size_t node) const {
    const std::int32_t site = model_.network.site[node];
    return {"", site < 0 ? "cuts" : inputs_.sites[static_cast<std::size_t>(site)].source,
            model_.network.id[node]};
  }

  void fill_cut(std::size_t node, NodeParams& params) {
    const SiteOverrides& own = overrides(node);
    const BasinSettings& usual = settings_.basin;
    params.opening_m = own.opening_m.value_or(usual.opening_m);
    params.clogging = own.clogging.value_or(usual.opening_clogging);
    fill_opening_kind(own, usual, model_.network.curb_height_m[node], where(node), params);
    BasinParams& basin = params.basin;
    basin.length_m = own.basin_length_m.value_or(usual.length_m);
    basin.width_m = own.basin_width_m.value_or(usual.width_m);
    basin.side_slope = own.side_slope.value_or(usual.side_slope);
    basin.ponding_m = own.ponding_m.value_or(usual.ponding_m);
    basin.infiltration_m_s = own.infiltration_m_s.value_or(usual.infiltration_m_s);
    basin.soaks_wetted = usual.soaks_over == "wetted";
    basin.evaporation_m_s = usual.evaporation_m_s;
    basin.mulch_m = settings_.room.mulch_m;
    basin.mulch_voids = own.volume_told ? 0.0 : usual.mulch_voids;
    basin.start_share = usual.start_share;
    fill_basin_kind(own, usual, model_.network.in_sag[node] >= 0, where(node), params);
    basin.invert_m =
        model_.network.gutter_level_m[node] - dip_m(params.section) - invert_below_gutter_m(params);
    basin.rim_width_m = kRimWidth_m;
  }

  SectionParams section(std::size_t node, const NodeParams& params) const {
    const std::int32_t curb = model_.network.curb[node];
    GutterPlace place{
        .cross_slope = params.cross_slope, .file = settings_.file, .id = model_.network.id[node]};
    if (curb >= 0 && !inputs_.curb_facts.empty()) {
      const std::int32_t block = inputs_.curb_facts[static_cast<std::size_t>(curb)].block;
      if (block >= 0) place.street_width_m = inputs_.blocks[static_cast<std::size_t>(block)].width_m;
    }
    const bool told = curb >= 0 && !inputs_.gutters.empty();
    return section_of(told ? inputs_.gutters[static_cast<std::size_t>(curb)] : GutterInput{},
                      settings_.gutter, place);
  }

  void fill_inlet(std::size_t node, NodeParams& params) {
    const SiteOverrides& own = overrides(node);
    params.throat_m = own.throat_m;
    params.local_dip_m = own.dip_m.value_or(0.0);
    params.local_dip_width_m = own.dip_width_m.value_or(settings_.basin.dip_width_m);
    params.opening_m = own.opening_m.value_or(settings_.street.inlet_length_m);
    const bool grate = own.inlet.kind == water::InletKind::Grate;
    params.clogging =
        own.clogging.value_or(grate ? settings_.street.grate_clogging : settings_.street.inlet_clogging);
    params.inlet = own.inlet.kind;
    params.inlet_width_m = own.inlet.width_m.value_or(grate ? kGrateWidth_m : kSlotWidth_m);
    params.inlet_open_share = own.inlet.open_share.value_or(kGrateOpen);
    params.splash_over_m_s = own.inlet.splash_over_m_s;
    params.rating = own.inlet.rating;
    params.pipe_limit_m3_s = own.pipe_limit_m3_s.value_or(0.0);
    params.blocked = settings_.street.inlets_blocked;
    if (!own.opening_m && own.inlet.rating < 0) {
      model_.notes.add(NoteId::InletAssumed, 0.0, model_.network.id[node]);
    }
  }

  const StudyInputs& inputs_;
  const Settings& settings_;
  ChainModel& model_;
};

base::InputError named(const base::InputError& error, const StudyInputs& inputs,
                       const street::Network& network, std::size_t node) {
  const std::int32_t site = network.site[node];
  return error.located(
      {"", site < 0 ? "cuts" : inputs.sites[static_cast<std::size_t>(site)].source, network.id[node]});
}

/// Convex polygons share ground unless a line along one of their edges parts them.
bool share_ground(const base::Polygon& a, const base::Polygon& b) {
  for (const auto& [one, other] : {std::pair(&a, &b), std::pair(&b, &a)}) {
    const base::Polyline& ring = one->rings.front();  // counter-clockwise
    const base::Polyline& points = other->rings.front();
    for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
      bool apart = true;
      for (const base::Point& c : points) {
        const double left = (ring[i + 1].x_m - ring[i].x_m) * (c.y_m - ring[i].y_m) -
                            (ring[i + 1].y_m - ring[i].y_m) * (c.x_m - ring[i].x_m);
        apart = apart && left <= 0.0;
      }
      if (apart) {
        return false;
      }
    }
  }
  return true;
}

void find_overlaps(const street::Network& network, base::Notes& notes, MapProducts& maps) {
  constexpr double kFar_m = 250.0;  // twice the largest basin and its setback
  maps.overlaps.assign(network.size(), -1);
  std::vector<std::size_t> west_to_east;
  for (std::size_t a = 0; a < network.size(); ++a) {
    if (!maps.basins[a].rings.empty()) {
      west_to_east.push_back(a);
    }
  }
  std::sort(west_to_east.begin(), west_to_east.end(),
            [&](std::size_t a, std::size_t b) { return network.at[a].x_m < network.at[b].x_m; });
  const auto lower = [&](std::int32_t& found, std::size_t other) {  // the first that a list of all would meet
    const auto n = static_cast<std::int32_t>(other);
    found = found < 0 ? n : std::min(found, n);
  };
  for (std::size_t i = 0; i < west_to_east.size(); ++i) {
    const std::size_t a = west_to_east[i];
    for (std::size_t k = i + 1; k < west_to_east.size(); ++k) {
      const std::size_t b = west_to_east[k];
      if (network.at[b].x_m - network.at[a].x_m >= kFar_m) {
        break;
      }
      if (std::abs(network.at[b].y_m - network.at[a].y_m) < kFar_m &&
          base::distance_m(network.at[a], network.at[b]) < kFar_m &&
          share_ground(maps.basins[a], maps.basins[b])) {
        lower(maps.overlaps[a], b);
        lower(maps.overlaps[b], a);
      }
    }
  }
  for (std::size_t a = 0; a < network.size(); ++a) {
    if (maps.overlaps[a] >= 0) {
      notes.add(NoteId::BasinsOverlap, 0.0, network.id[a]);
    }
  }
}

/// Returns the cells under basins, by cell; where two share ground it is the first one's.
std::vector<street::CellUnder> place_basins(const StudyInputs& inputs, const NodeFiller& filler,
                                            FieldNotes& field, ChainModel& model, MapProducts& maps) {
  const street::Network& network = model.network;
  std::vector<street::CellUnder> under;
  const StationBins stations(maps.curbs);
  maps.basins.resize(network.size());
  for (std::size_t node = 0; node < network.size(); ++node) {
    if (!street::has_basin(network.kind[node])) {
      continue;
    }
    BasinParams& basin = model.params[node].basin;
    basin.rim_m = basin.invert_m;
    try {
      basin_of(model.params[node], model.ponded, "");  // its shape holds, or the user is told why not
    } catch (const base::InputError& error) {
      throw named(error, inputs, network, node);
    }
    const BasinSite site =
        basin_site({.inputs = &inputs, .stations = &stations, .street = &maps.street}, network, node, basin,
                   filler.offset(node), field.crest_m(network, node));
    basin.rim_m = site.rim_m;
    basin.rim_at = site.rim_at;
    basin.rim_to = site.rim_to;
    field.correct_basin(network, node, filler.infiltration_from(node), basin);
    basin.infiltration_m_s /= filler.safety_factor();
    maps.basins[node] = site.water_line;
    basin.rain_m2 = basin.length_m * basin.width_m;
    if (!filler.only_looked_at(node)) {
      for (const std::int64_t cell : site.cells) under.push_back({cell, static_cast<std::int32_t>(node)});
    }
    if (basin.rim_below_invert()) {
      model.notes.add(NoteId::BasinSpillsOverRim, basin.invert_m - basin.rim_m, network.id[node]);
    }
    if (site.unknown_m2 > 0.0) {
      model.notes.add(NoteId::BasinGroundUnknown, site.unknown_m2, network.id[node]);
    }
    if (site.hard_m2 > 0.0) {
      model.notes.add(NoteId::BasinOnHardGround, site.hard_m2, network.id[node]);
    }
    if (site.across_gap) {
      model.notes.add(NoteId::BasinAcrossDriveway, 0.0, network.id[node]);
    }
  }
  find_overlaps(network, model.notes, maps);
  std::sort(under.begin(), under.end(), [](const street::CellUnder& a, const street::CellUnder& b) {
    return a.cell != b.cell ? a.cell < b.cell : a.basin < b.basin;
  });
  under.erase(
      std::unique(under.begin(), under.end(),
                  [](const street::CellUnder& a, const street::CellUnder& b) { return a.cell == b.cell; }),
      under.end());
  return under;
}

/// Cell centres from where a node's water runs on to the first cell of the next; middle points of straight
/// parts left out.
base::Polyline gutter_line(const terrain::GridFrame& frame, const street::StreetModel& street,
                           std::int32_t downstream, std::int64_t from) {
  base::Polyline line;
  std::uint8_t last = terrain::kNoGround;
  for (std::int64_t cell = from; cell >= 0; cell = terrain::next_cell(street.directions, cell)) {
    const std::uint8_t direction = street.directions[cell];
    const bool there = cell != from && street.receiver_at[cell] == downstream;
    if (cell == from || direction != last || there) {
      line.push_back(frame.centre(cell));
    }
    last = direction;
    if (there) {
      break;
    }
  }
  return line;
}

void draw_gutters(const StudyInputs& inputs, const street::Network& network, MapProducts& maps) {
  maps.gutters.resize(network.size());
  for (std::size_t node = 0; node < network.size(); ++node) {
    const std::int64_t from = maps.street.leaves_at[node];
    if (network.downstream[node] >= 0 && from >= 0) {
      maps.gutters[node] = gutter_line(inputs.ground.frame, maps.street, network.downstream[node], from);
    }
  }
  for (std::size_t i = 0; i < network.second_ways.size(); ++i) {
    maps.second_gutters.push_back(gutter_line(inputs.ground.frame, maps.street, network.second_ways[i].to,
                                              maps.street.second_leaves_at[i]));
  }
}

void number_houses(const StudyInputs& inputs, const street::Network& network, MapProducts& maps) {
  constexpr double kNear_m = 60.0;
  maps.house_numbers.resize(network.size());
  std::map<std::pair<std::int64_t, std::int64_t>, std::vector<const Address*>> bins;
  const auto bin = [](double v) { return static_cast<std::int64_t>(std::floor(v / kNear_m)); };
  for (const Address& address : inputs.addresses) {
    bins[{bin(address.at.y_m), bin(address.at.x_m)}].push_back(&address);
  }
  for (std::size_t node = 0; node < network.size() && !bins.empty(); ++node) {
    if (network.kind[node] == NodeKind::DataEdge) {
      continue;
    }
    const base::Point at = network.at[node];
    const std::int32_t face = maps.street.places[node].place.face;
    const std::string street =
        face < 0 ? std::string()
                 : base::plain_name(maps.street.faces.faces()[static_cast<std::size_t>(face)].street);
    std::tuple<double, std::string> best{kNear_m, ""};
    for (std::int64_t row = bin(at.y_m) - 1; row <= bin(at.y_m) + 1; ++row) {
      for (std::int64_t col = bin(at.x_m) - 1; col <= bin(at.x_m) + 1; ++col) {
        const auto found = bins.find({row, col});
        for (std::size_t i = 0; found != bins.end() && i < found->second.size(); ++i) {
          const Address& address = *found->second[i];
          if (address.street.empty() || street.empty() || base::plain_name(address.street) == street) {
            best = std::min(best, std::tuple(base::distance_m(at, address.at), address.number));
          }
        }
      }
    }
    maps.house_numbers[node] = std::get<1>(best);
  }
}

/// Said here, before a cut would complain that its curb is not there.
void refuse_lost_curbs(const StudyInputs& inputs, const terrain::CurbField& field) {
  if (inputs.curbs.empty() || field.set_aside.size() < inputs.curbs.size()) {
    return;
  }
  throw base::InputError(
      {"", "street.curbs", inputs.curbs[static_cast<std::size_t>(field.set_aside.front())].id},
      "none of the curbs can be used; this one: " + field.set_aside_reason.front(),
      "curbs inside the elevation whose street side is known",
      "give a pavement layer, or street_side (left or right) in the curb layer");
}

void count_roofs_over_holes(const StudyInputs& inputs, ChainModel& model, MapProducts& maps) {
  if (inputs.roof.empty()) {
    return;
  }
  std::int64_t cells = 0;
  for (std::int64_t cell = 0; cell < inputs.roof.cells(); ++cell) {
    cells += inputs.roof[cell] != 0 && inputs.ground.valid[cell] == 0 ? 1 : 0;
  }
  maps.roof_over_hole_m2 = static_cast<double>(cells) * inputs.ground.frame.cell_area_m2();
  if (cells > 0) {
    model.notes.add(NoteId::RoofOverHole, maps.roof_over_hole_m2);
  }
}

void time_cells(const StudyInputs& inputs, const Settings& settings, const terrain::WorkPlan& plan,
                const std::vector<street::CellUnder>& under_basins, ChainModel& model, MapProducts& maps) {
  const TravelTimes times = travel_times(inputs, maps.curbs, maps.street, settings.rain, plan);
  if (times.floor_cells > 0) {
    maps.slope_floor_share = static_cast<double>(times.floor_cells) / static_cast<double>(times.timed_cells);
    model.notes.add(NoteId::SlopeAtFloor, 0.0, {}, times.floor_cells);
  }
  model.contribution = street::contributions(inputs.ground.frame, maps.street.first_receiver,
                                             inputs.loss_class, times.to_gutter_1024, times.in_gutter_1024,
                                             static_cast<std::int64_t>(model.network.size()), kTimeBin_s,
                                             {plan.threads}, inputs.tank, under_basins);
  model.tanks = inputs.tanks;
  model.tanks_are_new = settings.lots.tank.when == "new";
  measure_roofs(model);
  for (const LotTank& lot : model.tanks) {
    if (lot.node < 0) model.notes.add(NoteId::TankWithoutRoof, 0.0, lot.lot);
  }
  // Whole sixteenths of a second: nobody knows it better, and the raster is written in half the time.
  constexpr std::int64_t kOf1024 = 64;
  const terrain::GridFrame& frame = inputs.ground.frame;
  maps.travel_time_s = terrain::Grid<float>::unwritten(frame.rows, frame.cols);
  base::parallel_stripes(frame.cells(), kStripes, {plan.threads}, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t cell = begin; cell < end; ++cell) {
      const std::int64_t sixteenths = (times.to_gutter_1024[cell] + kOf1024 / 2) / kOf1024;
      maps.travel_time_s[cell] = static_cast<float>(sixteenths) / 16.0F;
    }
  });
}

}  // namespace

terrain::CurbField place_study_curbs(const StudyInputs& inputs, const Settings& settings,
                                     base::Workers workers, const base::Progress& progress) {
  check(inputs);
  progress.stage(stage::kCurbs);
  terrain::CurbField curbs = terrain::place_curbs(inputs.ground, inputs.pavement, inputs.curbs,
                                                  curb_settings(settings.street), workers, progress);
  refuse_lost_curbs(inputs, curbs);
  if (!inputs.walls.empty()) {
    curbs.walls = terrain::with_yard_walls(inputs.ground, inputs.pavement, curbs.walls, inputs.walls,
                                           settings.lots.wall_height_m);
  }
  return curbs;
}

Preparation prepare(const StudyInputs& inputs, const Settings& settings, const terrain::WorkPlan& plan,
                    const base::Progress& progress) {
  const terrain::KeptGridMemory reuse;
  return prepare(inputs, settings, plan, place_study_curbs(inputs, settings, {plan.threads}, progress),
                 progress);
}

Preparation prepare(const StudyInputs& inputs, const Settings& settings, const terrain::WorkPlan& plan,
                    terrain::CurbField curbs, const base::Progress& progress) {
  check(inputs);
  const terrain::KeptGridMemory reuse;
  Preparation out;
  ChainModel& model = out.model;
  MapProducts& maps = out.maps;
  model.notes = inputs.notes;
  model.loss_classes = inputs.loss_classes;
  model.ratings = inputs.ratings;
  const OpeningSettings& opening = settings.opening;
  model.on_grade = {.length = opening.length_factor,
                    .flow_power = opening.flow_power,
                    .grade_power = opening.grade_power,
                    .roughness_power = opening.roughness_power,
                    .efficiency_power = opening.efficiency_power};
  model.ponded = ponded_table(opening);

  maps.curbs = std::move(curbs);
  model.notes.merge(maps.curbs.notes);
  progress.stage(stage::kWater);
  maps.street = street::build_street({.ground = &inputs.ground,
                                      .pavement = &inputs.pavement,
                                      .roof = &inputs.roof,
                                      .curbs = &inputs.curbs,
                                      .field = &maps.curbs,
                                      .sites = &inputs.sites,
                                      .flow_lines = &inputs.flow_lines,
                                      .corner_points = &inputs.corner_points},
                                     network_settings(settings), plan, progress);
  model.notes.merge(maps.street.notes);
  model.network = std::exchange(maps.street.network, {});
  FieldNotes field(inputs.field, model.network, maps.street.places, settings.street.snap_m);
  field.correct_network(model.network);
  street::note_fits(model.network, model.notes);

  progress.stage(stage::kBasins);
  model.params.resize(model.network.size());
  NodeFiller filler(inputs, settings, model);
  for (std::size_t node = 0; node < model.network.size(); ++node) {
    filler.fill(node);
  }
  const std::vector<street::CellUnder> under_basins = place_basins(inputs, filler, field, model, maps);
  progress.stage(stage::kTimes);
  time_cells(inputs, settings, plan, under_basins, model, maps);
  lead_pipes(inputs, settings.street.snap_m, maps, model);
  draw_gutters(inputs, model.network, maps);
  model.least_grade = settings.street.least_grade;
  model.reaches = reach_sections(StationBins(maps.curbs), maps.gutters, model.network);
  number_houses(inputs, model.network, maps);
  progress.stage(stage::kAreas);
  maps.areas = terrain::trace_areas(inputs.ground.frame, maps.street.first_receiver);
  count_roofs_over_holes(inputs, model, maps);
  if (!inputs.inlets_given) {
    model.notes.add(NoteId::DrainsNotGiven);
  }
  out.field = field.finish(model, settings.street.dry_area_m2);
  study::check(model);
  return out;
}

}  // namespace curbshed::study
