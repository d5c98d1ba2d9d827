// Time-area with losses cell by cell.
//
// Symbols: P rain of a step, dQ excess of a class in it (loss_steps.hpp). Cells of
// impervious classes send the share `connected` of dQ on; the rest runs onto the pervious cells of the same
// node, spread evenly, in the same step, as if it were rain (P + run-on). Pervious cells send all their
// excess on. An entry's excess, even over the step, reaches the node a time within its bin (evenly) +
// (join_part + 1/2) / parts x join travel later; part of a step is split over two steps.
// Cells under an open basin are left out: their rain is the basin's own.
// Roofs with a tank: the share led to it goes through screen, first flush, tank and the lot's basin; what
// these pass on takes the roof's own way to the node. The rest of the roof is like any other. A tank whose
// roof reaches several nodes is worked out at each for its share of everything: the same numbers, scaled.
#include "study/lateral_inflow.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/water/time_area.hpp"

#include "study/loss_steps.hpp"

#include <algorithm>

namespace curbshed::study {
namespace {

using street::ContributionEntry;

/// Working arrays of one node, kept from node to node.
struct Scratch {
  explicit Scratch(std::size_t steps)
      : inflow_m3(steps), forcing_m(steps), run_on_m3(steps), going_m(steps) {}
  std::vector<double> by_step_m2;
  std::vector<double> inflow_m3;
  std::vector<double> forcing_m;  ///< rain and run-on on pervious cells
  std::vector<double> run_on_m3;
  std::vector<double> going_m;  ///< excess that goes on to the node
  std::vector<double> excess_m;
};

struct ClassRange {
  std::size_t begin = 0;
  std::size_t end = 0;
  std::size_t loss_class = 0;
  double area_m2 = 0.0;
  bool place = false;  ///< of the contribution's places, not its entries
};

class NodeRunoff {
 public:
  NodeRunoff(const ChainModel& model, const std::vector<double>& join_travel_s, const Storm& storm,
             const std::vector<water::TankState>& tanks, const std::vector<std::uint8_t>& open,
             LateralInflow& out, DroppedWater& dropped)
      : model_(model),
        join_travel_s_(join_travel_s),
        storm_(storm),
        tanks_(tanks),
        open_(open),
        out_(out),
        dropped_(dropped),
        s_(storm.rain_m.size()) {
    excess_.resize(model.loss_classes.size());
    for (std::size_t c = 0; c < excess_.size(); ++c) {
      steps_of_excess(model.loss_classes[c], storm.rain_m, storm, excess_[c]);
    }
  }

  void run(std::size_t node) {
    std::fill(s_.inflow_m3.begin(), s_.inflow_m3.end(), 0.0);
    std::fill(s_.run_on_m3.begin(), s_.run_on_m3.end(), 0.0);
    split(node);
    double pervious_m2 = 0.0;
    for (const ClassRange& range : ranges_) {
      pervious_m2 += loss(range).pervious ? range.area_m2 : 0.0;
    }
    for (const ClassRange& range : ranges_) {
      if (!loss(range).pervious) {
        impervious(node, range, pervious_m2 > 0.0);
      }
    }
    roofs(node, pervious_m2 > 0.0);
    if (pervious_m2 > 0.0) {
      for (std::size_t k = 0; k < storm_.rain_m.size(); ++k) {
        s_.forcing_m[k] = storm_.rain_m[k] + s_.run_on_m3[k] / pervious_m2;
      }
    }
    for (const ClassRange& range : ranges_) {
      if (loss(range).pervious) {
        pervious(node, range);
      }
    }
    for (std::size_t k = 0; k < storm_.rain_m.size(); ++k) {
      out_.inflow_m3[node * out_.steps + k] = dropped_.pass(Process::Lateral, s_.inflow_m3[k]);
    }
  }

 private:
  const LossClass& loss(const ClassRange& range) const { return model_.loss_classes[range.loss_class]; }

