#include "curbshed/study/chain_model.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>

namespace curbshed::study {
namespace {

using base::ensure;
using street::NodeKind;

/// Basins of closed cuts are not looked at.
void check_node(const ChainModel& model, std::size_t n) {
  const NodeParams& params = model.params[n];
  ensure(std::isfinite(params.grade) && params.grade > 0.0, "a node's grade is above 0");
  ensure(std::isfinite(params.cross_slope) && params.cross_slope > 0.0, "a node's cross slope is above 0");
  ensure(params.clogging >= 0.0 && params.clogging <= 1.0, "clogging is 0 to 1");
  ensure(params.opening_m >= 0.0 && params.pipe_limit_m3_s >= 0.0, "no opening or pipe limit is negative");
  const bool ends = model.network.kind[n] == NodeKind::Outfall || model.network.kind[n] == NodeKind::DataEdge;
  ensure(ends || model.network.downstream[n] >= 0, "a cut, an inlet and a sag have a node downstream");
  ensure(model.contribution.first[n] <= model.contribution.first[n + 1], "entries stand node by node");
}

}  // namespace

void check(const ChainModel& model) {
  const std::size_t nodes = model.network.size();
  ensure(model.params.size() == nodes, "one entry of params a node");
  ensure(model.contribution.first.size() == nodes + 1 && model.contribution.join_length_m.size() == nodes,
         "contributions for every node");
  for (std::size_t n = 0; n < nodes; ++n) {
    check_node(model, n);
  }
  for (const street::ContributionEntry& entry : model.contribution.entries) {
    ensure(entry.loss_class < model.loss_classes.size(), "every entry has a loss class");
  }
  for (const LossClass& loss : model.loss_classes) {
    ensure(loss.connected >= 0.0 && loss.connected <= 1.0, "the connected share is 0 to 1");
  }
}

}  // namespace curbshed::study
