// A pipe that always stands full: it dips under a path and rises again.
#pragma once

#include "curbshed/base/quantity.hpp"

#include <string_view>

namespace curbshed::water {

inline constexpr std::string_view kFullPipeSource =
    "Manning's law for a full round pipe, V = R^(2/3) S^(1/2) / n, R = D/4 (FHWA HEC-22, 3rd ed., 2009, eq. "
    "3-5), "
    "and losses at entry, bends and exit as multiples of V²/2g";

struct FullPipe {
  base::Length diameter;      ///< inside, > 0
  base::Length length;        ///< along the pipe, ≥ 0
  base::Roughness roughness;  ///< Manning n
  double local_losses = 0.0;  ///< sum of the coefficients of entry, bends and exit, ≥ 0
};
struct PipeHead {
  double velocity_m_s = 0.0;
  base::Length friction;
  base::Length local;
  base::Length lost;  ///< both
};
/// Head lost at a flow: L (V n / R^(2/3))² + ΣK V²/2g. No flow → none. Grows with flow. InputError outside
/// the ranges. Neglects air that is trapped and whatever settles at the low point.
PipeHead head_lost(const FullPipe& pipe, base::Flow flow);

/// Mean speed of a full pipe on a grade: R^(2/3) S^(1/2) / n.
double full_speed_m_s(base::Length diameter, base::Slope grade, base::Roughness roughness);

/// Largest flow for which the head lost is no more than `drop` (inlet's water level − outlet's). drop ≤ 0 →
/// 0.
base::Flow flow_at_drop(const FullPipe& pipe, base::Length drop);

}  // namespace curbshed::water
