#include "curbshed/siting/value_sum.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>

namespace curbshed::siting {
namespace {

class ValueSum final : public PlanValue {
 public:
  explicit ValueSum(std::vector<WeightedValue> parts) : parts_(std::move(parts)) {}

  Worth worth() const override {
    return added([](const PlanValue& part) { return part.worth(); });
  }
  Worth worth_with(const std::vector<std::size_t>& sites) const override {
    return added([&](const PlanValue& part) { return part.worth_with(sites); });
  }
  void flip(const std::vector<std::size_t>& sites) override {
    for (WeightedValue& part : parts_) part.value->flip(sites);
  }
  std::unique_ptr<PlanValue> copy() const override {
    std::vector<WeightedValue> parts;
    for (const WeightedValue& part : parts_) parts.push_back({part.value->copy(), part.weight});
    return std::make_unique<ValueSum>(std::move(parts));
  }
  AloneWorth alone(std::size_t site) const override {
    AloneWorth sum;
    for (const WeightedValue& part : parts_) add(part.value->alone(site), part.weight, sum);
    return sum;
  }
  bool gains_are_bounded() const override {
    return std::all_of(parts_.begin(), parts_.end(),
                       [](const WeightedValue& part) { return part.value->gains_are_bounded(); });
  }
  /// Each part's own bound from its own stand-alone worths; not of the sums, whose shares belong together by
  /// part.
  double bound(const std::vector<ChoiceSite>& sites, const PackLimits& limits,
               const std::vector<AloneWorth>& alone) const override {
    double sum = 0.0;
    for (const WeightedValue& part : parts_) {
      std::vector<AloneWorth> own(alone.size());
      for (std::size_t s = 0; s < own.size(); ++s) {
        if (!sites[s].never) own[s] = part.value->alone(s);
      }
      sum += part.weight * part.value->bound(sites, limits, own);
    }
    return sum;
  }

 private:
  template <class Ask>
  Worth added(const Ask& ask) const {
    Worth sum;
    for (const WeightedValue& part : parts_) {
      const Worth one = ask(*part.value);
      sum.value += part.weight * one.value;
      sum.lead += part.weight * one.lead;
    }
    return sum;
  }
  static void add(const AloneWorth& one, double weight, AloneWorth& sum) {
    sum.gain += weight * one.gain;
    sum.lead += weight * one.lead;
    sum.most += weight * one.most;
    sum.by_gain += weight * one.by_gain;
    sum.by_room += weight * one.by_room;
  }

  std::vector<WeightedValue> parts_;
};

}  // namespace

std::unique_ptr<PlanValue> value_sum(std::vector<WeightedValue> parts) {
  base::ensure(!parts.empty(), "a sum has a part");
  for (const WeightedValue& part : parts) base::ensure(part.weight >= 0.0, "weights are not negative");
  return std::make_unique<ValueSum>(std::move(parts));
}

}  // namespace curbshed::siting
