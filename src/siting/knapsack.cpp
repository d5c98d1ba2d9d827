#include "curbshed/siting/knapsack.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

namespace curbshed::siting {
namespace {

using base::ensure;

/// What is still free under each limit; a block's own count by its number.
struct Room {
  std::optional<std::int64_t> count;
  std::optional<double> money;
  std::optional<double> digging_m3;
  std::vector<std::int64_t> block;  // empty = no such limit
};

class Packer {
 public:
  Packer(const std::vector<Parcel>& parcels, const PackLimits& limits) : parcels_(parcels) {
    room_ = {limits.count, limits.money, limits.digging_m3, {}};
    number_blocks(limits);
    order_.reserve(parcels.size());
    for (std::size_t p = 0; p < parcels.size(); ++p) {
      const Parcel& parcel = parcels[p];
      ensure(parcel.money >= 0.0 && parcel.digging_m3 >= 0.0 && std::isfinite(parcel.worth) &&
                 !(parcel.must && parcel.never),
             "a parcel has a worth and weights that are not negative");
      if (parcel.must) {
        take(p);
      } else if (!parcel.never && parcel.worth > 0.0) {
        order_.push_back(p);
      }
    }
    std::stable_sort(order_.begin(), order_.end(),
                     [&](std::size_t a, std::size_t b) { return share(parcels_[a]) > share(parcels_[b]); });
    by_worth_ = order_;
    std::stable_sort(by_worth_.begin(), by_worth_.end(),
                     [&](std::size_t a, std::size_t b) { return parcels_[a].worth > parcels_[b].worth; });
    by_money_ = by_share([](const Parcel& p) { return p.money; });
    by_digging_ = by_share([](const Parcel& p) { return p.digging_m3; });
    place_.assign(parcels.size(), 0);
    for (std::size_t i = 0; i < order_.size(); ++i) {
      place_[order_[i]] = i;
    }
  }

  double bound() const { return worth_ + most_from(0); }

  Packing pack(std::int64_t steps) {
    Packing out;
    out.bound = bound();
    steps_ = steps;
    best_worth_ = worth_;
    best_ = taken_;
    branch(0);
    out.taken = best_;
    std::sort(out.taken.begin(), out.taken.end());
    out.worth = best_worth_;
    out.proved = steps_ > 0;
    if (out.proved) {
      out.bound = out.worth;
    }
    return out;
  }

 private:
  void number_blocks(const PackLimits& limits) {
    if (!limits.per_block) {
      return;
    }
    std::map<std::string, std::size_t> numbers;
    for (const Parcel& parcel : parcels_) {
      block_.push_back(parcel.block.empty() ? kNone
                                            : numbers.emplace(parcel.block, numbers.size()).first->second);
    }
    room_.block.assign(numbers.size(), *limits.per_block);
  }

  /// Worth for the part of the tightest limit that it uses.
  double share(const Parcel& parcel) const {
    double used = 0.0;
    const auto add = [&](double weight, double limit) {
      used = std::max(used, limit > 0.0 ? weight / limit : weight > 0.0 ? kHuge : 0.0);
    };
    if (room_.count) {
      add(1.0, static_cast<double>(*room_.count));
    }
    if (room_.money) {
      add(parcel.money, *room_.money);
    }
    if (room_.digging_m3) {
      add(parcel.digging_m3, *room_.digging_m3);
    }
    return parcel.worth / std::max(used, 1.0 / kHuge);
  }

  template <class Weight>
  std::vector<std::size_t> by_share(const Weight& weight) const {
    std::vector<std::size_t> sorted = order_;
    std::stable_sort(sorted.begin(), sorted.end(), [&](std::size_t a, std::size_t b) {
      return parcels_[a].worth * weight(parcels_[b]) > parcels_[b].worth * weight(parcels_[a]);
    });
    return sorted;
  }

  template <class Weight>
  double most_under(const std::vector<std::size_t>& sorted, std::size_t from, double room,
                    const Weight& weight) const {
    double sum = 0.0;
    for (const std::size_t p : sorted) {
      if (place_[p] < from) {
        continue;
      }
      const double needs = weight(parcels_[p]);
      if (needs > room) {
        return needs > 0.0 ? sum + parcels_[p].worth * std::max(room, 0.0) / needs : sum;
      }
      room -= needs;
      sum += parcels_[p].worth;
    }
    return sum;
  }

