#include "siting/choice_search.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numeric>
#include <queue>

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

// Looked at together, whatever the number of threads: which gains are fresh must not depend on it.
constexpr std::size_t kBatch = 8;
constexpr std::size_t kPartnersTried = 64;  // of one site in an exchange
constexpr double kBetter = 1e-12;           // relative: less is rounding

bool better(double a, double b) { return a > b + kBetter * std::abs(b); }

}  // namespace

Plan::Plan(const std::vector<ChoiceSite>& sites, const ChoiceLimits& limits)
    : sites_(sites), limits_(limits) {}

bool Plan::too_near(std::size_t site) const {
  const ChoiceSite& s = sites_[site];
  const auto curb = along_curb_m_.find(s.curb);
  if (s.curb < 0 || curb == along_curb_m_.end()) {
    return false;
  }
  const auto after = curb->second.lower_bound(s.along_curb_m);
  return (after != curb->second.end() && *after - s.along_curb_m < limits_.least_spacing_m) ||
         (after != curb->second.begin() && s.along_curb_m - *std::prev(after) < limits_.least_spacing_m);
}

bool Plan::fits(std::size_t site) const {
  return !sites_[site].never && !holds(site) && limit_in_the_way(site).empty();
}

std::string Plan::limit_in_the_way(std::size_t site) const {
  const ChoiceSite& s = sites_[site];
  const PackLimits& pack = limits_.pack;
  if (pack.count && static_cast<std::int64_t>(in_.size()) >= *pack.count) {
    return fmt::format("{} cuts", *pack.count);
  }
  if (pack.money && money_ + s.money > *pack.money) {
    return fmt::format("{:.12g} of money", *pack.money);
  }
  if (pack.digging_m3 && digging_m3_ + s.digging_m3 > *pack.digging_m3) {
    return fmt::format("{:.12g} m3 of digging", *pack.digging_m3);
  }
  if (pack.per_block && !s.block.empty()) {
    const auto block = in_block_.find(s.block);
    if ((block == in_block_.end() ? 0 : block->second) >= *pack.per_block) {
      return fmt::format("{} in one block", *pack.per_block);
    }
  }
  return too_near(site) ? fmt::format("a spacing of {:.12g} m", limits_.least_spacing_m) : std::string();
}

void Plan::sum_up() {
  money_ = 0.0;
  digging_m3_ = 0.0;
  for (const std::size_t site : in_) {
    money_ += sites_[site].money;
    digging_m3_ += sites_[site].digging_m3;
  }
}

void Plan::add(std::size_t site) {
  in_.insert(site);
  ++in_block_[sites_[site].block];
  along_curb_m_[sites_[site].curb].insert(sites_[site].along_curb_m);
  sum_up();
}

void Plan::remove(std::size_t site) {
  in_.erase(site);
  --in_block_[sites_[site].block];
  std::multiset<double>& along_m = along_curb_m_[sites_[site].curb];
  along_m.erase(along_m.find(sites_[site].along_curb_m));
  sum_up();
}

PackLimits Plan::room() const {
  PackLimits room = limits_.pack;
  if (room.count) {
    *room.count -= static_cast<std::int64_t>(in_.size());
  }
  if (room.money) {
    *room.money = std::max(0.0, *room.money - money_);
  }
  if (room.digging_m3) {
    *room.digging_m3 = std::max(0.0, *room.digging_m3 - digging_m3_);
  }
  return room;
}

ChoiceSearch::ChoiceSearch(const std::vector<ChoiceSite>& sites, const ChoiceLimits& limits,
                           const PlanValue& value, base::Workers workers)
    : sites_(sites), limits_(limits), workers_(workers) {
  for (int hand = 0; hand < std::max(1, workers.threads); ++hand) {
    hands_.push_back(value.copy());
  }
  alone_.resize(sites.size());
  const auto hands = static_cast<std::int64_t>(hands_.size());
  const auto all = static_cast<std::int64_t>(sites.size());
  base::parallel_stripes(hands, hands, workers_, [&](std::int64_t hand, std::int64_t) {
    for (std::int64_t s = all * hand / hands; s < all * (hand + 1) / hands; ++s) {
      const auto site = static_cast<std::size_t>(s);
      if (!sites_[site].never) {
        alone_[site] = hands_[static_cast<std::size_t>(hand)]->alone(site);
      }
    }
  });
  forget_gains();
}

