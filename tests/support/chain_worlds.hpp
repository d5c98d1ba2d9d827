// Chains put together by hand: no raster.
#pragma once

#include "curbshed/study/storm.hpp"
#include "curbshed/water/rain.hpp"

#include <algorithm>
#include <string>
#include <vector>

namespace curbshed::testing {

using street::NodeKind;

/// Cells of one class that drain to one node.
struct Patch {
  std::int32_t node = 0;
  std::uint16_t loss_class = 0;
  std::int64_t cells = 0;  ///< of 1 m²
  std::uint16_t time_bin = 0;
  std::uint8_t join_part = 0;
};

inline constexpr std::uint16_t kPavement = 0;
inline constexpr std::uint16_t kRoof = 1;
inline constexpr std::uint16_t kYard = 2;

/// Over the curb to lots (to = -1), or over the crown to a node.
inline street::SideWay way(std::int32_t from, std::int32_t to, double begins_depth_m) {
  return {
      from, to, to < 0 ? street::SideWayKind::OverCurb : street::SideWayKind::OverCrown, begins_depth_m, {}};
}

/// Nodes in chain order, each draining to the next; the last is the edge of the data. Every node: grade 1 %,
/// cross slope 2 %, n 0.016, 50 m to the next; cuts: 0.45 m clear, basin 4 m × 2 m × 0.15 m, 25 mm/h, rim 0.3
/// m above the invert.
class ChainBuilder {
 public:
  explicit ChainBuilder(std::vector<NodeKind> kinds, double reach_m = 50.0) {
    kinds.push_back(NodeKind::DataEdge);
    const std::size_t n = kinds.size();
    street::Network& net = model.network;
    net.kind = kinds;
    for (std::size_t i = 0; i < n; ++i) {
      net.id.push_back("node-" + std::to_string(i));
      const bool ends = kinds[i] == NodeKind::Outfall || kinds[i] == NodeKind::DataEdge;
      net.downstream.push_back(ends ? -1 : static_cast<std::int32_t>(i + 1));
      net.reach_length_m.push_back(ends ? 0.0 : reach_m);
    }
    net.site.assign(n, -1);
    net.at.resize(n);
    net.behind.resize(n);
    for (auto* zeros :
         {&net.moved_m, &net.grade_error, &net.cross_slope_error, &net.along_curb_m, &net.sag_depth_m,
          &net.sag_volume_m3, &net.sag_bottom_m, &net.sag_spill_m, &net.sag_area_m2, &net.gutter_level_m}) {
      zeros->assign(n, 0.0);
    }
    net.upstream_gutter_m.assign(n, reach_m);
    net.grade.assign(n, 0.01);
    net.cross_slope.assign(n, 0.02);
    net.curb_height_m.assign(n, 0.15);
    net.curb.assign(n, 0);
    net.in_sag.assign(n, -1);
    net.grade_from.assign(n, street::ValueFrom::Fitted);
    net.cross_slope_from.assign(n, street::ValueFrom::Fitted);
    net.edge_cuts_area.assign(n, 0);
    net.edge_cuts_above.assign(n, 0);
    model.loss_classes = {{.name = "pavement", .curve_number = 98.0, .connected = 1.0, .pervious = false},
                          {.name = "roof", .curve_number = 98.0, .connected = 0.0, .pervious = false},
                          {.name = "yard",
                           .curve_number = 80.0,
                           .connected = 1.0,
                           .pervious = true,
                           .sheet_roughness = 0.1,
                           .paved = false}};
    model.params.resize(n);
    for (std::size_t i = 0; i < n; ++i) {
      study::NodeParams& p = model.params[i];
      p.grade = 0.01;
      if (kinds[i] == NodeKind::Inlet) {
        p.opening_m = 1.5;
        p.clogging = 0.1;
      }
      if (street::has_basin(kinds[i])) {
        p.opening_m = 0.45;
        p.basin.length_m = 4.0;
        p.basin.width_m = 2.0;
        p.basin.side_slope = 2.0;
        p.basin.ponding_m = 0.15;
        p.basin.infiltration_m_s = 0.025 / 3600.0;
        p.basin.invert_m = 100.0;
        p.basin.rim_m = 100.3;
      }
    }
  }

  void patch(const Patch& p) { patches_.push_back(p); }

  /// Roof of a lot with a tank: 1 m² a cell, to a node.
  void roof(std::int32_t node, std::int32_t tank, std::int64_t cells, std::uint16_t time_bin = 0) {
    roofs_.push_back({node, {tank, kRoof, time_bin, 0, cells}});
  }

  void side_way(std::int32_t from, std::int32_t to, double begins_depth_m) {
    model.network.side_ways.push_back(way(from, to, begins_depth_m));
  }

  /// A sag 0.3 m deep with 20 m³; its bottom stands at 100 m.
  void sag(std::int32_t node) {
    const auto n = static_cast<std::size_t>(node);
    model.network.sag_depth_m[n] = 0.3;
    model.network.sag_volume_m3[n] = 20.0;
    model.network.sag_area_m2[n] = 150.0;
    model.network.sag_bottom_m[n] = 100.0;
    model.network.sag_spill_m[n] = 100.3;
    model.network.gutter_level_m[n] = 100.0;
    model.params[n].grade = 0.003;
  }
  void stands_in(std::int32_t member, std::int32_t sag, double level_m) {
    const auto n = static_cast<std::size_t>(member);
    model.network.in_sag[n] = sag;
    model.network.gutter_level_m[n] = level_m;
    model.params[n].basin.invert_m = level_m;
    model.params[n].basin.rim_m = level_m + 0.3;
  }

