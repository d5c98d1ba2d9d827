#include "curbshed/study/rational_check.hpp"

#include "curbshed/study/storm.hpp"

#include "study/lateral_inflow.hpp"

#include <algorithm>
#include <cmath>

namespace curbshed::study {
namespace {

using street::Network;
using street::NodeKind;

constexpr double kShareOfArea = 0.95;
constexpr double kMuch = 0.10;  // of the runoff
constexpr double kHeldBack = 2.0 / 3.0;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

/// Ground that needs this long to the outfall.
struct TimedArea {
  double seconds = 0.0;
  double area_m2 = 0.0;
};

double time_by_which(const std::vector<TimedArea>& sorted, double share) {
  double all_m2 = 0.0;
  for (const TimedArea& one : sorted) {
    all_m2 += one.area_m2;
  }
  double met_m2 = 0.0;
  for (const TimedArea& one : sorted) {
    met_m2 += one.area_m2;
    if (met_m2 >= share * all_m2) {
      return one.seconds;
    }
  }
  return 0.0;
}

double heaviest_mean_m_s(const Storm& storm, double seconds) {
  const auto steps = std::clamp<std::size_t>(static_cast<std::size_t>(std::lround(seconds / storm.step_s)), 1,
                                             storm.rain_m.size());
  double sum = 0.0;
  double most = 0.0;
  for (std::size_t k = 0; k < storm.rain_m.size(); ++k) {
    sum += storm.rain_m[k];
    if (k >= steps) {
      sum -= storm.rain_m[k - steps];
    }
    most = std::max(most, sum);
  }
  return most / (static_cast<double>(steps) * storm.step_s);
}

double rain_lasts_s(const Storm& storm) {
  std::size_t first = storm.rain_m.size();
  std::size_t last = 0;
  for (std::size_t k = 0; k < storm.rain_m.size(); ++k) {
    if (storm.rain_m[k] > 0.0) {
      first = std::min(first, k);
      last = k;
    }
  }
  return first > last ? 0.0 : static_cast<double>(last - first + 1) * storm.step_s;
}

/// Nodes whose water comes to an end by ordinary ways, with the share of it that does and the time of the
/// reaches between: where both ways of a shared corner lead there, the mean by their shares.
class AboveOutfall {
 public:
  AboveOutfall(const ChainModel& model, const EventReaches& reaches, std::int32_t outfall)
      : model_(model),
        reaches_(reaches),
        way_s_(model.network.size(), 0.0),
        share_(model.network.size(), 0.0) {
    share_[at(outfall)] = 1.0;
    // Chain order: a node's downstream node comes later.
    for (std::size_t n = model.network.size(); n-- > 0;) {
      const std::int32_t next = model.network.downstream[n];
      const street::SecondWay* second = street::second_way(model.network, n);
      if (second != nullptr) {
        add_both(n, *second);
      } else if (next >= 0 && share_[at(next)] > 0.0) {
        share_[n] = share_[at(next)];
        way_s_[n] = way_s_[at(next)] + reaches.travel_s[n];
      }
    }
  }

  bool has(std::size_t node) const { return share_[node] > 0.0; }
  double share(std::size_t node) const { return share_[node]; }

  std::vector<TimedArea> areas() const {
    std::vector<TimedArea> all;
    const street::Contribution& c = model_.contribution;
    for (std::size_t n = 0; n < way_s_.size(); ++n) {
      if (!has(n)) {
        continue;
      }
      c.each_of(n, [&](std::uint16_t, std::uint16_t time_bin, std::uint8_t join_part, std::int64_t cells) {
        const double join =
            (static_cast<double>(join_part) + 0.5) / street::kJoinParts * reaches_.join_travel_s[n];
        all.push_back({(static_cast<double>(time_bin) + 0.5) * c.bin_s + join + way_s_[n],
                       share_[n] * static_cast<double>(cells) * c.cell_area_m2});
      });
    }
    std::sort(all.begin(), all.end(),
              [](const TimedArea& a, const TimedArea& b) { return a.seconds < b.seconds; });
    return all;
  }

 private:
  void add_both(std::size_t n, const street::SecondWay& second) {
    const auto turned = at(model_.network.downstream[n]);
    const auto crossed = at(second.to);
    const auto index = static_cast<std::size_t>(&second - model_.network.second_ways.data());
    const double by_turn = (1.0 - second.share) * share_[turned];
    const double by_cross = second.share * share_[crossed];
    share_[n] = by_turn + by_cross;
    if (share_[n] > 0.0) {
      way_s_[n] = (by_turn * (way_s_[turned] + reaches_.travel_s[n]) +
                   by_cross * (way_s_[crossed] + reaches_.second_travel_s[index])) /
                  share_[n];
    }
  }

