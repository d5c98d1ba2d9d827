// The best set of cuts under limits.
#pragma once

#include "curbshed/base/parallel.hpp"
#include "curbshed/siting/knapsack.hpp"

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

namespace curbshed::siting {

/// A place where a cut may be made, as the choice sees it.
struct ChoiceSite {
  std::string id = {};
  double money = 0.0;  ///< ≥ 0
  double digging_m3 = 0.0;
  std::string block = {};     ///< block face; "" = none
  std::int32_t curb = -1;     ///< spacing is kept along it; −1 = none
  double along_curb_m = 0.0;  ///< place on it
  bool must = false;
  bool never = false;  ///< the user's word, a limit that it is over, or an owner who says no
};

struct ChoiceLimits {
  PackLimits pack = {};
  double least_spacing_m = 0.0;  ///< between two cuts of one curb; equal is allowed
};

/// What one site does by itself.
struct AloneWorth {
  double gain = 0.0;  ///< of value
  double lead = 0.0;  ///< gain of lead
  double most = 0.0;  ///< no set gains more by it, where the value says so; see gains_are_bounded
  /// Two shares of a bound on any set: no set is worth more than the sum of the one, nor of the other.
  double by_gain = 0.0;
  double by_room = 0.0;
};

struct Worth {
  double value = 0.0;
  /// Equal to value, or what leads a search there: a peak does not fall by one cut where two are needed.
  double lead = 0.0;
};

/// What a set of sites is worth; value 0 for none. Sites are numbers from 0.
class PlanValue {
 public:
  PlanValue() = default;
  PlanValue(const PlanValue&) = default;
  PlanValue& operator=(const PlanValue&) = default;
  virtual ~PlanValue() = default;

  virtual Worth worth() const = 0;
  /// After taking in those of `sites` that are out, and out those that are in; changes nothing. Two threads
  /// may not ask one object at once: each has its copy.
  virtual Worth worth_with(const std::vector<std::size_t>& sites) const = 0;
  virtual void flip(const std::vector<std::size_t>& sites) = 0;
  virtual std::unique_ptr<PlanValue> copy() const = 0;
  /// Asked while no site is in.
  virtual AloneWorth alone(std::size_t site) const = 0;
  /// AloneWorth::most is never less than what the site adds to any set.
  virtual bool gains_are_bounded() const = 0;
  /// No set within the limits is worth more. Asked while no site is in.
  virtual double bound(const std::vector<ChoiceSite>& sites, const PackLimits& limits,
                       const std::vector<AloneWorth>& alone) const = 0;
};

/// How long to look.
struct ChoiceEffort {
  std::int64_t exact_sets = 1'500;       ///< sets tried at most to prove the best
  std::int64_t exchange_trials = 1'000;  ///< exchanges of one site for another tried at most
  std::int64_t packing_steps = 200'000;  ///< of the knapsack whose packing is tried as a set
};

struct Choice {
  std::vector<std::size_t> build_order;  ///< each the best next one of those chosen
  std::vector<double> value_after;       ///< of the first 1, 2, … of build_order
  double value = 0.0;
  double bound = 0.0;   ///< no set within the limits is worth more
  bool proved = false;  ///< every set was tried or ruled out
  double gap() const { return bound > 0.0 ? (bound - value) / bound : 0.0; }
};

/// All that must be are in, none that must never be. Greedy by gain and by gain for the part of the tightest
/// limit (gains of the last look are kept until they matter: lazy), the knapsack of stand-alone gains, the
/// better of them improved by exchanging one for one; then, if it can be done with `exact_sets`, every other
/// set is tried or ruled out by the bound. Sites of no gain are left out. The same for any number of threads;
/// ties go to the earlier site. Throws InputError when the sites that must be built break a limit.
Choice choose(const std::vector<ChoiceSite>& sites, const ChoiceLimits& limits, const PlanValue& value,
              const ChoiceEffort& effort = {}, base::Workers workers = {});

}  // namespace curbshed::siting
