// Infiltration into soil that takes less the more it has taken: Green-Ampt and Horton.
#pragma once

#include "curbshed/base/quantity.hpp"

#include <optional>
#include <string_view>

namespace curbshed::water {

inline constexpr std::string_view kGreenAmptSource =
    "Green & Ampt as in Rawls, Brakensiek & Miller 1983, J. Hydraul. Eng. 109(1):62-70, eqs. 1-2, with "
    "ponding "
    "time under steady rain as in Bedient, Huber & Vieux, Hydrology and Floodplain Analysis, 5th ed., eqs. "
    "2-52, 2-53";
inline constexpr std::string_view kHortonSource =
    "Horton's relation as in Bedient, Huber & Vieux, Hydrology and Floodplain Analysis, 5th ed., ch. 2; rain "
    "below the capacity: capacity as a function of what has gone in";

/// A soil by Green and Ampt.
struct GreenAmptSoil {
  base::Length suction;     ///< ψ at the wetting front, ≥ 0
  double deficit = 0.0;     ///< Δθ, share of the soil's volume that can still fill, 0 to 1
  base::Rate conductivity;  ///< K, > 0
};
/// A soil by Horton.
struct HortonSoil {
  base::Rate initial;        ///< f0 ≥ fc
  base::Rate final;          ///< fc ≥ 0
  double decay_per_s = 0.0;  ///< k > 0
};

/// What has gone in after a time, and how fast it goes in then.
struct Infiltrated {
  std::optional<base::Duration> ponding;  ///< when water begins to stand; 0 from the start; absent = never
  base::Length depth;                     ///< infiltrated by `time`
  base::Rate rate;                        ///< at `time`
};

/// From dry ground. With `rain`: steady rain; without: water stands from the start.
/// Green-Ampt, ponded: F − ψΔθ ln(1 + F/ψΔθ) = K t, f = K (1 + ψΔθ/F); rain i > K: Fp = K ψΔθ/(i − K), tp =
/// Fp/i, after it F − Fp − ψΔθ ln((ψΔθ + F)/(ψΔθ + Fp)) = K (t − tp); rain i ≤ K never ponds. Source:
/// kGreenAmptSource. One soil to any depth, a sharp front, the depth of standing water neglected. Errors
/// (InputError): values outside the ranges above, negative rain, a time of 0 or less (the rate has no end
/// there).
Infiltrated green_ampt(const GreenAmptSoil& soil, base::Duration time, std::optional<base::Rate> rain);
/// Horton, ponded: f = fc + (f0 − fc) e^(−kt), F its integral. Rain i < f0: water stands once F reaches that
/// of the time at which f = i; i ≤ fc never. Source: kHortonSource. Errors as above.
Infiltrated horton(const HortonSoil& soil, base::Duration time, std::optional<base::Rate> rain);

/// Plain numbers of a law, for steps of a storm.
struct RawInfiltration {
  enum class Law : unsigned char { GreenAmpt, Horton } law = Law::GreenAmpt;
  double conductivity_m_s = 0.0;      ///< K, or fc
  double suction_deficit_m = 0.0;     ///< ψΔθ
  double initial_m_s = 0.0;           ///< f0
  double decay_per_s = 1.0;           ///< k
  double recovery_s = 12.0 * 3600.0;  ///< dry time after which the soil is as at the start, > 0
};
RawInfiltration raw_infiltration(const GreenAmptSoil& soil);
RawInfiltration raw_infiltration(const HortonSoil& soil);

/// Depth in after `step_s` of standing water, when `before_m` had gone in. Grows with both.
double ponded_depth_m(const RawInfiltration& soil, double before_m, double step_s);
/// Most that the soil takes at once; infinite for Green-Ampt with nothing in.
double capacity_m_s(const RawInfiltration& soil, double taken_m);

/// Where one soil stands. A new object = soil as at the start.
struct InfiltrationState {
  double taken_m = 0.0;    ///< that still counts against the capacity
  double at_rest_m = 0.0;  ///< the same when the rain last ended
  double dry_s = 0.0;      ///< since then
};

/// Depth that goes in within a step of steady rain (and run-on) `rain_m`; water that does not go in runs off.
/// Water may begin to stand within the step: the time is found, not rounded to the step. In a dry step the
/// soil recovers: `taken_m` falls evenly, by its whole in `recovery_s` after the rain ends (our assumption,
/// no source; at `recovery_s` as with the curve number). Guarantees: 1 0 ≤ result ≤ rain_m; 2 under steady
/// rain the steps add up to green_ampt and horton, however cut; 3 more rain never gives less runoff within
/// one burst. rain_m ≥ 0, step_s > 0 (not checked).
double infiltration_of_step_m(InfiltrationState& state, const RawInfiltration& soil, double rain_m,
                              double step_s);

}  // namespace curbshed::water