void ChoiceSearch::forget_gains() {
  last_gain_.clear();
  for (const AloneWorth& alone : alone_) {
    last_gain_.push_back(alone.lead);
  }
}

std::vector<Worth> ChoiceSearch::worth_with(const std::vector<std::vector<std::size_t>>& flips) {
  std::vector<Worth> worth(flips.size());
  const auto hands = static_cast<std::int64_t>(hands_.size());
  const auto all = static_cast<std::int64_t>(flips.size());
  base::parallel_stripes(hands, hands, workers_, [&](std::int64_t hand, std::int64_t) {
    for (std::int64_t f = all * hand / hands; f < all * (hand + 1) / hands; ++f) {
      worth[static_cast<std::size_t>(f)] =
          hands_[static_cast<std::size_t>(hand)]->worth_with(flips[static_cast<std::size_t>(f)]);
    }
  });
  return worth;
}

void ChoiceSearch::set_to(const std::vector<std::size_t>& set) {
  std::vector<std::size_t> wanted = set;
  std::sort(wanted.begin(), wanted.end());
  std::vector<std::size_t> change;
  std::set_symmetric_difference(set_.begin(), set_.end(), wanted.begin(), wanted.end(),
                                std::back_inserter(change));
  if (change.empty()) {
    return;
  }
  const auto hands = static_cast<std::int64_t>(hands_.size());
  base::parallel_stripes(hands, hands, workers_, [&](std::int64_t hand, std::int64_t) {
    hands_[static_cast<std::size_t>(hand)]->flip(change);
  });
  set_ = std::move(wanted);
}

double ChoiceSearch::value_of(const std::vector<std::size_t>& set) {
  set_to(set);
  return hands_.front()->worth().value;
}

std::vector<std::size_t> ChoiceSearch::musts() const {
  std::vector<std::size_t> musts;
  for (std::size_t s = 0; s < sites_.size(); ++s) {
    if (sites_[s].must) {
      musts.push_back(s);
    }
  }
  return musts;
}

double ChoiceSearch::for_limit(std::size_t site, GreedyBy by, double gain) const {
  const PackLimits& pack = limits_.pack;
  if (by == GreedyBy::Gain) {
    return gain;
  }
  double part = 0.0;
  const auto add = [&](double weight, double limit) {
    part = std::max(part, limit > 0.0 ? weight / limit : 1.0);
  };
  if (pack.count) {
    add(1.0, static_cast<double>(*pack.count));
  }
  if (pack.money) {
    add(sites_[site].money, *pack.money);
  }
  if (pack.digging_m3) {
    add(sites_[site].digging_m3, *pack.digging_m3);
  }
  constexpr double kNothing = 1e-9;  // of a limit: what costs nothing comes first
  return gain / std::max(part, kNothing);
}

std::vector<std::size_t> ChoiceSearch::fill(Plan& plan, const std::vector<std::size_t>& from, GreedyBy by) {
  struct Waiting {
    double key = 0.0;
    std::size_t site = 0;
    std::int64_t looked = -1;  // at this round
    bool operator<(const Waiting& other) const {
      return key != other.key ? key < other.key : site > other.site;
    }
  };
  std::priority_queue<Waiting> queue;
  for (const std::size_t site : from) {
    queue.push({for_limit(site, by, last_gain_[site]), site, -1});
  }
  std::vector<std::size_t> order;
  set_to(plan.chosen());
  double now = hands_.front()->worth().lead;
  for (std::int64_t round = 0; !queue.empty();) {
    if (!plan.fits(queue.top().site)) {
      queue.pop();  // limits only get tighter
      continue;
    }
    if (queue.top().looked == round) {
      if (!better(now + last_gain_[queue.top().site], now)) {
        break;
      }
      order.push_back(queue.top().site);
      plan.add(queue.top().site);
      queue.pop();
      set_to(plan.chosen());
      now = hands_.front()->worth().lead;
      ++round;
      continue;
    }
    std::vector<std::vector<std::size_t>> batch;
    while (!queue.empty() && batch.size() < kBatch && queue.top().looked < round) {
      if (plan.fits(queue.top().site)) {
        batch.push_back({queue.top().site});
      }
      queue.pop();
    }
    const std::vector<Worth> worth = worth_with(batch);
    for (std::size_t b = 0; b < batch.size(); ++b) {
      const std::size_t site = batch[b].front();
      last_gain_[site] = worth[b].lead - now;
      queue.push({for_limit(site, by, last_gain_[site]), site, round});
    }
  }
  return order;
}

