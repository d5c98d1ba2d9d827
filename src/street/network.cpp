#include "curbshed/street/network.hpp"

#include "curbshed/base/error.hpp"

#include "street/asked_ways.hpp"
#include "street/chain_order.hpp"
#include "street/corner_ways.hpp"
#include "street/edge_marks.hpp"
#include "street/grades.hpp"
#include "street/place_naming.hpp"
#include "street/reaches.hpp"
#include "street/sags.hpp"
#include "street/shared_corners.hpp"
#include "street/side_ways.hpp"
#include "street/snapping.hpp"

#include <algorithm>
#include <functional>
#include <tuple>

namespace curbshed::street {

namespace detail {

const terrain::Grid<std::uint8_t>& UnloweredWays::directions() {
  if (directions_.empty()) {
    const terrain::Grid<float> levels = terrain::water_levels(ground_, walls_, {}, plan_);
    directions_ = terrain::flow_directions(ground_, levels, walls_, {}, plan_);
  }
  return directions_;
}

const terrain::Grid<std::int64_t>& UnloweredWays::arriving() {
  if (arriving_.empty()) arriving_ = terrain::cells_arriving(directions(), plan_);
  return arriving_;
}

namespace {

void resize(Network& net, std::size_t n) {
  net.kind.resize(n, NodeKind::DataEdge);
  net.id.resize(n);
  net.site.resize(n, -1);
  net.at.resize(n);
  net.moved_m.resize(n, 0.0);
  net.downstream.resize(n, -1);
  net.reach_length_m.resize(n, 0.0);
  net.upstream_gutter_m.resize(n, 0.0);
  net.grade.resize(n, 0.0);
  net.grade_error.resize(n, 0.0);
  net.cross_slope.resize(n, 0.0);
  net.cross_slope_error.resize(n, 0.0);
  net.cross_fall.resize(n);
  net.grade_from.resize(n, ValueFrom::Fitted);
  net.cross_slope_from.resize(n, ValueFrom::Study);
  net.gutter_level_m.resize(n, 0.0);
  net.curb_height_m.resize(n, 0.0);
  net.curb.resize(n, -1);
  net.along_curb_m.resize(n, 0.0);
  net.behind.resize(n);
  net.edge_cuts_area.resize(n, 0);
  net.edge_cuts_above.resize(n, 0);
  net.in_sag.resize(n, -1);
  net.sag_depth_m.resize(n, 0.0);
  net.sag_volume_m3.resize(n, 0.0);
  net.sag_bottom_m.resize(n, 0.0);
  net.sag_spill_m.resize(n, 0.0);
  net.sag_area_m2.resize(n, 0.0);
}

NodeKind node_kind(SiteKind kind) {
  switch (kind) {
    case SiteKind::Cut:
      return NodeKind::Cut;
    case SiteKind::Basin:
      return NodeKind::Basin;
    case SiteKind::Inlet:
      return NodeKind::Inlet;
    case SiteKind::Outfall:
      break;
  }
  return NodeKind::Outfall;
}

/// A node to be: a place, or a kept depression.
struct Seed {
  std::int64_t cell;
  NodeKind kind;
  std::string id;
  std::int32_t place;
  std::int32_t hollow;
  SitePlace named;
};

/// Places without a site are shared corners. Names of the places, then of the kept depressions in their
/// order.
std::vector<SitePlace> name_all(const Scene& scene, const std::vector<Place>& places,
                                const terrain::Depressions& hollows, const std::vector<std::uint8_t>& kept) {
  std::vector<Unnamed> list;
  for (const Place& place : places) {
    if (place.site < 0) {
      list.push_back({place.at, place.station, false, "", "corner-"});
      continue;
    }
    const Site& site = scene.sites[static_cast<std::size_t>(place.site)];
    list.push_back(
        {place.at, place.station, site.kind == SiteKind::Cut || site.kind == SiteKind::Basin, site.id, ""});
  }
  for (std::size_t i = 0; i < kept.size(); ++i) {
    if (kept[i] != 0)
      list.push_back({scene.frame().centre(hollows.list[i].deepest_cell), -1, false, "", "sag-"});
  }
  return name_places(scene, list);
}

std::vector<Seed> plant(const Scene& scene, const std::vector<Place>& places,
                        const terrain::Depressions& hollows, const std::vector<std::uint8_t>& kept) {
  std::vector<Seed> seeds;
  std::vector<SitePlace> names = name_all(scene, places, hollows, kept);
  for (std::size_t p = 0; p < places.size(); ++p) {
    const std::int32_t label = hollows.label[places[p].cell];
    const bool ponded = label >= 0 && kept[static_cast<std::size_t>(label)] != 0;
    if (places[p].site < 0) {
      seeds.push_back({places[p].cell, NodeKind::Corner, names[p].own_id, static_cast<std::int32_t>(p),
                       ponded ? label : -1, std::move(names[p])});
      continue;
    }
    const Site& site = scene.sites[static_cast<std::size_t>(places[p].site)];
    seeds.push_back({places[p].cell, node_kind(site.kind), site.id.empty() ? names[p].own_id : site.id,
                     static_cast<std::int32_t>(p), ponded ? label : -1, std::move(names[p])});
  }
  std::size_t sag = places.size();
  for (std::size_t i = 0; i < kept.size(); ++i) {
    if (kept[i] == 0) continue;
    SitePlace& named = names[sag++];
    seeds.push_back({hollows.list[i].deepest_cell, NodeKind::Sag, named.own_id, -1,
                     static_cast<std::int32_t>(i), std::move(named)});
  }
  std::sort(seeds.begin(), seeds.end(), [](const Seed& a, const Seed& b) {
    return std::tie(a.cell, a.kind, a.id) < std::tie(b.cell, b.kind, b.id);
  });
  return seeds;
}

void fill_place(const Scene& scene, const Place& place, std::size_t n, Draft& draft) {
  Network& net = draft.net;
  net.site[n] = place.site;
  net.at[n] = place.at;
  net.moved_m[n] = place.moved_m;
  draft.station[n] = place.station;
  draft.cells[n] = place.cells;
  net.gutter_level_m[n] = static_cast<double>(scene.ground.height_m[place.cell]);
  if (place.station < 0) return;
  const terrain::CurbStation& s = scene.station(place.station);
  net.gutter_level_m[n] = static_cast<double>(s.gutter_level_m);
  const double height_m = static_cast<double>(s.crest_m) - static_cast<double>(s.gutter_level_m);
  const bool no_throat = net.kind[n] == NodeKind::Inlet && scene.in_gap(place.station);
  net.curb_height_m[n] = no_throat ? 0.0 : std::max(0.0, height_m);
  net.curb[n] = s.curb;
  net.along_curb_m[n] = s.along_m;
  net.behind[n] = {-s.to_street.x_m, -s.to_street.y_m};
}

void fill_sag(const Scene& scene, const terrain::Depression& hollow, std::size_t n, Network& net) {
  net.at[n] = scene.frame().centre(hollow.deepest_cell);
  net.sag_depth_m[n] = hollow.depth_m;
  net.sag_volume_m3[n] = hollow.volume_m3;
  net.sag_spill_m[n] = static_cast<double>(hollow.spill_level_m);
  net.sag_bottom_m[n] = static_cast<double>(scene.ground.height_m[hollow.deepest_cell]);
  net.sag_area_m2[n] = static_cast<double>(hollow.cells) * scene.frame().cell_area_m2();
  net.gutter_level_m[n] = net.sag_bottom_m[n];
}

Draft make_draft(const Scene& scene, const std::vector<Place>& places, const terrain::Depressions& hollows,
                 const std::vector<std::uint8_t>& kept, std::vector<std::int32_t>& node_of_hollow) {
  std::vector<Seed> seeds = plant(scene, places, hollows, kept);
  Draft draft;
  const std::size_t count = seeds.size() + 1;
  resize(draft.net, count);
  draft.cell.assign(count, kNowhere);
  draft.station.assign(count, -1);
  draft.cells.resize(count);
  draft.places.resize(count);
  node_of_hollow.assign(hollows.list.size(), -1);
  for (std::size_t n = 0; n < seeds.size(); ++n) {
    draft.net.kind[n] = seeds[n].kind;
    draft.net.id[n] = seeds[n].id;
    draft.cell[n] = seeds[n].cell;
    draft.places[n] = std::move(seeds[n].named);
    if (seeds[n].kind == NodeKind::Sag) {
      node_of_hollow[static_cast<std::size_t>(seeds[n].hollow)] = static_cast<std::int32_t>(n);
      fill_sag(scene, hollows.list[static_cast<std::size_t>(seeds[n].hollow)], n, draft.net);
    } else {
      fill_place(scene, places[static_cast<std::size_t>(seeds[n].place)], n, draft);
    }
  }
  draft.net.id.back() = "edge";
  for (std::size_t n = 0; n < seeds.size(); ++n) {
    if (seeds[n].kind != NodeKind::Sag && seeds[n].hollow >= 0) {
      draft.net.in_sag[n] = node_of_hollow[static_cast<std::size_t>(seeds[n].hollow)];
    }
  }
  return draft;
}

template <class T>
void permute(std::vector<T>& values, const std::vector<std::int32_t>& order) {
  std::vector<T> moved;
  moved.reserve(values.size());
  for (const std::int32_t n : order) moved.push_back(values[static_cast<std::size_t>(n)]);
  values = std::move(moved);
}

void permute_all(Network& net, const std::vector<std::int32_t>& order) {
  permute(net.kind, order);
  permute(net.id, order);
  permute(net.site, order);
  permute(net.at, order);
  permute(net.moved_m, order);
  permute(net.downstream, order);
  permute(net.reach_length_m, order);
  permute(net.upstream_gutter_m, order);
  permute(net.grade, order);
  permute(net.grade_error, order);
  permute(net.cross_slope, order);
  permute(net.cross_slope_error, order);
  permute(net.cross_fall, order);
  permute(net.grade_from, order);
  permute(net.cross_slope_from, order);
  permute(net.gutter_level_m, order);
  permute(net.curb_height_m, order);
  permute(net.curb, order);
  permute(net.along_curb_m, order);
  permute(net.behind, order);
  permute(net.edge_cuts_area, order);
  permute(net.edge_cuts_above, order);
  permute(net.in_sag, order);
  permute(net.sag_depth_m, order);
  permute(net.sag_volume_m3, order);
  permute(net.sag_bottom_m, order);
  permute(net.sag_spill_m, order);
  permute(net.sag_area_m2, order);
}

template <class Moved>
void renumber_second_ways(const Moved& moved, Draft& draft) {
  std::vector<SecondWay>& ways = draft.net.second_ways;
  std::vector<std::pair<SecondWay, std::int64_t>> both;
  for (std::size_t i = 0; i < ways.size(); ++i) {
    SecondWay way = ways[i];
    way.from = moved(way.from);
    way.to = moved(way.to);
    both.emplace_back(way, draft.second_leaves_at[i]);
  }
  std::sort(both.begin(), both.end(),
            [](const auto& a, const auto& b) { return a.first.from < b.first.from; });
  for (std::size_t i = 0; i < ways.size(); ++i) {
    ways[i] = both[i].first;
    draft.second_leaves_at[i] = both[i].second;
  }
}

/// Puts everything into chain order.
void renumber(const ChainOrder& order, Draft& draft, StreetModel& model) {
  Network& net = draft.net;
  std::vector<std::int32_t> place(net.size());
  for (std::size_t k = 0; k < order.nodes.size(); ++k)
    place[static_cast<std::size_t>(order.nodes[k])] = static_cast<std::int32_t>(k);
  const auto moved = [&](std::int32_t n) { return n < 0 ? n : place[static_cast<std::size_t>(n)]; };
  permute_all(net, order.nodes);
  permute(draft.leaves_at, order.nodes);
  permute(draft.places, order.nodes);
  for (std::int32_t& n : net.downstream) n = moved(n);
  for (std::int32_t& n : net.in_sag) n = moved(n);
  renumber_second_ways(moved, draft);
  net.side_ways = order.side_ways;
  for (SideWay& way : net.side_ways) {
    way.from = moved(way.from);
    way.to = moved(way.to);
  }
  std::sort(net.side_ways.begin(), net.side_ways.end(), [](const SideWay& a, const SideWay& b) {
    return std::tie(a.from, a.begins_depth_m, a.kind, a.to) <
           std::tie(b.from, b.begins_depth_m, b.kind, b.to);
  });
  for (const auto& pair : order.pond_pairs) net.pond_pairs.push_back({moved(pair[0]), moved(pair[1])});
  std::sort(net.pond_pairs.begin(), net.pond_pairs.end());
  for (std::int64_t cell = 0; cell < model.first_receiver.cells(); ++cell) {
    model.first_receiver[cell] = moved(model.first_receiver[cell]);
    model.receiver_at[cell] = moved(model.receiver_at[cell]);
  }
  for (Corner& corner : model.corners) {
    corner.to_turn = moved(corner.to_turn);
    corner.to_cross = moved(corner.to_cross);
    for (PassedNode& passed : corner.passed) passed.node = moved(passed.node);
    std::sort(corner.passed.begin(), corner.passed.end(), [](const PassedNode& a, const PassedNode& b) {
      return std::tie(a.node, a.share) < std::tie(b.node, b.share);
    });
  }
  model.leaves_at = std::move(draft.leaves_at);
  model.second_leaves_at = std::move(draft.second_leaves_at);
  model.places = std::move(draft.places);
  model.network = std::move(net);
}

void give_rest_to_edge(const terrain::Ground& ground, std::int32_t edge,
                       terrain::Grid<std::int32_t>& first_receiver) {
  for (std::int64_t cell = 0; cell < first_receiver.cells(); ++cell) {
    if (ground.valid[cell] == 0) {
      first_receiver[cell] = -1;
    } else if (first_receiver[cell] < 0) {
      first_receiver[cell] = edge;
    }
  }
}

void note_places(const Scene& scene, const Network& net, const terrain::Grid<std::int64_t>& arriving,
                 const Draft& draft, base::Notes& notes) {
  constexpr double kMoved = 0.01;
  for (std::size_t n = 0; n < net.size(); ++n) {
    if (net.kind[n] == NodeKind::Cut && net.moved_m[n] > kMoved)
      notes.add(base::NoteId::CutSnapped, net.moved_m[n], net.id[n]);
    if (net.kind[n] == NodeKind::Cut && draft.station[n] >= 0 && scene.in_gap(draft.station[n]))
      notes.add(base::NoteId::CutOnDriveway, 0.0, net.id[n]);
    if (net.kind[n] == NodeKind::Sag) notes.add(base::NoteId::SagKept, net.sag_depth_m[n], net.id[n]);
    if (net.edge_cuts_area[n] != 0) notes.add(base::NoteId::EdgeCutsArea, 0.0, net.id[n]);
    if (net.kind[n] != NodeKind::Inlet || net.in_sag[n] >= 0) continue;
    std::int64_t most = 0;
    for (const std::int64_t cell : draft.cells[n]) most = std::max(most, arriving[cell]);
    if (most <= static_cast<std::int64_t>(draft.cells[n].size()))
      notes.add(base::NoteId::InletUnreached, 0.0, net.id[n]);
  }
}

/// What the user says of where water runs.
struct UserWays {
  const std::vector<FlowLine>& lines;
  const std::vector<CornerPoint>& points;
};

/// Everything after the sites and sags are known.
StreetModel connect(const Scene& scene, const UserWays& user, UnloweredWays& ways,
                    terrain::Grid<float> levels, const Snapped& snapped,
                    const terrain::Grid<std::uint8_t>& drains, const terrain::WorkPlan& plan,
                    const base::Progress& progress) {
  StreetModel model;
  model.set_aside_inlets = snapped.set_aside_inlets;
  for (const std::string& text : snapped.set_aside_inlets)
    model.notes.add(base::NoteId::FeatureSetAside, 0.0, text.substr(0, text.find(':')));
  progress.share(0.20);
  const terrain::Depressions hollows = terrain::find_depressions(scene.ground, levels);
  const std::vector<std::uint8_t> kept = kept_depressions(scene, hollows, snapped.places);
  model.standing_water_m = standing_water(scene.ground, hollows, kept);
  levels = {};  // makes room: grids are most of a large run's memory
  std::vector<std::int32_t> node_of_hollow;
  const CornerPlaces places = find_corners(scene);
  const std::vector<std::int32_t> corners_asked = corners_of_points(places, user.points);
  std::vector<SharedCorner> shared = shared_corners(scene, places, user.points, corners_asked);
  std::vector<Place> all_places = snapped.places;
  stand_shared_corners(scene, user.points, shared, all_places);
  Draft draft = make_draft(scene, all_places, hollows, kept, node_of_hollow);
  find_shared_nodes(user.points, draft, shared);

  progress.share(0.30);
  terrain::Ground low = terrain::lowered(scene.ground, scene.field.lowering_m);
  cut_corner_points(scene, places, user.points, corners_asked, low);
  cut_flow_lines(scene, user.lines, low);
  const terrain::Grid<float> low_levels = terrain::water_levels(low, scene.field.walls, drains, plan);
  model.directions = terrain::flow_directions(low, low_levels, scene.field.walls, drains, plan);
  low = {};
  model.cells_arriving = terrain::cells_arriving(model.directions, plan);
  progress.share(0.50);
  model.receiver_at = paint_receivers(scene, draft, hollows, node_of_hollow);
  model.first_receiver = terrain::first_receivers(model.directions, model.receiver_at, plan);
  give_rest_to_edge(scene.ground, draft.edge(), model.first_receiver);

  join_chains(scene, model.directions, low_levels, model.receiver_at, draft);
  join_shared_corners(scene, model.directions, model.receiver_at, user.points, shared, draft);
  progress.share(0.65);
  model.corners = decide_corners(
      scene, places, {model.directions, model.receiver_at, model.first_receiver, model.cells_arriving},
      user.lines, user.points, corners_asked, shared, draft, model.notes);
  measure_gutters(scene, model.directions, model.receiver_at, model.first_receiver, draft.net);
  progress.share(0.75);
  const std::vector<Crown> crowns = find_crowns(scene, {plan.threads});
  fit_grades(scene, ways, hollows, kept, crowns, {plan.threads}, draft);
  AskedWays gutters(
      model.directions,
      [&](std::int64_t cell) -> std::int64_t {
        const std::uint8_t direction = model.directions[cell];
        if (direction == terrain::kNoGround) return 0;
        if (scene.field.gutter[cell] != 0) return 1;
        return direction >= terrain::kStops ? 0 : -1;
      },
      [](std::int64_t) { return std::int64_t{0}; });
  const std::function<bool(std::int64_t)> meets_gutter = [&](std::int64_t cell) {
    return gutters.at(cell) != 0;
  };
  draft.net.side_ways = find_side_ways(scene,
                                       {low_levels, model.directions, model.receiver_at, model.first_receiver,
                                        model.cells_arriving, meets_gutter},
                                       crowns, draft.net, model.notes);
  progress.share(0.90);
  mark_cut_areas(scene, model.directions, model.first_receiver, draft.net);
  note_places(scene, draft.net, model.cells_arriving, draft, model.notes);
  model.passed = passed_depressions(scene, hollows, kept, model.first_receiver, draft.net, model.notes);

  const ChainOrder order = order_chain(draft.net);
  for (const SideWay& way : order.dropped) {
    model.notes.add(base::NoteId::SideWayDropped, way.begins_depth_m,
                    draft.net.id[static_cast<std::size_t>(way.from)]);
  }
  renumber(order, draft, model);
  carry_marks_down(model.network);
  return model;
}

}  // namespace
}  // namespace detail

const SecondWay* second_way(const Network& network, std::size_t node) {
  const auto before = [](const SecondWay& way, std::size_t n) {
    return way.from < static_cast<std::int32_t>(n);
  };
  const auto found = std::lower_bound(network.second_ways.begin(), network.second_ways.end(), node, before);
  const bool here = found != network.second_ways.end() && found->from == static_cast<std::int32_t>(node);
  return here ? &*found : nullptr;
}

void note_fits(const Network& net, base::Notes& notes) {
  for (std::size_t n = 0; n < net.size(); ++n) {
    if (net.kind[n] == NodeKind::DataEdge || net.kind[n] == NodeKind::Sag || net.kind[n] == NodeKind::Corner)
      continue;
    if (net.grade_from[n] == ValueFrom::Fitted && net.in_sag[n] < 0 &&
        net.grade[n] < 2.0 * net.grade_error[n])
      notes.add(base::NoteId::GradeFlatOrUnknown, net.grade[n], net.id[n]);
    if (net.cross_slope_from[n] == ValueFrom::Study)
      notes.add(base::NoteId::CrossSlopeAssumed, 0.0, net.id[n]);
  }
}

StreetModel build_street(const NetworkInputs& inputs, const NetworkSettings& settings,
                         const terrain::WorkPlan& plan, const base::Progress& progress) {
  using namespace detail;
  base::ensure(inputs.ground != nullptr && inputs.curbs != nullptr && inputs.field != nullptr &&
                   inputs.sites != nullptr,
               "build_street needs ground, curbs, curb field and sites");
  const terrain::Ground& ground = *inputs.ground;
  const terrain::Grid<std::uint8_t> none;
  const terrain::Grid<std::uint8_t>& pavement = inputs.pavement != nullptr ? *inputs.pavement : none;
  const terrain::Grid<std::uint8_t>& roof = inputs.roof != nullptr ? *inputs.roof : none;
  base::ensure(pavement.empty() || pavement.cells() == ground.frame.cells(),
               "pavement is as large as the ground");
  base::ensure(roof.empty() || roof.cells() == ground.frame.cells(), "roofs are as large as the ground");
  const std::vector<std::uint8_t> usable = usable_stations(ground, *inputs.curbs, *inputs.field);
  const StationIndex index(*inputs.field, *inputs.curbs, usable, std::max(5.0, settings.snap_m));
  const CurbWalk walk(*inputs.field, *inputs.curbs, ground.frame.cell_m);
  BlockFaces faces(*inputs.curbs, kMeetCells * ground.frame.cell_m);
  const Scene scene{ground,   pavement, roof,  *inputs.curbs, *inputs.field, *inputs.sites,
                    settings, usable,   index, walk,          faces};
  UnloweredWays ways(ground, inputs.field->walls, plan);
  const Snapped snapped = snap_sites(scene, ways);
  terrain::Grid<std::uint8_t> drains;
  for (const Place& place : snapped.places) {
    if (scene.sites[static_cast<std::size_t>(place.site)].kind != SiteKind::Outfall) continue;
    if (drains.empty()) drains = terrain::Grid<std::uint8_t>(ground.frame.rows, ground.frame.cols, 0);
    for (const std::int64_t cell : place.cells) drains[cell] = 1;
  }
  progress.share(0.08);  // shares of the time as measured on a city
  terrain::Grid<float> levels = terrain::water_levels(ground, inputs.field->walls, drains, plan);
  const std::vector<FlowLine> no_lines;
  const std::vector<CornerPoint> no_points;
  const UserWays user{inputs.flow_lines != nullptr ? *inputs.flow_lines : no_lines,
                      inputs.corner_points != nullptr ? *inputs.corner_points : no_points};
  StreetModel model = connect(scene, user, ways, std::move(levels), snapped, drains, plan, progress);
  model.faces = std::move(faces);
  return model;
}

}  // namespace curbshed::street