  /// Entries are sorted by class within a node.
  void split(std::size_t node) {
    ranges_.clear();
    const street::Contribution& all = model_.contribution;
    const auto end = static_cast<std::size_t>(all.first[node + 1]);
    for (auto i = static_cast<std::size_t>(all.first[node]); i < end; ++i) {
      const ContributionEntry& entry = all.entries[i];
      if (ranges_.empty() || ranges_.back().loss_class != entry.loss_class) {
        ranges_.push_back({i, i, entry.loss_class, 0.0});
      }
      ranges_.back().end = i + 1;
      ranges_.back().area_m2 += static_cast<double>(entry.cells) * all.cell_area_m2;
    }
    if (!all.first_place.empty()) split_places(node);
  }

  void split_places(std::size_t node) {
    const street::Contribution& all = model_.contribution;
    const auto end = static_cast<std::size_t>(all.first_place[node + 1]);
    for (auto i = static_cast<std::size_t>(all.first_place[node]); i < end; ++i) {
      const street::PlaceEntry& place = all.places[i];
      if (!open_.empty() && open_[static_cast<std::size_t>(place.basin)] != 0) continue;
      const bool goes_on = !ranges_.empty() && ranges_.back().place && ranges_.back().end == i &&
                           ranges_.back().loss_class == place.loss_class;
      if (!goes_on) ranges_.push_back({i, i, place.loss_class, 0.0, true});
      ranges_.back().end = i + 1;
      ranges_.back().area_m2 += static_cast<double>(place.cells) * all.cell_area_m2;
    }
  }

  /// Roofs of one lot at a time; a lot's roofs are of one class but for mixed layers.
  void roofs(std::size_t node, bool run_on) {
    const street::Contribution& all = model_.contribution;
    if (all.first_roof.empty()) return;
    const auto end = static_cast<std::size_t>(all.first_roof[node + 1]);
    for (auto i = static_cast<std::size_t>(all.first_roof[node]); i < end;) {
      ClassRange range{i, i, all.roofs[i].loss_class, 0.0};
      const std::int32_t tank = all.roofs[i].tank;
      for (; i < end && all.roofs[i].tank == tank && all.roofs[i].loss_class == range.loss_class; ++i) {
        range.end = i + 1;
        range.area_m2 += static_cast<double>(all.roofs[i].cells) * all.cell_area_m2;
      }
      roof(node, static_cast<std::size_t>(tank), range, run_on);
    }
  }

  void roof(std::size_t node, std::size_t tank, const ClassRange& range, bool run_on) {
    const std::vector<double>& excess = excess_[range.loss_class];
    const double on = run_on ? loss(range).connected : 1.0;
    const bool led = !tanks_.empty();
    const double besides = led ? 1.0 - model_.tanks[tank].roof_share : 1.0;
    for (std::size_t k = 0; k < excess.size(); ++k) {
      const double free_m = excess[k] * besides;
      s_.going_m[k] = free_m * on;
      s_.run_on_m3[k] += (free_m - s_.going_m[k]) * range.area_m2;
    }
    if (led) through_tank(node, tank, range, excess);
    book(node, range, storm_.rain_m, excess);
    out_.on_the_way_m3[node] += send(node, range, model_.contribution.roofs);
  }

