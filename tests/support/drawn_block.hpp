// A block drawn by a height formula, with curb lines and sites, taken all the way to its street network.
#pragma once

#include "curbshed/street/network.hpp"

#include "support/drawn_ground.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <string>

namespace curbshed::testing {

struct DrawnBlock {
  Ground ground;
  Grid<std::uint8_t> pavement;
  Grid<std::uint8_t> roof;
  std::vector<terrain::CurbLine> curbs;
  std::vector<street::Site> sites;
  std::vector<street::FlowLine> flow_lines;
  std::vector<street::CornerPoint> corner_points;
  terrain::CurbSettings curb_settings;
  street::NetworkSettings settings;

  terrain::CurbField field() const { return terrain::place_curbs(ground, pavement, curbs, curb_settings); }
  street::StreetModel build(const WorkPlan& plan = {}) const {
    const terrain::CurbField placed = field();
    street::NetworkInputs inputs;
    inputs.ground = &ground;
    inputs.pavement = &pavement;
    inputs.roof = &roof;
    inputs.curbs = &curbs;
    inputs.field = &placed;
    inputs.sites = &sites;
    inputs.flow_lines = &flow_lines;
    inputs.corner_points = &corner_points;
    return street::build_street(inputs, settings, plan);
  }
  void add(street::SiteKind kind, const std::string& id, double x, double y) {
    street::Site site;
    site.kind = kind;
    site.id = id;
    site.at = {x, y};
    site.source = "sites.gpkg:points";
    sites.push_back(site);
  }
  void cut(const std::string& id, double x, double y) { add(street::SiteKind::Cut, id, x, y); }
  void inlet(const std::string& id, double x, double y) { add(street::SiteKind::Inlet, id, x, y); }
  void outfall(const std::string& id, double x, double y) { add(street::SiteKind::Outfall, id, x, y); }
};

inline terrain::CurbLine curb_line(const std::string& id, const std::string& street, const std::string& side,
                                   base::Polyline line) {
  terrain::CurbLine curb;
  curb.id = id;
  curb.street = street;
  curb.side = side;
  curb.line = std::move(line);
  return curb;
}

/// A crowned street along x, its crown at y = 0, falling to the east unless `profile` says otherwise.
struct StraightStreet {
  double length_m = 160.0;
  double half_width_m = 5.0;
  double crossfall = 0.02;
  double curb_m = 0.15;
  double lot_m = 20.0;
  double lot_slope = 0.02;  ///< toward the street
  double behind_m = 10.0;   ///< ground beyond the lots that falls away from the street
  double cell_m = 0.5;
  double grade = 0.01;
  std::function<double(double)> profile;       ///< crown height at x, instead of the grade
  std::function<double(double)> lot_slope_at;  ///< of the northern lots, instead of lot_slope

  double half_m() const { return half_width_m + lot_m + behind_m; }
  double height_m(base::Point p) const {
    const double along = profile ? profile(p.x_m) : 100.0 - grade * p.x_m;
    const double t = std::abs(p.y_m);
    if (t < half_width_m) return along - crossfall * t;
    const double slope = lot_slope_at && p.y_m > 0.0 ? lot_slope_at(p.x_m) : lot_slope;
    const double in_lot = std::min(t - half_width_m, lot_m);
    const double beyond = std::max(0.0, t - half_width_m - lot_m);
    return along - crossfall * half_width_m + curb_m + slope * in_lot - 0.05 * beyond;
  }
};

/// Curbs "n" (north) and "s" (south) run the whole length, in the direction of x.
inline DrawnBlock draw_block(const StraightStreet& street) {
  DrawnBlock block;
  const auto rows = static_cast<std::int64_t>(2.0 * street.half_m() / street.cell_m);
  const auto cols = static_cast<std::int64_t>(street.length_m / street.cell_m);
  block.ground = ground_by(rows, cols, street.cell_m, [&](base::Point p) { return street.height_m(p); });
  block.pavement = Grid<std::uint8_t>(rows, cols, 0);
  for (std::int64_t cell = 0; cell < block.pavement.cells(); ++cell) {
    if (std::abs(block.ground.frame.centre(cell).y_m) < street.half_width_m) block.pavement[cell] = 1;
  }
  const double end = 0.5 * street.length_m + 2.0;
  block.curbs.push_back(
      curb_line("n", "Kiln Street", "north", {{-end, street.half_width_m}, {end, street.half_width_m}}));
  block.curbs.push_back(
      curb_line("s", "Kiln Street", "south", {{-end, -street.half_width_m}, {end, -street.half_width_m}}));
  for (terrain::CurbLine& curb : block.curbs) curb.height_m = street.curb_m;
  return block;
}

/// Number of the node with this id, −1 if there is none.
inline std::int32_t node_of(const street::Network& net, const std::string& id) {
  const auto found = std::find(net.id.begin(), net.id.end(), id);
  return found == net.id.end() ? -1 : static_cast<std::int32_t>(found - net.id.begin());
}

inline std::int64_t cells_of(const street::StreetModel& model, std::int32_t node) {
  std::int64_t cells = 0;
  for (const std::int32_t n : model.first_receiver.values()) cells += n == node ? 1 : 0;
  return cells;
}

inline double area_of(const street::StreetModel& model, const DrawnBlock& block, const std::string& id) {
  return static_cast<double>(cells_of(model, node_of(model.network, id))) * block.ground.frame.cell_area_m2();
}

/// First side way of a kind from a node, by depth; from = −1 if there is none.
inline street::SideWay side_way_of(const street::Network& net, std::int32_t from, street::SideWayKind kind) {
  for (const street::SideWay& way : net.side_ways) {
    if (way.from == from && way.kind == kind) return way;
  }
  return {};
}

}  // namespace curbshed::testing
