// Symbols: Q flow, L length, W width, T spread, V mean speed, Sx cross slope, d depth, P perimeter, A open
// area.
#include "curbshed/water/inlet.hpp"

#include "curbshed/base/quantity.hpp"
#include "curbshed/water/gutter_forms.hpp"

#include <algorithm>
#include <cmath>

namespace curbshed::water {
namespace {

constexpr double kSideFlow = 0.0828;   // SI; kGrateSource
constexpr double kSplashFlow = 0.295;  // SI; kGrateSource

double speed_of_head_m_s(double d) { return std::sqrt(2.0 * base::kGravity_m_s2 * d); }

double grate_on_grade_m3_s(const InletShape& inlet, const RawGutter& gutter, double Q) {
  const double L = inlet.clear_length_m;
  if (!(L > 0.0)) {
    return 0.0;
  }
  const double V = velocity_at_flow_m_s(gutter, Q);
  const double Sx = slope_at_flow(gutter, Q);
  const double frontal = flow_share_within(gutter, inlet.width_m, Q);
  const double side = 1.0 / (1.0 + kSideFlow * std::pow(V, 1.8) / (Sx * std::pow(L, 2.3)));
  const double over_m_s = inlet.splash_over_m_s ? std::max(0.0, V - *inlet.splash_over_m_s) : 0.0;
  const double held = std::max(0.0, 1.0 - kSplashFlow * over_m_s);
  return Q * std::min(1.0, frontal * held + (1.0 - frontal) * side);
}

}  // namespace

double rated_m3_s(const Rating& rating, double at) {
  if (!(at > 0.0) || rating.pairs.empty()) {
    return 0.0;
  }
  const auto next = std::lower_bound(rating.pairs.begin(), rating.pairs.end(), at,
                                     [](const RatingPair& pair, double x) { return pair.at < x; });
  if (next == rating.pairs.end()) {
    return rating.pairs.back().captured_m3_s;
  }
  const RatingPair before = next == rating.pairs.begin() ? RatingPair{} : *(next - 1);
  if (!(next->at > before.at)) {
    return next->captured_m3_s;
  }
  return before.captured_m3_s +
         (next->captured_m3_s - before.captured_m3_s) * (at - before.at) / (next->at - before.at);
}

double inlet_on_grade_m3_s(const InletShape& inlet, const RawOpening& opening, const RawGutter& gutter,
                           double flow_m3_s) {
  if (!(flow_m3_s > 0.0)) {
    return 0.0;
  }
  if (inlet.rating != nullptr) {
    const double at = inlet.rating->by_depth ? depth_at_flow_m(gutter, flow_m3_s) : flow_m3_s;
    return std::min(flow_m3_s, inlet.rated_share * rated_m3_s(*inlet.rating, at));
  }
  return inlet.kind == InletKind::Grate ? grate_on_grade_m3_s(inlet, gutter, flow_m3_s)
                                        : captured_m3_s(opening, gutter, flow_m3_s);
}

double inlet_in_pond_m3_s(const InletShape& inlet, const RawSagOpening& sag, double depth_m) {
  if (!(depth_m > 0.0)) {
    return 0.0;
  }
  if (inlet.rating != nullptr && inlet.rating->by_depth) {
    return inlet.rated_share * rated_m3_s(*inlet.rating, depth_m);
  }
  const double L = inlet.clear_length_m;
  const double W = inlet.width_m;
  const double weir = depth_m * std::sqrt(depth_m);
  switch (inlet.kind) {
    case InletKind::CurbOpening:
      break;
    case InletKind::Grate: {
      const double P = L > 0.0 ? L + 2.0 * W : 0.0;  // none along the curb
      return std::min(inlet.weir.value_or(kGrateWeirConstant) * P * weir,
                      inlet.orifice.value_or(kGrateOrificeConstant) * L * W * inlet.open_share *
                          speed_of_head_m_s(depth_m));
    }
    case InletKind::Slotted:
      return std::min(inlet.weir.value_or(kSlotWeirConstant) * L * weir,
                      inlet.orifice.value_or(kSlotOrificeConstant) * L * W * speed_of_head_m_s(depth_m));
  }
  return sag_opening_m3_s(sag, depth_m);
}

}  // namespace curbshed::water
