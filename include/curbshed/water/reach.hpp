// Translation: water that comes out as it went in, later.
#pragma once

#include <cstddef>
#include <vector>

namespace curbshed::water {

/// A delay in steps: share 1 − later goes to step `whole`, share `later` to the next.
struct DelaySplit {
  std::size_t whole = 0;
  double later = 0.0;  ///< 0 to 1
};
/// delay_s ≥ 0 and finite, step_s > 0 (BugError). Delay 0: all in the same step.
DelaySplit delay_split(double delay_s, double step_s);

/// Steady flow whose small waves (celerity 4/3 V) are as slow as the middle of a hydrograph that enters a
/// gutter: (3/4 ΣQ / ΣQ^(3/4))^4 over even steps, m³/s; 0 where nothing flows. By continuity the first moment
/// of what passes grows along the way by ∫ A dt, whatever the wave does (shocks too), so the middle of the
/// water lags by L ∫A dt / ∫Q dt; in a triangle A grows with Q^(3/4). Exact for the entry's own shape;
/// derived here, no source. In gutters of other forms within a few per cent of celerity.
double reference_flow_m3_s(const std::vector<float>& flow_m3_s);

/// Water on its way, by the step in which it comes out. Copyable.
/// Guarantees: 1 what was put = what was taken + stored, within rounding; 2 nothing negative comes out of
/// what is not; 3 no spread but the linear split. Use where diffusion is negligible (steep short gutters);
/// constant delay for an event.
class DelayLine {
 public:
  DelayLine() : slots_m3_(2, 0.0) {}
  explicit DelayLine(DelaySplit longest) : slots_m3_(longest.whole + 2, 0.0) {}

  /// Volume that enters in the present step and leaves after `delay`, which must fit the longest (BugError).
  /// Does not allocate.
  void put(double volume_m3, DelaySplit delay);
  /// Volume that leaves in the present step; the line then stands at the next step. Put first, take last.
  double take();
  /// Volume inside: put and not yet taken.
  double stored_m3() const;

 private:
  std::vector<double> slots_m3_;
  std::size_t now_ = 0;
};

}  // namespace curbshed::water