  double most_by_blocks(std::size_t from) const {
    std::vector<std::int64_t> left = room_.block;
    double sum = 0.0;
    for (const std::size_t p : by_worth_) {
      if (place_[p] >= from && (block_[p] == kNone || left[block_[p]]-- > 0)) {
        sum += parcels_[p].worth;
      }
    }
    return sum;
  }

  /// Most that the parcels from place `from` of the order on can add: the least over the limits.
  double most_from(std::size_t from) const {
    double most = 0.0;
    for (std::size_t i = from; i < order_.size(); ++i) {
      most += parcels_[order_[i]].worth;
    }
    if (room_.count) {
      most = std::min(most, most_under(by_worth_, from, static_cast<double>(*room_.count),
                                       [](const Parcel&) { return 1.0; }));
    }
    if (room_.money) {
      most =
          std::min(most, most_under(by_money_, from, *room_.money, [](const Parcel& p) { return p.money; }));
    }
    if (room_.digging_m3) {
      most = std::min(most, most_under(by_digging_, from, *room_.digging_m3,
                                       [](const Parcel& p) { return p.digging_m3; }));
    }
    return room_.block.empty() ? most : std::min(most, most_by_blocks(from));
  }

  bool fits(std::size_t p) const {
    const Parcel& parcel = parcels_[p];
    return (!room_.count || *room_.count >= 1) && (!room_.money || parcel.money <= *room_.money) &&
           (!room_.digging_m3 || parcel.digging_m3 <= *room_.digging_m3) &&
           (room_.block.empty() || block_[p] == kNone || room_.block[block_[p]] >= 1);
  }

  void take(std::size_t p) {
    taken_.push_back(p);
    worth_ += parcels_[p].worth;
    change(p, 1);
  }

  void change(std::size_t p, int sign) {
    if (room_.count) {
      *room_.count -= sign;
    }
    if (room_.money) {
      *room_.money -= sign * parcels_[p].money;
    }
    if (room_.digging_m3) {
      *room_.digging_m3 -= sign * parcels_[p].digging_m3;
    }
    if (!room_.block.empty() && block_[p] != kNone) {
      room_.block[block_[p]] -= sign;
    }
  }

  /// Depth is at most the number of parcels: the with-branch first, so the first leaf is the greedy packing.
  void branch(std::size_t from) {
    if (worth_ > best_worth_) {
      best_worth_ = worth_;
      best_ = taken_;
    }
    for (; from < order_.size(); ++from) {
      if (steps_ <= 0 || worth_ + most_from(from) <= best_worth_) {
        return;
      }
      --steps_;
      const std::size_t p = order_[from];
      if (!fits(p)) {
        continue;
      }
      const Room before = room_;
      const double worth_before = worth_;
      take(p);
      branch(from + 1);
      taken_.pop_back();
      worth_ = worth_before;  // not by subtraction: no rounding creeps in
      room_ = before;
    }
  }

  static constexpr double kHuge = 1e300;
  static constexpr std::size_t kNone = static_cast<std::size_t>(-1);
  const std::vector<Parcel>& parcels_;
  Room room_;
  std::vector<std::size_t> block_;
  std::vector<std::size_t> order_;  // free parcels, by worth for the part of the tightest limit
  std::vector<std::size_t> place_;  // in order_, one a parcel
  std::vector<std::size_t> by_worth_;
  std::vector<std::size_t> by_money_;
  std::vector<std::size_t> by_digging_;
  std::vector<std::size_t> taken_;
  std::vector<std::size_t> best_;
  double worth_ = 0.0;
  double best_worth_ = 0.0;
  std::int64_t steps_ = 0;
};

}  // namespace

double packing_bound(const std::vector<Parcel>& parcels, const PackLimits& limits) {
  return Packer(parcels, limits).bound();
}

Packing pack(const std::vector<Parcel>& parcels, const PackLimits& limits, std::int64_t steps) {
  return Packer(parcels, limits).pack(steps);
}

}  // namespace curbshed::siting
