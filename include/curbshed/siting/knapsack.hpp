// Most that can be packed under several limits at once, and a bound on it.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace curbshed::siting {

struct Parcel {
  double worth = 0.0;  ///< of it alone; below 0 is never packed
  double money = 0.0;  ///< ≥ 0, as is digging
  double digging_m3 = 0.0;
  std::string block = {};  ///< "" = none
  bool must = false;
  bool never = false;
};

struct PackLimits {
  std::optional<std::int64_t> count = {};
  std::optional<double> money = {};
  std::optional<double> digging_m3 = {};
  std::optional<std::int64_t> per_block = {};
};

struct Packing {
  std::vector<std::size_t> taken;  ///< in rising order
  double worth = 0.0;
  double bound = 0.0;   ///< no packing is worth more
  bool proved = false;  ///< `worth` is the most there is
};

/// Each limit by itself, with parts of parcels allowed (Dantzig 1957, the relaxation of the 0-1 knapsack):
/// the least of these is a bound. Parcels that must be packed are; must and never exclude each other. Throws
/// BugError for a negative weight or a value that is no number.
double packing_bound(const std::vector<Parcel>& parcels, const PackLimits& limits);

/// Branch and bound over the same relaxation (Kolesar 1967), at most `steps` branches. The parcels that must
/// be packed have to fit. Of packings of the same worth the one with the earlier parcels is taken.
Packing pack(const std::vector<Parcel>& parcels, const PackLimits& limits, std::int64_t steps);

}  // namespace curbshed::siting
