// The searches of the choice, and the plan that they fill.
#pragma once

#include "curbshed/siting/choice.hpp"

#include <map>
#include <set>

namespace curbshed::siting {

/// A set of sites and what it leaves free of the limits.
class Plan {
 public:
  Plan(const std::vector<ChoiceSite>& sites, const ChoiceLimits& limits);

  /// Site is not in yet, may be, and breaks no limit.
  bool fits(std::size_t site) const;
  /// In words: "4 cuts", "12000 of money", for the limit that keeps it out.
  std::string limit_in_the_way(std::size_t site) const;
  void add(std::size_t site);
  void remove(std::size_t site);
  bool holds(std::size_t site) const { return in_.count(site) != 0; }
  /// In rising order.
  std::vector<std::size_t> chosen() const { return {in_.begin(), in_.end()}; }
  PackLimits room() const;

 private:
  bool too_near(std::size_t site) const;
  void sum_up();

  const std::vector<ChoiceSite>& sites_;
  const ChoiceLimits& limits_;
  std::set<std::size_t> in_;
  std::map<std::string, std::int64_t> in_block_;
  std::map<std::int32_t, std::multiset<double>> along_curb_m_;
  double money_ = 0.0;  // summed anew at each change: the same set always has the same sum
  double digging_m3_ = 0.0;
};

enum class GreedyBy : std::uint8_t { Gain, GainForTheLimit };

class ChoiceSearch {
 public:
  ChoiceSearch(const std::vector<ChoiceSite>& sites, const ChoiceLimits& limits, const PlanValue& value,
               base::Workers workers);

  const std::vector<AloneWorth>& alone() const { return alone_; }
  std::vector<std::size_t> greedy(GreedyBy by);
  /// One for one, then what still fits, until nothing gets better or the trials are used up.
  std::vector<std::size_t> exchanged(const std::vector<std::size_t>& set, std::int64_t trials);
  std::vector<std::size_t> build_order(const std::vector<std::size_t>& set);
  double value_of(const std::vector<std::size_t>& set);
  std::vector<double> values_along(const std::vector<std::size_t>& order);

 private:
  void forget_gains();
  void set_to(const std::vector<std::size_t>& set);
  std::vector<Worth> worth_with(const std::vector<std::vector<std::size_t>>& flips);
  double for_limit(std::size_t site, GreedyBy by, double gain) const;
  /// Fills `plan` with the best next ones out of `from`, lazily; the order in which they came.
  std::vector<std::size_t> fill(Plan& plan, const std::vector<std::size_t>& from, GreedyBy by);
  bool exchange_one(Plan& plan, std::size_t out, double now, std::int64_t& trials);
  void leave_out_idle(Plan& plan);
  std::vector<std::size_t> musts() const;

  const std::vector<ChoiceSite>& sites_;
  const ChoiceLimits& limits_;
  base::Workers workers_;
  std::vector<std::unique_ptr<PlanValue>> hands_;  // one for each thread; all hold the same set
  std::vector<std::size_t> set_;
  std::vector<AloneWorth> alone_;
  std::vector<double> last_gain_;  // when last looked at
};

}  // namespace curbshed::siting
