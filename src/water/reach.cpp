#include "curbshed/water/reach.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>

namespace curbshed::water {

DelaySplit delay_split(double delay_s, double step_s) {
  base::ensure(step_s > 0.0 && delay_s >= 0.0 && std::isfinite(delay_s / step_s),
               "a delay is finite and not negative");
  const double steps = delay_s / step_s;
  const double whole = std::floor(steps);
  return {.whole = static_cast<std::size_t>(whole), .later = steps - whole};
}

double reference_flow_m3_s(const std::vector<float>& flow_m3_s) {
  double sum = 0.0;
  double sum_area = 0.0;
  for (const float of_step : flow_m3_s) {
    const auto flow = static_cast<double>(std::max(0.0F, of_step));  // rounding may leave it just under 0
    const double root = std::sqrt(flow);
    sum += flow;
    sum_area += root * std::sqrt(root);
  }
  if (!(sum > 0.0)) return 0.0;
  const double fourth_root = 0.75 * sum / sum_area;
  return fourth_root * fourth_root * fourth_root * fourth_root;
}

void DelayLine::put(double volume_m3, DelaySplit delay) {
  base::ensure(delay.whole + 2 <= slots_m3_.size(), "a delay fits its line");
  std::size_t slot = now_ + delay.whole;
  if (slot >= slots_m3_.size()) slot -= slots_m3_.size();
  const double later_m3 = volume_m3 * delay.later;
  slots_m3_[slot] += volume_m3 - later_m3;
  if (++slot == slots_m3_.size()) slot = 0;
  slots_m3_[slot] += later_m3;
}

double DelayLine::take() {
  const double out_m3 = slots_m3_[now_];
  slots_m3_[now_] = 0.0;
  if (++now_ == slots_m3_.size()) now_ = 0;
  return out_m3;
}

double DelayLine::stored_m3() const {
  double sum_m3 = 0.0;
  for (std::size_t i = 0; i < slots_m3_.size(); ++i) {
    const std::size_t slot = now_ + i;
    sum_m3 += slots_m3_[slot < slots_m3_.size() ? slot : slot - slots_m3_.size()];
  }
  return sum_m3;
}

}  // namespace curbshed::water
