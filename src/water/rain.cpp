#include "curbshed/water/rain.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <functional>
#include <numeric>

#include <fmt/format.h>

namespace curbshed::water {
namespace {

struct SharePoint {
  double minutes;
  double share;
};
constexpr std::array<SharePoint, 5> kShares{
    {{5.0, 0.29}, {10.0, 0.45}, {15.0, 0.57}, {30.0, 0.79}, {60.0, 1.0}}};
constexpr double kLongestBurst_h = 24.0;
constexpr double kWholeWithin = 1e-9;

[[noreturn]] void refuse(std::string what, std::string allowed, std::string next) {
  throw base::InputError({}, std::move(what), std::move(allowed), std::move(next));
}

std::size_t whole_blocks(const BlockStorm& storm) {
  const double block_s = storm.block.in_seconds();
  const double duration_s = storm.duration.in_seconds();
  if (!(block_s > 0.0))
    refuse(fmt::format("a rain block of {} s is not usable", block_s), "over 0 s",
           "give a block length such as 5 min");
  const double blocks = duration_s / block_s;
  const double whole = std::round(blocks);
  if (!(whole >= 1.0) || std::fabs(blocks - whole) > kWholeWithin * whole ||
      storm.duration.in_hours() > kLongestBurst_h) {
    refuse(
        fmt::format("a burst of {} min in blocks of {} min is not usable", duration_s / 60.0, block_s / 60.0),
        "a whole number of blocks, at most 24 h in all", "change the duration or the block length");
  }
  return static_cast<std::size_t>(whole);
}

std::vector<double> alternating_weights(std::size_t blocks, base::Duration block) {
  std::vector<double> by_size(blocks);
  double below = 0.0;
  for (std::size_t k = 0; k < blocks; ++k) {
    const double share = share_of_hour(block * static_cast<double>(k + 1));
    by_size[k] = share - below;
    below = share;
  }
  return alternating_order(std::move(by_size));
}

void check_shape(const std::vector<double>& shape, std::size_t blocks) {
  if (shape.size() != blocks) {
    refuse(fmt::format("a rain shape of {} values does not fit a burst of {} blocks", shape.size(), blocks),
           "one value a block", "give as many values as the duration has blocks");
  }
  for (const double value : shape) {
    if (!std::isfinite(value) || value < 0.0) {
      refuse(fmt::format("{} in a rain shape is not usable", value), "numbers of 0 or more",
             "mend that value");
    }
  }
  if (!(std::accumulate(shape.begin(), shape.end(), 0.0) > 0.0)) {
    refuse("a rain shape of zeros has no rain", "at least one value over 0",
           "give the relative depth of each block");
  }
}

}  // namespace

double share_of_hour(base::Duration span) {
  const double minutes = span.in_minutes();
  if (!(minutes > 0.0))
    refuse(fmt::format("a rain span of {} min is not usable", minutes), "over 0 min", "give a longer span");
  std::size_t upper = 1;
  while (upper + 1 < kShares.size() && minutes > kShares[upper].minutes) ++upper;
  const SharePoint& a = kShares[upper - 1];
  const SharePoint& b = kShares[upper];
  const double power = std::log(b.share / a.share) / std::log(b.minutes / a.minutes);
  return b.share * std::pow(minutes / b.minutes, power);
}

std::vector<double> alternating_order(std::vector<double> blocks) {
  std::sort(blocks.begin(), blocks.end(), std::greater<>());
  std::vector<double> placed(blocks.size());
  const std::size_t middle = blocks.empty() ? 0 : (blocks.size() - 1) / 2;
  for (std::size_t k = 0; k < blocks.size(); ++k) {
    const std::size_t away = (k + 1) / 2;
    placed[k % 2 == 1 ? middle + away : middle - away] = blocks[k];
  }
  return placed;
}

std::vector<double> block_depths_m(const BlockStorm& storm) {
  const double depth_m = storm.depth.in_metres();
  if (depth_m < 0.0) {
    refuse(fmt::format("a rain depth of {} mm is not usable", depth_m * 1000.0), "0 mm or more",
           "give the depth of the burst");
  }
  const std::size_t blocks = whole_blocks(storm);
  if (!storm.shape.empty()) check_shape(storm.shape, blocks);
  std::vector<double> depths = storm.shape.empty() ? alternating_weights(blocks, storm.block) : storm.shape;
  const double whole = std::accumulate(depths.begin(), depths.end(), 0.0);
  for (double& depth : depths) depth = depth_m * (depth / whole);
  const auto largest = std::max_element(depths.begin(), depths.end());
  *largest = std::max(0.0, *largest + (depth_m - std::accumulate(depths.begin(), depths.end(), 0.0)));
  return depths;
}

std::vector<double> step_depths_m(const std::vector<double>& blocks_m, const StepSplit& split) {
  if (!(split.block_s > 0.0) || !(split.step_s > 0.0) || !(split.after_s >= 0.0) ||
      !std::isfinite(split.after_s) || !std::isfinite(split.block_s) || !std::isfinite(split.step_s)) {
    refuse(fmt::format("rain blocks of {} s in steps of {} s with {} s after are not usable", split.block_s,
                       split.step_s, split.after_s),
           "block and step over 0 s, after 0 s or more", "mend the rain settings");
  }
  std::vector<double> fallen_m(blocks_m.size() + 1, 0.0);
  std::partial_sum(blocks_m.begin(), blocks_m.end(), fallen_m.begin() + 1);
  const auto steps_in = [&](double seconds) {
    return static_cast<std::size_t>(std::ceil(seconds / split.step_s - kWholeWithin));
  };
  const double last = static_cast<double>(blocks_m.size());
  const auto fallen_by = [&](double seconds) {
    const double place = seconds / split.block_s;
    if (place >= last) return fallen_m.back();
    const auto block = static_cast<std::size_t>(place);
    return fallen_m[block] + (place - static_cast<double>(block)) * blocks_m[block];
  };
  const std::size_t rainy = steps_in(last * split.block_s);
  std::vector<double> steps(rainy + steps_in(split.after_s), 0.0);
  double before_m = 0.0;
  for (std::size_t j = 0; j < rainy; ++j) {
    const double now_m =
        j + 1 == rainy ? fallen_m.back() : fallen_by(static_cast<double>(j + 1) * split.step_s);
    steps[j] = std::max(0.0, now_m - before_m);
    before_m = now_m;
  }
  return steps;
}

}  // namespace curbshed::water