  /// Adds to going_m what tank and basin pass on.
  void through_tank(std::size_t node, std::size_t number, const ClassRange& range,
                    const std::vector<double>& excess) {
    const LotTank& lot = model_.tanks[number];
    const double part = range.area_m2 / lot.roof_m2;
    water::RoofTank tank = lot.tank;
    for (double* value :
         {&tank.roof_m2, &tank.size_m3, &tank.use_m3_s, &tank.basin_m3, &tank.basin_soaks_m3_s}) {
      *value *= part;
    }
    const water::TankState& start = tanks_[number];
    water::TankState now{.tank_m3 = start.tank_m3 * part,
                         .basin_m3 = start.basin_m3 * part,
                         .flushed_m3 = start.flushed_m3 * part,
                         .dry_s = start.dry_s};
    LateralInflow::OnLots& own = out_.on_lots[node];
    own.at_start_m3 += now.tank_m3 + now.basin_m3;
    LotResult sums;
    const double step_s = storm_.step_s;
    for (std::size_t k = 0; k < excess.size(); ++k) {
      const double runoff_m3 = excess[k] * lot.roof_share * range.area_m2;
      const water::LedToTank led = water::lead_to_tank(tank, now, runoff_m3, step_s);
      const water::TankFill fill = water::fill_tank(tank, now, led.on_m3, step_s);
      const double over_m3 = dropped_.pass(Process::TankOverflow, fill.over_m3);
      const water::LotBasinFill basin = water::fill_lot_basin(tank, now, over_m3, step_s);
      own.screened_m3 += dropped_.pass(Process::Screen, led.screened_m3);
      own.flushed_m3 += dropped_.pass(Process::FirstFlush, led.flushed_m3);
      own.used_m3 += dropped_.pass(Process::TankUse, fill.used_m3);
      own.soaked_m3 += dropped_.pass(Process::LotBasin, basin.soaked_m3);
      s_.going_m[k] += dropped_.pass(Process::LotOverflow, basin.over_m3) / range.area_m2;
      sums.led_m3 += runoff_m3;
      sums.screened_m3 += led.screened_m3;
      sums.flushed_m3 += led.flushed_m3;
      sums.used_m3 += fill.used_m3;
      sums.soaked_m3 += basin.soaked_m3;
      sums.to_street_m3 += basin.over_m3;
    }
    own.in_tanks_m3 += now.tank_m3;
    own.in_basins_m3 += now.basin_m3;
    if (lot.node == static_cast<std::int32_t>(node)) {
      tell_whole(number, part, now, sums);
    }
  }

  /// From a part to the whole lot, by the one node that does so.
  void tell_whole(std::size_t number, double part, const water::TankState& now, LotResult sums) {
    for (double* value : {&sums.led_m3, &sums.screened_m3, &sums.flushed_m3, &sums.used_m3, &sums.soaked_m3,
                          &sums.to_street_m3}) {
      *value /= part;
    }
    const water::TankState end{.tank_m3 = now.tank_m3 / part,
                               .basin_m3 = now.basin_m3 / part,
                               .flushed_m3 = now.flushed_m3 / part,
                               .dry_s = now.dry_s};
    sums.tank_gained_m3 = end.tank_m3 - tanks_[number].tank_m3;
    sums.basin_gained_m3 = end.basin_m3 - tanks_[number].basin_m3;
    out_.tanks[number] = end;
    out_.lots[number] = sums;
  }

  void impervious(std::size_t node, const ClassRange& range, bool run_on) {
    const std::vector<double>& excess = excess_[range.loss_class];
    const double on = run_on ? loss(range).connected : 1.0;
    for (std::size_t k = 0; k < excess.size(); ++k) {
      s_.going_m[k] = excess[k] * on;
      s_.run_on_m3[k] += (excess[k] - s_.going_m[k]) * range.area_m2;
    }
    book(node, range, storm_.rain_m, excess);
    out_.on_the_way_m3[node] += send_ground(node, range);
  }

  void pervious(std::size_t node, const ClassRange& range) {
    steps_of_excess(loss(range), s_.forcing_m, storm_, s_.excess_m);
    s_.going_m = s_.excess_m;
    book(node, range, s_.forcing_m, s_.excess_m);
    out_.on_the_way_m3[node] += send_ground(node, range);
  }

  void book(std::size_t node, const ClassRange& range, const std::vector<double>& forcing_m,
            const std::vector<double>& excess_m) {
    double rain_m3 = out_.rain_m3[node];
    double lost_m3 = out_.lost_m3[node];
    double runoff_m3 = out_.runoff_m3[node];
    for (std::size_t k = 0; k < forcing_m.size(); ++k) {
      rain_m3 += storm_.rain_m[k] * range.area_m2;
      lost_m3 += dropped_.pass(Process::Loss, (forcing_m[k] - excess_m[k]) * range.area_m2);
      runoff_m3 += s_.going_m[k] * range.area_m2;
    }
    out_.rain_m3[node] = rain_m3;
    out_.lost_m3[node] = lost_m3;
    out_.runoff_m3[node] = runoff_m3;
  }

