// Losses at the source: the curve number, used as cumulative excess.
#pragma once

#include "curbshed/base/quantity.hpp"

#include <string_view>

namespace curbshed::water {

inline constexpr std::string_view kCurveNumberSource =
    "NRCS TR-55, Urban Hydrology for Small Watersheds, 2nd ed., June 1986, eqs. 2-1 to 2-4";
inline constexpr double kInitialAbstractionShare = 0.2;  ///< Ia = 0.2 S (same source, eq. 2-2)

/// Runoff curve number, average condition, Ia = 0.2 S. 30 to 100 (30 is the least that the tables use).
class CurveNumber {
 public:
  static CurveNumber of(double v) {
    return CurveNumber(base::detail::within(v, 30.0, 100.0, "curve number"));
  }
  double value() const { return value_; }
  /// S = 1000/CN − 10 inches: what the ground can still hold after runoff begins. 0 at CN 100.
  base::Length retention() const { return base::Length::inches(1000.0 / value_ - 10.0); }
  /// Ia = 0.2 S: rain before any runoff.
  base::Length initial_abstraction() const { return kInitialAbstractionShare * retention(); }

 private:
  explicit CurveNumber(double v) : value_(v) {}
  double value_;
};

/// Runoff depth of a rain: Q = (P − Ia)² / (P − Ia + S) for P > Ia, else 0.
/// rain ≥ 0 (InputError). The relation has no length constants, so SI and inches give the same. Source:
/// kCurveNumberSource. Meant for the whole depth of an event; soils under bursts shorter than an hour are
/// outside what it was fitted to. Edges: no rain → 0; CN 100 → all of it. Neglects intensity and recovery
/// within an event. Accuracy: TR-55 table 2-1 within its printed 0.01 in, one cell excepted (see tests).
base::Length runoff_depth(CurveNumber cn, base::Length rain);

enum class RunoffCondition : unsigned char { Dry, Average, Wet };  ///< antecedent runoff condition I, II, III
inline constexpr std::string_view kConditionSource =
    "Chow, Maidment & Mays 1988, Applied Hydrology, ch. 5: CN I = 4.2 CN / (10 - 0.058 CN), CN III = 23 CN / "
    "(10 + "
    "0.13 CN) (from memory)";
/// The number of the tables on drier or wetter ground, at least 30. Source: kConditionSource.
CurveNumber under_condition(CurveNumber average, RunoffCondition condition);

inline constexpr std::string_view kRevisedRatioSource =
    "Hawkins, Jiang, Woodward, Hjelmfelt & Van Mullem 2002, Runoff Curve Number Method: Examination of the "
    "Initial Abstraction Ratio: S(0.05) = 1.33 S(0.2)^1.15 in inches (conversion from memory)";
inline constexpr double kRevisedAbstractionShare = 0.05;
/// S for an initial abstraction of 0.05 S, from a curve number of the usual tables. Source:
/// kRevisedRatioSource.
base::Length revised_retention(CurveNumber cn);
/// (P − r S)² / (P − r S + S) for P > r S, else 0; metres.
double excess_m(double rain_m, double retention_m, double abstraction_ratio);

/// The same for inner loops: rain since the abstraction was last whole, retention S; metres, both ≥ 0.
/// Never more than rain_m; 0 up to 0.2 S.
inline double cumulative_excess_m(double rain_m, double retention_m) {
  const double over_m = rain_m - kInitialAbstractionShare * retention_m;
  return over_m > 0.0 ? over_m * (over_m / (over_m + retention_m)) : 0.0;
}

/// Where one surface stands in its event. A new object = dry ground, abstraction whole.
struct LossState {
  double fallen_m = 0.0;  ///< rain (and run-on) since the abstraction was last whole
  double excess_m = 0.0;  ///< runoff since then
  double dry_s = 0.0;     ///< time without any since the last
};

/// How one surface loses water.
struct LossLaw {
  double retention_m = 0.0;  ///< S of its curve number
  double dry_reset_s =
      12.0 * 3600.0;  ///< dry time after which the abstraction is whole again; our default, editable
};

/// Excess depth of one step: the growth of the cumulative excess. Guarantees: 1 never negative, never more
/// than rain_m plus rounding; 2 over an event the steps add up to runoff_depth of the event, however it is
/// cut into steps; 3 more rain never gives less. rain_m ≥ 0, step_s > 0 (not checked). The reset happens at
/// the first rain after the dry spell.
double excess_of_step_m(LossState& state, const LossLaw& law, double rain_m, double step_s);

}  // namespace curbshed::water