  study::ChainModel build() {
    street::Contribution& c = model.contribution;
    c.cell_area_m2 = 1.0;
    c.bin_s = 10.0;
    c.join_length_m = model.network.upstream_gutter_m;
    std::stable_sort(patches_.begin(), patches_.end(), [](const Patch& a, const Patch& b) {
      return a.node != b.node ? a.node < b.node : a.loss_class < b.loss_class;
    });
    c.entries.clear();
    c.first.assign(model.network.size() + 1, 0);
    for (const Patch& p : patches_) {
      c.entries.push_back({p.loss_class, p.time_bin, p.join_part, p.cells});
      ++c.first[static_cast<std::size_t>(p.node) + 1];
    }
    for (std::size_t i = 1; i < c.first.size(); ++i) {
      c.first[i] += c.first[i - 1];
    }
    if (!roofs_.empty()) {
      std::stable_sort(roofs_.begin(), roofs_.end(), [](const auto& a, const auto& b) {
        return a.first != b.first ? a.first < b.first : a.second.tank < b.second.tank;
      });
      c.first_roof.assign(model.network.size() + 1, 0);
      for (const auto& one : roofs_) {
        c.roofs.push_back(one.second);
        ++c.first_roof[static_cast<std::size_t>(one.first) + 1];
      }
      for (std::size_t i = 1; i < c.first_roof.size(); ++i) c.first_roof[i] += c.first_roof[i - 1];
      study::measure_roofs(model);
    }
    return model;
  }

  study::ChainModel model;

 private:
  std::vector<std::pair<std::int32_t, street::RoofEntry>> roofs_;
  std::vector<Patch> patches_;
};

inline study::Storm hour_storm(double depth_m, double step_s = 5.0, double after_s = 2.0 * 3600.0) {
  study::Storm storm{.id = "test", .title = "one hour", .step_s = step_s, .rain_m = {}};
  storm.rain_m = water::step_depths_m(water::block_depths_m({.depth = base::Length::metres(depth_m)}),
                                      {.step_s = step_s, .after_s = after_s});
  return storm;
}

inline std::vector<std::uint8_t> all_open(const study::ChainModel& model) {
  return std::vector<std::uint8_t>(model.network.size(), 1);
}
inline std::vector<std::uint8_t> all_closed(const study::ChainModel& model) {
  return std::vector<std::uint8_t>(model.network.size(), 0);
}

/// Steady rain long enough for a steady flow of `flow_m3_s` from node 0's pavement (CN 100: all runs off).
inline study::ChainModel steady_world(std::vector<NodeKind> kinds, double flow_m3_s, study::Storm& storm) {
  ChainBuilder world(std::move(kinds));
  world.model.loss_classes[kPavement].curve_number = 100.0;
  world.patch({0, kPavement, 1000, 0, 0});
  storm = {.id = "steady",
           .title = "",
           .step_s = 5.0,
           .rain_m = std::vector<double>(720, flow_m3_s / 1000.0 * 5.0)};
  return world.build();
}

/// Everything at once: cuts, an inlet on grade, a sag with an inlet and a cut in it, a pond pair of two
/// gutters, side ways to a node and to lots, an outfall, water off the edge. 0 cut, 1 inlet, 2 cut (rim lower
/// than its invert), 3-4 pond pair of cuts, 5 sag, 6 inlet in it, 7 cut in it, 8 cut, 9 outfall
inline study::ChainModel busy_chain() {
  using enum NodeKind;
  ChainBuilder world({Cut, Inlet, Cut, Cut, Cut, Sag, Inlet, Cut, Cut, Outfall});
  street::Network& net = world.model.network;
  net.downstream = {1, 2, 5, 5, 5, 8, 5, 5, 9, -1, -1};
  // Members drain to their sag, so they stand before it.
  net.kind = {Cut, Inlet, Cut, Cut, Cut, Inlet, Cut, Sag, Cut, Outfall, DataEdge};
  net.downstream = {1, 2, 7, 7, 7, 7, 7, 8, 9, -1, -1};
  world.model.params[5] = world.model.params[1];
  world.model.params[6] = world.model.params[0];
  world.model.params[7] = {};
  world.sag(7);
  world.stands_in(5, 7, 100.0);
  world.stands_in(6, 7, 100.02);
  world.model.params[5].pipe_limit_m3_s = 0.004;
  world.model.params[2].basin.rim_m = 99.95;
  world.side_way(0, -1, 0.035);
  world.side_way(1, 4, 0.03);
  world.side_way(3, 4, 0.04);
  world.side_way(4, 3, 0.03);
  world.side_way(3, -1, 0.05);
  world.side_way(7, -1, 0.20);
  net.pond_pairs = {{3, 4}};
  for (std::int32_t node = 0; node < 11; ++node) {
    for (std::uint8_t part = 0; part < street::kJoinParts; ++part) {
      world.patch({node, kPavement, 60, static_cast<std::uint16_t>(part % 3 + 2), part});
      world.patch({node, kRoof, 30, 10, part});
      world.patch({node, kYard, 100, static_cast<std::uint16_t>(20 + 3 * part), part});
    }
  }
  return world.build();
}

}  // namespace curbshed::testing
