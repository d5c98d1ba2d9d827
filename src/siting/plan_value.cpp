#include "curbshed/siting/plan_value.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

namespace curbshed::siting {
namespace {

using base::ensure;
using study::MostTaken;
using study::StormTrials;
using study::TrialAnswer;
using study::WayDown;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

/// A mean that leans to the largest: falls with every flow near the peak.
double leaning_mean(const std::vector<float>& flow_m3_s, double scale_m3_s) {
  if (!(scale_m3_s > 0.0)) {
    return 0.0;
  }
  double sum = 0.0;
  for (const float flow : flow_m3_s) {
    const double part = static_cast<double>(flow) / scale_m3_s;
    const double fourth = part * part * part * part;
    sum += fourth * fourth;
  }
  return scale_m3_s * std::pow(sum, 1.0 / 8.0);
}

class StormValue final : public PlanValue {
 public:
  StormValue(const study::ChainModel& model, const study::Storm& storm, std::vector<std::int32_t> nodes,
             StormAim aim, base::Workers workers)
      : trials_(model, storm, workers), nodes_(std::move(nodes)), aim_(std::move(aim)) {
    if (!aim_.weights.empty()) {
      trials_.weigh(aim_.weights);
      heaviest_ = *std::max_element(aim_.weights.begin(), aim_.weights.end());
    }
    base_kept_m3_ = trials_.kept_m3();
    for (const std::int32_t outfall : aim_.outfalls) {
      base_peak_m3_s_.push_back(trials_.peak_m3_s(outfall));
      base_lead_m3_s_.push_back(leaning_mean(trials_.leaving_m3_s(outfall), base_peak_m3_s_.back()));
    }
  }

  Worth worth() const override {
    std::vector<double> peak_m3_s;
    std::vector<double> lead_m3_s;
    for (std::size_t o = 0; o < aim_.outfalls.size(); ++o) {
      peak_m3_s.push_back(trials_.peak_m3_s(aim_.outfalls[o]));
      lead_m3_s.push_back(leaning_mean(trials_.leaving_m3_s(aim_.outfalls[o]), base_peak_m3_s_[o]));
    }
    return worth_of(trials_.kept_m3(), peak_m3_s, lead_m3_s);
  }

  Worth worth_with(const std::vector<std::size_t>& sites) const override {
    return worth_of(trials_.tried(nodes_of(sites), asked()));
  }

  void flip(const std::vector<std::size_t>& sites) override { trials_.flip(nodes_of(sites)); }

  std::unique_ptr<PlanValue> copy() const override { return std::make_unique<StormValue>(*this); }

  AloneWorth alone(std::size_t site) const override {
    const TrialAnswer answer = trials_.tried({nodes_[site]}, asked());
    const Worth with = worth_of(answer);
    const Worth none = worth();
    AloneWorth out{.gain = with.value - none.value, .lead = with.lead - none.lead};
    const MostTaken most = trials_.most_taken(nodes_[site]);
    // Without water given back no cut gets more than by itself, and each litre given back is kept at most
    // once, by some basin's room that it did not fill by itself.
    const double alone_m3 = weight(site) * (answer.own_m3 - answer.own_over_rim_m3);
    const double given_back_m3 = heaviest_ * answer.own_given_back_m3;
    const double room_m3 = weight(site) * most.keeps_m3;
    out.by_gain = aim_.per_captured_m3 * (alone_m3 + given_back_m3);
    out.by_room = aim_.per_captured_m3 * std::max(alone_m3, room_m3);
    out.most =
        aim_.per_captured_m3 * (std::isfinite(room_m3) ? std::max(alone_m3, room_m3) + given_back_m3
                                                       : alone_m3 + heaviest_ * answer.own_returned_m3);
    return out;
  }

  bool gains_are_bounded() const override { return aim_.outfalls.empty() || aim_.per_peak_m3_s == 0.0; }

  double bound(const std::vector<ChoiceSite>& sites, const PackLimits& limits,
               const std::vector<AloneWorth>& alone) const override {
    const auto parcels_by = [&](double AloneWorth::*worth) {
      std::vector<Parcel> parcels;
      for (std::size_t s = 0; s < sites.size(); ++s) {
        parcels.push_back({alone[s].*worth, sites[s].money, sites[s].digging_m3, sites[s].block,
                           sites[s].must, sites[s].never});
      }
      return parcels;
    };
    constexpr std::int64_t kSteps = 20'000'000;
    const std::int64_t steps = kSteps / static_cast<std::int64_t>(std::max<std::size_t>(1, sites.size()));
    const std::vector<Parcel> parcels = parcels_by(&AloneWorth::by_gain);
    double bound = pack(parcels, limits, steps).bound;
    if (std::all_of(alone.begin(), alone.end(),
                    [](const AloneWorth& a) { return std::isfinite(a.by_room); })) {
      bound = std::min(bound, pack(parcels_by(&AloneWorth::by_room), limits, steps).bound);
    }
    if (aim_.per_peak_m3_s > 0.0) {
      for (std::size_t o = 0; o < aim_.outfalls.size(); ++o) {
        bound +=
            aim_.per_peak_m3_s * (base_peak_m3_s_[o] - least_peak_m3_s(aim_.outfalls[o], parcels, limits));
      }
    }
    return bound;
  }

 private:
  double weight(std::size_t site) const {
    return aim_.weights.empty() ? 1.0 : aim_.weights[at(nodes_[site])];
  }

  study::TrialAsked asked() const { return {.outfalls = aim_.outfalls, .series = !aim_.outfalls.empty()}; }

  std::vector<std::int32_t> nodes_of(const std::vector<std::size_t>& sites) const {
    std::vector<std::int32_t> nodes;
    for (const std::size_t site : sites) {
      nodes.push_back(nodes_[site]);
    }
    return nodes;
  }