std::vector<std::size_t> ChoiceSearch::greedy(GreedyBy by) {
  forget_gains();
  Plan plan(sites_, limits_);
  for (const std::size_t site : musts()) {
    plan.add(site);
  }
  std::vector<std::size_t> all(sites_.size());
  std::iota(all.begin(), all.end(), std::size_t{0});
  fill(plan, all, by);
  leave_out_idle(plan);
  return plan.chosen();
}

/// Where the lead was followed for nothing.
void ChoiceSearch::leave_out_idle(Plan& plan) {
  for (const std::size_t site : plan.chosen()) {
    if (sites_[site].must) {
      continue;
    }
    set_to(plan.chosen());
    const double now = hands_.front()->worth().value;
    if (!better(now, hands_.front()->worth_with({site}).value)) {
      plan.remove(site);
    }
  }
}

bool ChoiceSearch::exchange_one(Plan& plan, std::size_t out, double now, std::int64_t& trials) {
  const Worth without = hands_.front()->worth_with({out});
  --trials;
  plan.remove(out);
  std::vector<std::size_t> partners;
  for (std::size_t s = 0; s < sites_.size(); ++s) {
    const bool may_be_better =
        !hands_.front()->gains_are_bounded() || better(without.value + alone_[s].most, now);
    if (s != out && may_be_better && plan.fits(s)) {
      partners.push_back(s);
    }
  }
  std::stable_sort(partners.begin(), partners.end(),
                   [&](std::size_t a, std::size_t b) { return last_gain_[a] > last_gain_[b]; });
  partners.resize(std::min(partners.size(), kPartnersTried));
  for (std::size_t from = 0; from < partners.size() && trials > 0; from += kBatch) {
    std::vector<std::vector<std::size_t>> batch;
    for (std::size_t p = from; p < std::min(partners.size(), from + kBatch); ++p) {
      batch.push_back({out, partners[p]});
    }
    trials -= static_cast<std::int64_t>(batch.size());
    const std::vector<Worth> worth = worth_with(batch);
    std::size_t best = 0;
    for (std::size_t b = 1; b < batch.size(); ++b) {
      best = better(worth[b].value, worth[best].value) ? b : best;
    }
    if (better(worth[best].value, now)) {
      plan.add(batch[best][1]);
      return true;
    }
  }
  plan.add(out);
  return false;
}

std::vector<std::size_t> ChoiceSearch::exchanged(const std::vector<std::size_t>& set, std::int64_t trials) {
  Plan plan(sites_, limits_);
  for (const std::size_t site : set) {
    plan.add(site);
  }
  std::vector<std::size_t> all(sites_.size());
  std::iota(all.begin(), all.end(), std::size_t{0});
  for (bool again = true; again && trials > 0;) {
    again = false;
    for (const std::size_t site : plan.chosen()) {
      const double now = value_of(plan.chosen());
      if (trials > 0 && !sites_[site].must && exchange_one(plan, site, now, trials)) {
        again = true;
      }
    }
    again = !fill(plan, all, GreedyBy::Gain).empty() || again;
  }
  leave_out_idle(plan);
  return plan.chosen();
}

std::vector<std::size_t> ChoiceSearch::build_order(const std::vector<std::size_t>& set) {
  forget_gains();
  const ChoiceLimits none;
  Plan plan(sites_, none);
  std::vector<std::size_t> order = fill(plan, set, GreedyBy::Gain);
  for (const std::size_t site : set) {
    if (!plan.holds(site)) {
      order.push_back(site);
    }
  }
  return order;
}

std::vector<double> ChoiceSearch::values_along(const std::vector<std::size_t>& order) {
  std::vector<double> values;
  std::vector<std::size_t> set;
  for (const std::size_t site : order) {
    set.push_back(site);
    values.push_back(value_of(set));
  }
  return values;
}

}  // namespace curbshed::siting