  double send_ground(std::size_t node, const ClassRange& range) {
    const street::Contribution& all = model_.contribution;
    return range.place ? send(node, range, all.places) : send(node, range, all.entries);
  }

  /// Returns what does not arrive within the storm.
  template <class Entry>
  double send(std::size_t node, const ClassRange& range, const std::vector<Entry>& entries) {
    const double bin_s = model_.contribution.bin_s;
    s_.by_step_m2.clear();
    for (std::size_t i = range.begin; i < range.end; ++i) {
      const Entry& entry = entries[i];
      const double join_s =
          (static_cast<double>(entry.join_part) + 0.5) / street::kJoinParts * join_travel_s_[node];
      const double from_s = static_cast<double>(entry.time_bin) * bin_s + join_s;
      const water::DelayedArea area{
          .area_m2 = static_cast<double>(entry.cells) * model_.contribution.cell_area_m2,
          .from_s = from_s,
          .to_s = from_s + bin_s};
      const std::size_t needed = water::steps_needed(area.to_s, storm_.step_s);
      if (needed > s_.by_step_m2.size()) {
        s_.by_step_m2.resize(needed, 0.0);
      }
      water::add_area_by_step(area, storm_.step_s, s_.by_step_m2);
    }
    return water::add_time_area(s_.going_m, s_.by_step_m2, s_.inflow_m3);
  }

  const ChainModel& model_;
  const std::vector<double>& join_travel_s_;
  const Storm& storm_;
  const std::vector<water::TankState>& tanks_;
  const std::vector<std::uint8_t>& open_;
  LateralInflow& out_;
  DroppedWater& dropped_;
  Scratch s_;
  std::vector<std::vector<double>> excess_;  ///< by class, from rain alone
  std::vector<ClassRange> ranges_;
};

}  // namespace

LateralInflow lateral_inflow(const ChainModel& model, const std::vector<double>& join_travel_s,
                             const Storm& storm, DroppedWater& dropped, base::Workers workers,
                             const std::vector<std::uint8_t>& open) {
  return lateral_inflow(model, join_travel_s, storm, empty_state(model).tanks, dropped, workers, open);
}

LateralInflow lateral_inflow(const ChainModel& model, const std::vector<double>& join_travel_s,
                             const Storm& storm, const std::vector<water::TankState>& tanks,
                             DroppedWater& dropped, base::Workers workers,
                             const std::vector<std::uint8_t>& open) {
  base::ensure(open.empty() || open.size() == model.network.size(), "one open flag a node");
  LateralInflow out;
  out.nodes = model.network.size();
  out.steps = storm.rain_m.size();
  base::ensure(join_travel_s.size() == out.nodes, "one join travel time a node");
  out.inflow_m3.resize(out.nodes * out.steps);
  out.rain_m3.resize(out.nodes);
  out.lost_m3.resize(out.nodes);
  out.runoff_m3.resize(out.nodes);
  out.on_the_way_m3.resize(out.nodes);
  base::ensure(tanks.empty() || tanks.size() == model.tanks.size(), "one state a tank");
  if (!tanks.empty()) {
    out.on_lots.resize(out.nodes);
    out.lots.resize(tanks.size());
    out.tanks = tanks;
  }
  constexpr std::int64_t kStripes = 64;
  base::parallel_stripes(static_cast<std::int64_t>(out.nodes), kStripes, workers,
                         [&](std::int64_t begin, std::int64_t end) {
                           NodeRunoff runoff(model, join_travel_s, storm, tanks, open, out, dropped);
                           for (std::int64_t node = begin; node < end; ++node) {
                             runoff.run(static_cast<std::size_t>(node));
                           }
                         });
  return out;
}

}  // namespace curbshed::study