  Worth worth_of(const TrialAnswer& answer) const {
    std::vector<double> lead_m3_s;
    for (std::size_t o = 0; o < answer.leaving_m3_s.size(); ++o) {
      lead_m3_s.push_back(leaning_mean(answer.leaving_m3_s[o], base_peak_m3_s_[o]));
    }
    return worth_of(answer.kept_m3, answer.peak_m3_s, lead_m3_s);
  }

  Worth worth_of(double kept_m3, const std::vector<double>& peak_m3_s,
                 const std::vector<double>& lead_m3_s) const {
    Worth out;
    out.value = aim_.per_captured_m3 * (kept_m3 - base_kept_m3_);
    out.lead = out.value;
    for (std::size_t o = 0; o < peak_m3_s.size(); ++o) {
      out.value += aim_.per_peak_m3_s * (base_peak_m3_s_[o] - peak_m3_s[o]);
      out.lead += aim_.per_peak_m3_s * (base_lead_m3_s_[o] - lead_m3_s[o]);
    }
    return out;
  }

  /// What a site can keep from an outfall in a window, by prefix sums of what its opening is offered.
  struct Taker {
    std::size_t site = 0;
    WayDown way = {};
    MostTaken most = {};
    std::vector<double> offered_m3 = {};  // in all steps before

    double most_m3(std::size_t from, std::size_t to, double step_s) const {
      // On a plain way the steps are known; else all that was kept before may show now.
      const std::size_t later = way.steps + way.reaches;
      const std::size_t first = way.plain ? from - std::min(from, later) : 0;
      const std::size_t last = way.plain ? to - std::min(to, way.steps) : to;
      return std::min(offered_m3[last] - offered_m3[first],
                      most.room_m3 + most.soaks_m3_s * step_s * static_cast<double>(last - first));
    }
  };

  /// No set within the limits brings the outfall's peak under this: over every window of a few lengths, what
  /// flows less the most that can be kept from it, spread evenly. Stand-alone takings bound nothing here: of
  /// two basins that each fill before the peak, the lower fills later once the upper is there.
  double least_peak_m3_s(std::int32_t outfall, const std::vector<Parcel>& parcels,
                         const PackLimits& limits) const {
    const double step_s = trials_.step_s();
    const std::vector<Taker> takers = takers_above(outfall, parcels);
    const std::vector<float>& flow_m3_s = trials_.leaving_m3_s(outfall);
    std::vector<double> flowed_m3(flow_m3_s.size() + 1, 0.0);
    for (std::size_t k = 0; k < flow_m3_s.size(); ++k) {
      flowed_m3[k + 1] = flowed_m3[k] + step_s * static_cast<double>(flow_m3_s[k]);
    }
    std::vector<Parcel> taken = parcels;
    for (Parcel& parcel : taken) {
      parcel.worth = 0.0;
    }
    double least_m3_s = 0.0;
    constexpr std::array<std::size_t, 9> kLengths{1, 2, 4, 8, 16, 32, 64, 128, 256};
    for (const std::size_t length : kLengths) {
      const double seconds = step_s * static_cast<double>(length);
      const auto flows_m3 = [&](std::size_t from) { return flowed_m3[from + length] - flowed_m3[from]; };
      std::vector<std::size_t> starts(flowed_m3.size() > length ? flowed_m3.size() - length : 0);
      std::iota(starts.begin(), starts.end(), std::size_t{0});
      std::stable_sort(starts.begin(), starts.end(),
                       [&](std::size_t a, std::size_t b) { return flows_m3(a) > flows_m3(b); });
      for (const std::size_t from : starts) {
        if (flows_m3(from) <= least_m3_s * seconds) {
          break;
        }
        for (const Taker& taker : takers) {
          taken[taker.site].worth = std::min(flows_m3(from), taker.most_m3(from, from + length, step_s));
        }
        least_m3_s = std::max(least_m3_s, (flows_m3(from) - packing_bound(taken, limits)) / seconds);
      }
    }
    return least_m3_s;
  }

  std::vector<Taker> takers_above(std::int32_t outfall, const std::vector<Parcel>& parcels) const {
    std::vector<Taker> takers;
    for (std::size_t s = 0; s < nodes_.size(); ++s) {
      Taker taker{.site = s, .way = trials_.way_down(nodes_[s], outfall)};
      if (parcels[s].never || !taker.way.leads) {
        continue;
      }
      taker.most = trials_.most_taken(nodes_[s]);
      taker.offered_m3.push_back(0.0);
      for (const double offered_m3 : taker.most.offered_m3) {
        taker.offered_m3.push_back(taker.offered_m3.back() + offered_m3);
      }
      takers.push_back(std::move(taker));
    }
    return takers;
  }

  StormTrials trials_;
  std::vector<std::int32_t> nodes_;
  StormAim aim_;
  double heaviest_ = 1.0;
  double base_kept_m3_ = 0.0;
  std::vector<double> base_peak_m3_s_;
  std::vector<double> base_lead_m3_s_;
};

}  // namespace

std::unique_ptr<PlanValue> storm_value(const study::ChainModel& model, const study::Storm& storm,
                                       std::vector<std::int32_t> nodes, StormAim aim, base::Workers workers) {
  for (const std::int32_t node : nodes) {
    ensure(
        node >= 0 && at(node) < model.network.size() && model.network.kind[at(node)] == street::NodeKind::Cut,
        "a site of the choice is a cut");
  }
  ensure(aim.per_captured_m3 >= 0.0 && aim.per_peak_m3_s >= 0.0, "worth is not negative");
  return std::make_unique<StormValue>(model, storm, std::move(nodes), std::move(aim), workers);
}

}  // namespace curbshed::siting
