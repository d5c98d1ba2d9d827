// Test seam of a storm run. Not installed: users cannot reach it.
#pragma once

#include <algorithm>
#include <cstdint>

namespace curbshed::study {

/// Where water changes hands. Each has one place in the code, between the taking and the booking.
enum class Process : std::uint8_t {
  None,
  Loss,
  Lateral,
  Reach,
  Opening,
  Infiltration,
  Rim,
  MouthReturn,
  Sag,
  Inlet,
  SideWay,
  Outfall,
  Edge,
  Screen,
  FirstFlush,
  TankUse,
  TankOverflow,
  LotBasin,
  LotOverflow,
  Evaporation,
  BasinRain,
  kCount
};

/// Test seam: loses `litres` once in one process, so that a test can see the ledger miss exactly that.
class DroppedWater {
 public:
  DroppedWater() = default;
  DroppedWater(Process process, double litres) : process_(process), left_m3_(litres / 1000.0) {}
  double pass(Process process, double volume_m3) {
    if (process != process_ || left_m3_ <= 0.0) {
      return volume_m3;
    }
    const double taken = std::min(left_m3_, std::max(volume_m3, 0.0));
    left_m3_ -= taken;
    return volume_m3 - taken;
  }
  bool all_lost() const { return left_m3_ <= 0.0; }

 private:
  Process process_ = Process::None;
  double left_m3_ = 0.0;
};

}  // namespace curbshed::study
