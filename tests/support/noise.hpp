// Errors of heights that neighbours share.
#pragma once

#include "support/drawn_ground.hpp"

#include <cmath>

namespace curbshed::testing {

/// Adds errors with standard deviation `spread_m` and correlation exp(−(|Δx| + |Δy|) / range_m).
inline void add_shared_noise(Ground& ground, double spread_m, double range_m, std::uint64_t seed) {
  const GridFrame& frame = ground.frame;
  const double keep = std::exp(-frame.cell_m / range_m);
  const double fresh = std::sqrt(1.0 - keep * keep);
  Chance chance(seed);
  Grid<double> noise(frame.rows, frame.cols);
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) noise[cell] = chance.bell();
  for (std::int64_t r = 0; r < frame.rows; ++r) {
    for (std::int64_t c = 1; c < frame.cols; ++c) {
      noise.at(r, c) = keep * noise.at(r, c - 1) + fresh * noise.at(r, c);
    }
  }
  for (std::int64_t r = 1; r < frame.rows; ++r) {
    for (std::int64_t c = 0; c < frame.cols; ++c) {
      noise.at(r, c) = keep * noise.at(r - 1, c) + fresh * noise.at(r, c);
    }
  }
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    ground.height_m[cell] += static_cast<float>(spread_m * noise[cell]);
  }
}

}  // namespace curbshed::testing