  const ChainModel& model_;
  const EventReaches& reaches_;
  std::vector<double> way_s_;
  std::vector<double> share_;
};

/// Where the runoff of the area went, m3.
struct Went {
  double runoff = 0.0;
  double inlets = 0.0;
  double aside = 0.0;
  double sags = 0.0;
  double on_the_way = 0.0;
  bool held_back = false;
};

Went where_it_went(const Network& network, const AboveOutfall& above, const LateralInflow& lateral,
                   const StormResult& base) {
  Went went;
  for (std::size_t n = 0; n < network.size(); ++n) {
    if (!above.has(n)) {
      continue;
    }
    const NodeResult& result = base.nodes[n];
    const double share = above.share(n);
    went.runoff += share * lateral.runoff_m3[n];
    went.inlets += share * result.into_inlet_m3;
    went.aside += share * result.over_curb_m3;
    went.on_the_way += share * (lateral.on_the_way_m3[n] + base.node_ledgers[n].in_gutters_m3);
    if (network.kind[n] == NodeKind::Sag) {
      went.sags += share * base.node_ledgers[n].in_sags_m3;
      went.held_back = went.held_back || result.peak_leaving_m3_s < kHeldBack * result.peak_arriving_m3_s;
    }
  }
  return went;
}

PeakReason reason_of(const RationalPeak& peak, const Went& went, double arrived_m3, double half_s,
                     double rain_s) {
  const double much = kMuch * went.runoff;
  const bool higher = peak.ratio > kMostPeakRatio;
  if (higher && arrived_m3 > went.runoff + much) return PeakReason::FromOtherGutters;
  if (!higher && went.inlets > much) return PeakReason::IntoInlets;
  if (!higher && went.aside > much) return PeakReason::OverSideWays;
  if (!higher && (went.held_back || went.sags > much)) return PeakReason::Ponds;
  if (!higher && went.on_the_way > much) return PeakReason::NotYetThere;
  if (!higher && peak.concentration_s > rain_s) return PeakReason::ShortStorm;
  if (half_s < peak.concentration_s / 3.0) return PeakReason::MixedTimes;
  return higher ? PeakReason::LossesFirst : PeakReason::Spread;
}

RationalPeak peak_at(const ChainModel& model, const EventReaches& reaches, const LateralInflow& lateral,
                     const Storm& storm, const StormResult& base, std::size_t outfall) {
  const AboveOutfall above(model, reaches, static_cast<std::int32_t>(outfall));
  const std::vector<TimedArea> areas = above.areas();
  RationalPeak peak;
  double rain_m3 = 0.0;
  for (const TimedArea& one : areas) {
    peak.area_m2 += one.area_m2;
  }
  for (std::size_t n = 0; n < model.network.size(); ++n) {
    rain_m3 += above.share(n) * lateral.rain_m3[n];
  }
  const Went went = where_it_went(model.network, above, lateral, base);
  if (!(rain_m3 > 0.0)) {
    return {};
  }
  peak.concentration_s = std::max(storm.step_s, time_by_which(areas, kShareOfArea));
  peak.coefficient = went.runoff / rain_m3;
  peak.intensity_m_s = heaviest_mean_m_s(storm, peak.concentration_s);
  if (peak.peak_m3_s() > 0.0) {
    peak.ratio = base.nodes[outfall].peak_leaving_m3_s / peak.peak_m3_s();
    if (peak.ratio < kLeastPeakRatio || peak.ratio > kMostPeakRatio) {
      peak.reason = reason_of(peak, went, base.nodes[outfall].arriving_m3, time_by_which(areas, 0.5),
                              rain_lasts_s(storm));
    }
  }
  return peak;
}

}  // namespace

std::string_view reason_words(PeakReason reason) {
  switch (reason) {
    case PeakReason::None:
      break;
    case PeakReason::FromOtherGutters:
      return "water comes over crowns from other gutters";
    case PeakReason::IntoInlets:
      return "drain inlets above take much of it";
    case PeakReason::OverSideWays:
      return "much leaves over curbs, lips or the crown above";
    case PeakReason::Ponds:
      return "water ponds in a sag above";
    case PeakReason::NotYetThere:
      return "much is still on the way when the run ends";
    case PeakReason::ShortStorm:
      return "the rain ends before water of the farthest ground comes";
    case PeakReason::MixedTimes:
      return "half of its ground is much nearer than the rest";
    case PeakReason::LossesFirst:
      return "the ground takes its losses before the heaviest rain";
    case PeakReason::Spread:
      return "water of its parts comes one after another";
  }
  return {};
}

std::vector<RationalPeak> rational_peaks(const ChainModel& model, const EventReaches& reaches,
                                         const LateralInflow& lateral, const Storm& storm,
                                         const StormResult& base) {
  std::vector<RationalPeak> peaks(model.network.size());
  for (std::size_t n = 0; n < peaks.size(); ++n) {
    if (model.network.kind[n] == NodeKind::Outfall) {
      peaks[n] = peak_at(model, reaches, lateral, storm, base, n);
    }
  }
  return peaks;
}

}  // namespace curbshed::study
