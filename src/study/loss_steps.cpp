#include "study/loss_steps.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/water/losses.hpp"

#include <algorithm>

namespace curbshed::study {
namespace {

constexpr double kBurst_s = 3600.0;

void by_curve_number(const LossClass& loss, const std::vector<double>& falling_m, const Storm& storm,
                     std::vector<double>& excess_m) {
  const water::LossLaw law{.retention_m = water::CurveNumber::of(loss.curve_number).retention().in_metres(),
                           .dry_reset_s = storm.dry_reset_s};
  water::LossState state;
  for (std::size_t k = 0; k < falling_m.size(); ++k) {
    excess_m[k] = std::min(falling_m[k], water::excess_of_step_m(state, law, falling_m[k], storm.step_s));
  }
}

void by_revised_number(const LossClass& loss, const std::vector<double>& falling_m, const Storm& storm,
                       std::vector<double>& excess_m) {
  const double retention_m = water::revised_retention(water::CurveNumber::of(loss.curve_number)).in_metres();
  double fallen_m = 0.0;
  double run_off_m = 0.0;
  double dry_s = 0.0;
  for (std::size_t k = 0; k < falling_m.size(); ++k) {
    excess_m[k] = 0.0;
    if (!(falling_m[k] > 0.0)) {
      dry_s += storm.step_s;
      continue;
    }
    if (dry_s >= storm.dry_reset_s) fallen_m = run_off_m = 0.0;
    dry_s = 0.0;
    fallen_m += falling_m[k];
    const double by_now_m = water::excess_m(fallen_m, retention_m, water::kRevisedAbstractionShare);
    excess_m[k] = std::clamp(by_now_m - run_off_m, 0.0, falling_m[k]);
    run_off_m = by_now_m;
  }
}

void by_infiltration(const LossClass& loss, const std::vector<double>& falling_m, const Storm& storm,
                     std::vector<double>& excess_m) {
  water::RawInfiltration soil = *loss.infiltration;
  soil.recovery_s = storm.dry_reset_s;
  water::InfiltrationState state;
  for (std::size_t k = 0; k < falling_m.size(); ++k) {
    excess_m[k] =
        std::max(0.0, falling_m[k] - water::infiltration_of_step_m(state, soil, falling_m[k], storm.step_s));
  }
}

}  // namespace

LossRule rule_for(const LossClass& loss, const Storm& storm) {
  if (!loss.bursts_by_infiltration) return loss.rule;
  std::size_t rainy = storm.rain_m.size();
  while (rainy > 0 && !(storm.rain_m[rainy - 1] > 0.0)) --rainy;
  // The last step of an hour may lie over its end.
  return static_cast<double>(rainy) * storm.step_s < kBurst_s ? LossRule::Infiltration : loss.rule;
}

void steps_of_excess(const LossClass& loss, const std::vector<double>& falling_m, const Storm& storm,
                     std::vector<double>& excess_m) {
  excess_m.assign(falling_m.size(), 0.0);
  switch (rule_for(loss, storm)) {
    case LossRule::CurveNumber:
      return by_curve_number(loss, falling_m, storm, excess_m);
    case LossRule::CurveNumberRevised:
      return by_revised_number(loss, falling_m, storm, excess_m);
    case LossRule::Infiltration:
      base::ensure(loss.infiltration.has_value(), "a class that infiltrates has a soil");
      return by_infiltration(loss, falling_m, storm, excess_m);
    case LossRule::Coefficient:
      for (std::size_t k = 0; k < falling_m.size(); ++k) excess_m[k] = falling_m[k] * loss.coefficient;
      return;
  }
}

}  // namespace curbshed::study
