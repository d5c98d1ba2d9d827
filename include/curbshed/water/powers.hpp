// Powers that a storm's time loop asks for most, faster than the general one.
#pragma once

#include <bit>
#include <cmath>
#include <cstdint>
#include <span>

namespace curbshed::water {

/// Cube root of x ≥ 0, within 4e-16 of its value; x under 1e-300 counts as 0. Source: Halley's steps from a
/// guess read off the exponent (Kahan's division of the bits by three; from memory).
inline double cube_root(double x) {
  constexpr std::uint64_t kThirdOfBias = 0x2A9F7893782DA1CE;
  if (!(x >= 1e-300)) return 0.0;
  double y = std::bit_cast<double>(std::bit_cast<std::uint64_t>(x) / 3 + kThirdOfBias);
  for (int i = 0; i < 2; ++i) {
    const double cube = y * y * y;
    y *= (cube + 2.0 * x) / (2.0 * cube + x);
  }
  return y - (y - x / (y * y)) * (1.0 / 3.0);
}

/// x^(8/3) and x^(3/8) for x ≥ 0, within 2e-15 of their values; the latter by three square roots.
inline double power_8_3(double x) {
  const double root = cube_root(x);
  return x * x * (root * root);
}
inline double power_3_8(double x) {
  const double eighth = std::sqrt(std::sqrt(std::sqrt(x)));
  return eighth * eighth * eighth;
}

/// to[i] = from[i]^exponent, many at once: within 1e-13 of its value where that lies between 1e-12 and 1e12;
/// from ≥ 0, under 1e-300 counts as 0 and gives 0. exponent over 0. Both the same length (BugError). The
/// same bits wherever a value stands in the list and whatever the machine's vectors. By log2 as the series of
/// artanh and exp2 as the series of the exponential, both cut where a term no longer counts.
void powers(std::span<const double> from, double exponent, std::span<double> to);

}  // namespace curbshed::water
