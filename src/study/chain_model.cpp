#include "curbshed/study/chain_model.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>

namespace curbshed::study {
namespace {

using base::ensure;
using street::NodeKind;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

/// Basins of closed cuts are not looked at.
void check_node(const ChainModel& model, std::size_t n) {
  const NodeParams& params = model.params[n];
  ensure(std::isfinite(params.grade) && params.grade > 0.0, "a node's grade is above 0");
  ensure(std::isfinite(params.cross_slope) && params.cross_slope > 0.0, "a node's cross slope is above 0");
  ensure(params.clogging >= 0.0 && params.clogging <= 1.0, "clogging is 0 to 1");
  ensure(params.opening_m >= 0.0 && params.pipe_limit_m3_s >= 0.0, "no opening or pipe limit is negative");
  ensure(params.rating < static_cast<std::int32_t>(model.ratings.size()), "an inlet's rating is in the list");
  ensure(params.pipe_to < static_cast<std::int32_t>(model.network.size()), "a pipe comes up at a node");
  const bool ends = model.network.kind[n] == NodeKind::Outfall || model.network.kind[n] == NodeKind::DataEdge;
  ensure(ends || model.network.downstream[n] >= 0, "a cut, an inlet and a sag have a node downstream");
  ensure(model.contribution.first[n] <= model.contribution.first[n + 1], "entries stand node by node");
}

}  // namespace

double crest_above_invert_m(const ChainModel& model, std::size_t node) {
  return model.network.gutter_level_m[node] + model.network.curb_height_m[node] -
         model.params[node].basin.invert_m;
}

std::vector<std::uint8_t> open_in_plan(const ChainModel& model) {
  std::vector<std::uint8_t> open;
  for (std::size_t n = 0; n < model.network.size(); ++n) {
    open.push_back(model.network.kind[n] != street::NodeKind::Cut || model.params[n].in_plan ? 1 : 0);
  }
  return open;
}

void measure_roofs(ChainModel& model) {
  const street::Contribution& c = model.contribution;
  for (std::size_t n = 0; n + 1 < c.first_roof.size(); ++n) {
    for (std::int64_t i = c.first_roof[n]; i < c.first_roof[n + 1]; ++i) {
      const street::RoofEntry& entry = c.roofs[static_cast<std::size_t>(i)];
      LotTank& lot = model.tanks[at(entry.tank)];
      lot.roof_m2 += static_cast<double>(entry.cells) * c.cell_area_m2;
      lot.node = lot.node < 0 ? static_cast<std::int32_t>(n) : lot.node;
    }
  }
  for (LotTank& lot : model.tanks) lot.tank.roof_m2 = lot.roof_share * lot.roof_m2;
}

std::vector<double> own_areas_m2(const ChainModel& model) {
  std::vector<double> areas(model.network.size(), 0.0);
  const std::vector<std::int64_t> cells = street::cells_of_nodes(model.contribution);
  for (std::size_t node = 0; node < areas.size(); ++node) {
    areas[node] = static_cast<double>(cells[node]) * model.contribution.cell_area_m2;
  }
  return areas;
}

std::vector<double> areas_arriving_m2(const ChainModel& model) {
  const street::Network& network = model.network;
  std::vector<double> areas = own_areas_m2(model);
  for (std::size_t node = 0; node < areas.size(); ++node) {  // chain order: what lies above is complete
    street::each_way_down(network, node,
                          [&](const street::WayDown& way) { areas[way.to] += way.share * areas[node]; });
  }
  for (std::size_t node = 0; node < areas.size(); ++node) {  // fed by the sag that it stands in
    if (network.in_sag[node] >= 0) {
      areas[node] = areas[at(network.in_sag[node])];
    }
  }
  return areas;
}

void check(const ChainModel& model) {
  const std::size_t nodes = model.network.size();
  ensure(model.params.size() == nodes, "one entry of params a node");
  ensure(model.contribution.first.size() == nodes + 1 && model.contribution.join_length_m.size() == nodes,
         "contributions for every node");
  for (std::size_t n = 0; n < nodes; ++n) {
    check_node(model, n);
  }
  for (const street::SecondWay& way : model.network.second_ways) {
    ensure(way.share > 0.0 && way.share < 1.0 && model.network.downstream[at(way.from)] >= 0,
           "a second way takes a share beside an ordinary one");
  }
  for (const street::ContributionEntry& entry : model.contribution.entries) {
    ensure(entry.loss_class < model.loss_classes.size(), "every entry has a loss class");
  }
  const street::Contribution& c = model.contribution;
  ensure(c.first_roof.empty() ? c.roofs.empty() : c.first_roof.size() == nodes + 1,
         "roofs with tanks stand node by node");
  for (const street::RoofEntry& entry : c.roofs) {
    ensure(entry.loss_class < model.loss_classes.size() && entry.tank >= 0 &&
               at(entry.tank) < model.tanks.size(),
           "every roof with a tank has its loss class and its tank");
  }
  for (const LotTank& lot : model.tanks) {
    ensure(lot.roof_share >= 0.0 && lot.roof_share <= 1.0 && lot.start_share >= 0.0 && lot.start_share <= 1.0,
           "a tank's shares are 0 to 1");
  }
  for (const LossClass& loss : model.loss_classes) {
    ensure(loss.connected >= 0.0 && loss.connected <= 1.0, "the connected share is 0 to 1");
  }
}

}  // namespace curbshed::study
