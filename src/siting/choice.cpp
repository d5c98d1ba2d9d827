#include "curbshed/siting/choice.hpp"

#include "curbshed/base/error.hpp"

#include "siting/choice_search.hpp"

#include <algorithm>

namespace curbshed::siting {
namespace {

using base::ensure;

constexpr std::size_t kMostSitesProved = 64;  // more cannot be told apart within any sensible effort
constexpr std::size_t kMostSitesListed = 20;  // where nothing can be ruled out: a million sets

/// Tries or rules out every set, depth first.
class Proof {
 public:
  Proof(const std::vector<ChoiceSite>& sites, const ChoiceLimits& limits,
        const std::vector<AloneWorth>& alone, PlanValue& value, std::int64_t sets)
      : value_(value), plan_(sites, limits), sets_(sets) {
    for (std::size_t s = 0; s < sites.size(); ++s) {
      if (sites[s].must) {
        plan_.add(s);
        value_.flip({s});
      } else if (!sites[s].never) {
        free_.push_back(s);
      }
    }
    bounded_ = value.gains_are_bounded();
    if (bounded_) {
      std::stable_sort(free_.begin(), free_.end(),
                       [&](std::size_t a, std::size_t b) { return alone[a].most > alone[b].most; });
    }
    for (const std::size_t s : free_) {
      parcels_.push_back({.worth = alone[s].most,
                          .money = sites[s].money,
                          .digging_m3 = sites[s].digging_m3,
                          .block = sites[s].block});
    }
  }

  bool can_be_done() const { return free_.size() <= (bounded_ ? kMostSitesProved : kMostSitesListed); }

  /// Whether all were tried or ruled out; `best` and `value` change where a better set is found.
  bool run(std::vector<std::size_t>& best, double& value) {
    best_value_ = value;
    branch(0);
    if (best_value_ > value) {
      best = best_;
      value = best_value_;
    }
    return sets_ > 0;
  }

 private:
  /// Nothing that can still be added makes this set better than the best.
  bool ruled_out(std::size_t from, double now) const {
    const std::vector<Parcel> left(parcels_.begin() + static_cast<std::ptrdiff_t>(from), parcels_.end());
    return bounded_ && now + packing_bound(left, plan_.room()) <= best_value_;
  }

  void branch(std::size_t from) {
    const double now = value_.worth().value;
    if (now > best_value_) {
      best_value_ = now;
      best_ = plan_.chosen();
    }
    for (; from < free_.size(); ++from) {
      if (sets_ <= 0 || ruled_out(from, now)) {
        return;
      }
      const std::size_t site = free_[from];
      if (!plan_.fits(site)) {
        continue;
      }
      --sets_;
      plan_.add(site);
      value_.flip({site});
      branch(from + 1);
      value_.flip({site});
      plan_.remove(site);
    }
  }

  PlanValue& value_;
  Plan plan_;
  std::int64_t sets_;
  bool bounded_ = false;
  std::vector<std::size_t> free_;
  std::vector<Parcel> parcels_;  // of the free ones
  std::vector<std::size_t> best_;
  double best_value_ = 0.0;
};

void check_musts(const std::vector<ChoiceSite>& sites, const ChoiceLimits& limits) {
  Plan plan(sites, limits);
  for (std::size_t s = 0; s < sites.size(); ++s) {
    ensure(sites[s].money >= 0.0 && sites[s].digging_m3 >= 0.0 && !(sites[s].must && sites[s].never),
           "a site has a price and a digging that are not negative, and is not both wanted and refused");
    if (!sites[s].must) {
      continue;
    }
    if (!plan.fits(s)) {
      throw base::InputError(
          {"", "choose", sites[s].id},
          "the cuts that must be built do not keep the limits: this one is over " + plan.limit_in_the_way(s),
          "limits that hold all cuts of `must`", "raise the limit or take a cut out of `must`");
    }
    plan.add(s);
  }
}

/// The packing of stand-alone gains as a set. Packing knows nothing of spacing.
std::vector<std::size_t> packed(const std::vector<ChoiceSite>& sites, const ChoiceLimits& limits,
                                const std::vector<AloneWorth>& alone, std::int64_t steps) {
  std::vector<Parcel> parcels;
  for (std::size_t s = 0; s < sites.size(); ++s) {
    parcels.push_back(
        {alone[s].gain, sites[s].money, sites[s].digging_m3, sites[s].block, sites[s].must, sites[s].never});
  }
  Plan plan(sites, limits);
  for (std::size_t s = 0; s < sites.size(); ++s) {
    if (sites[s].must) {
      plan.add(s);
    }
  }
  for (const std::size_t s : pack(parcels, limits.pack, steps).taken) {
    if (!sites[s].must && plan.fits(s)) {
      plan.add(s);
    }
  }
  return plan.chosen();
}

}  // namespace

Choice choose(const std::vector<ChoiceSite>& sites, const ChoiceLimits& limits, const PlanValue& value,
              const ChoiceEffort& effort, base::Workers workers) {
  check_musts(sites, limits);
  ChoiceSearch search(sites, limits, value, workers);
  Choice out;
  out.bound = value.bound(sites, limits.pack, search.alone());

  std::vector<std::size_t> best = search.greedy(GreedyBy::Gain);
  double most = search.value_of(best);
  const auto keep_better = [&](const std::vector<std::size_t>& set) {
    const double is_worth = search.value_of(set);
    if (is_worth > most) {
      best = set;
      most = is_worth;
    }
  };
  if (limits.pack.money || limits.pack.digging_m3) {
    keep_better(search.greedy(GreedyBy::GainForTheLimit));
  }
  keep_better(packed(sites, limits, search.alone(), effort.packing_steps));
  keep_better(search.exchanged(best, effort.exchange_trials));

  if (most < out.bound) {
    const std::unique_ptr<PlanValue> own = value.copy();
    Proof proof(sites, limits, search.alone(), *own, effort.exact_sets);
    out.proved = proof.can_be_done() && proof.run(best, most);
  } else {
    out.proved = true;
  }
  out.build_order = search.build_order(best);
  out.value_after = search.values_along(out.build_order);
  out.value = out.value_after.empty() ? 0.0 : out.value_after.back();
  out.bound = out.proved ? out.value : std::max(out.bound, out.value);
  return out;
}

}  // namespace curbshed::siting
