#include "curbshed/water/powers.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/base/vectors.hpp"

#include <cstddef>
#include <numbers>

namespace curbshed::water {
namespace {

constexpr std::uint64_t kExponentBits = 0xFFF0000000000000;
constexpr std::uint64_t kOne = 0x3FF0000000000000;         // of 1.0
constexpr std::uint64_t kRootOfHalf = 0x3FE6A09E667F3BCD;  // of √½
constexpr std::uint64_t kTwoTo52 = 0x4330000000000000;     // of 2^52
constexpr double kBiased = 4503599627370496.0 + 1023.0;    // 2^52 + bias
constexpr double kToWhole = 6755399441055744.0;            // 1.5 · 2^52: adding it rounds to a whole number
constexpr double kLeastPower = -1000.0;                    // 2 to it is nothing

inline double log2_of(double x) {
  const std::uint64_t bits = std::bit_cast<std::uint64_t>(x);
  const std::uint64_t over = bits - kRootOfHalf;
  const double exponent = std::bit_cast<double>(((over + kOne) >> 52U) | kTwoTo52) - kBiased;
  const double m = std::bit_cast<double>(bits - (over & kExponentBits));  // √½ to √2
  const double s = (m - 1.0) / (m + 1.0);
  const double t = s * s;
  double sum = 1.0 / 21.0;
  sum = sum * t + 1.0 / 19.0;
  sum = sum * t + 1.0 / 17.0;
  sum = sum * t + 1.0 / 15.0;
  sum = sum * t + 1.0 / 13.0;
  sum = sum * t + 1.0 / 11.0;
  sum = sum * t + 1.0 / 9.0;
  sum = sum * t + 1.0 / 7.0;
  sum = sum * t + 1.0 / 5.0;
  sum = sum * t + 1.0 / 3.0;
  sum = sum * t + 1.0;
  return exponent + 2.0 * std::numbers::log2e * (s * sum);
}

inline double exp2_of(double z) {
  const double shifted = z + kToWhole;
  const double r = (z - (shifted - kToWhole)) * std::numbers::ln2;
  double sum = 1.0 / 6227020800.0;  // 1/13!
  sum = sum * r + 1.0 / 479001600.0;
  sum = sum * r + 1.0 / 39916800.0;
  sum = sum * r + 1.0 / 3628800.0;
  sum = sum * r + 1.0 / 362880.0;
  sum = sum * r + 1.0 / 40320.0;
  sum = sum * r + 1.0 / 5040.0;
  sum = sum * r + 1.0 / 720.0;
  sum = sum * r + 1.0 / 120.0;
  sum = sum * r + 1.0 / 24.0;
  sum = sum * r + 1.0 / 6.0;
  sum = sum * r + 0.5;
  sum = sum * r + 1.0;
  sum = sum * r + 1.0;
  return std::bit_cast<double>(std::bit_cast<std::uint64_t>(sum) +
                               (std::bit_cast<std::uint64_t>(shifted) << 52U));
}

CURBSHED_VECTOR_CLONES void power_list(const double* from, std::size_t count, double exponent, double* to) {
  for (std::size_t i = 0; i < count; ++i) {
    const double x = from[i];
    double z = exponent * log2_of(x);
    z = z > kLeastPower ? z : kLeastPower;
    to[i] = x >= 1e-300 ? exp2_of(z) : 0.0;
  }
}

}  // namespace

void powers(std::span<const double> from, double exponent, std::span<double> to) {
  base::ensure(from.size() == to.size() && exponent > 0.0, "as many powers as values, of an exponent over 0");
  power_list(from.data(), from.size(), exponent, to.data());
}

}  // namespace curbshed::water
