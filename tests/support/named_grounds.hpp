// Rasters that have broken terrain code before.
#pragma once

#include "support/drawn_ground.hpp"

#include <cmath>
#include <limits>

namespace curbshed::testing {

struct NamedGround {
  std::string name;
  Ground ground;
};

/// Rings of walls, each lower than the one outside it, around ever deeper ditches; no way out but over the
/// border.
inline Ground nested_bowls(std::int64_t rings) {
  const std::int64_t size = 4 * rings + 3;
  Ground ground = level_ground(size, size, 1.0);
  for (std::int64_t r = 0; r < size; ++r) {
    for (std::int64_t c = 0; c < size; ++c) {
      const std::int64_t ring = std::min(std::min(r, c), std::min(size - 1 - r, size - 1 - c));
      const bool ditch = ring % 2 == 1;
      ground.height_m.at(r, c) = 100.0F - static_cast<float>(ring) - (ditch ? 30.0F : 0.0F);
    }
  }
  return ground;
}

inline std::vector<NamedGround> named_grounds() {
  std::vector<NamedGround> all;
  all.push_back({"all equal", level_ground(30, 40, 1.0, 7.0F)});
  all.push_back({"1 x 1", level_ground(1, 1, 1.0, 3.0F)});
  all.push_back({"1 x n", drawn_ground("5 3 4 1 9 2 2 8 1 1 6")});
  all.push_back({"n x 1", drawn_ground("5\n3\n4\n1\n9\n2\n2\n8")});
  all.push_back({"2 x 2", drawn_ground("4 3\n2 1")});
  all.push_back({"two rows", drawn_ground("4 3 5 5 1\n2 1 5 1 5")});
  all.push_back(
      {"ramp", ground_by(25, 35, 0.5, [](base::Point p) { return 20.0 - 0.3 * p.x_m + 0.1 * p.y_m; })});
  all.push_back({"bowl with its rim on the border", ground_by(31, 31, 1.0, [](base::Point p) {
                   return 0.01 * (p.x_m * p.x_m + p.y_m * p.y_m);
                 })});

  Ground noise = level_ground(40, 40, 1.0);
  add_noise(noise, 1.0, 99);
  all.push_back({"white noise", noise});

  Ground hole = noise;
  for (std::int64_t r = 15; r < 22; ++r) {
    for (std::int64_t c = 10; c < 30; ++c) hole.valid.at(r, c) = 0;
  }
  all.push_back({"hole in the data", hole});
  Ground framed = noise;
  for (std::int64_t r = 0; r < 40; ++r) {
    for (std::int64_t c = 0; c < 40; ++c) framed.valid.at(r, c) = r > 2 && r < 36 && c > 4 && c < 39 ? 1 : 0;
  }
  all.push_back({"frame without data", framed});
  Ground peninsula = noise;
  for (std::int64_t r = 0; r < 40; ++r) {
    for (std::int64_t c = 0; c < 40; ++c) peninsula.valid.at(r, c) = c > 30 || (r > 18 && r < 22) ? 1 : 0;
  }
  all.push_back({"peninsula of data", peninsula});
  Ground none = noise;
  none.valid = Grid<std::uint8_t>(40, 40, 0);
  all.push_back({"no data at all", none});
  Ground positive_marker = framed;  // what an invalid cell holds must not matter
  for (std::int64_t cell = 0; cell < positive_marker.frame.cells(); ++cell) {
    if (positive_marker.valid[cell] == 0) positive_marker.height_m[cell] = std::numeric_limits<float>::max();
  }
  all.push_back({"large numbers where there is no data", positive_marker});

  Ground zeros = level_ground(12, 12, 1.0);
  for (std::int64_t cell = 0; cell < 144; ++cell) zeros.height_m[cell] = cell % 3 == 0 ? -0.0F : 0.0F;
  all.push_back({"zero and minus zero", zeros});
  Ground tiny = level_ground(20, 20, 1.0);
  Chance chance(4);
  for (std::int64_t cell = 0; cell < 400; ++cell) {
    tiny.height_m[cell] =
        std::numeric_limits<float>::denorm_min() * static_cast<float>(chance.below(50) - 25);
  }
  all.push_back({"denormal numbers", tiny});
  Ground high = level_ground(30, 30, 1.0);
  for (std::int64_t cell = 0; cell < 900; ++cell)
    high.height_m[cell] = 100000.0F + 0.01F * static_cast<float>(chance.below(100));
  all.push_back({"100 000 m with steps of 1 cm", high});
  Ground rounded =
      ground_by(40, 40, 0.5, [](base::Point p) { return 0.02 * p.x_m + 0.01 * std::sin(p.y_m); });
  for (std::int64_t cell = 0; cell < 1600; ++cell) {
    rounded.height_m[cell] = std::round(rounded.height_m[cell] * 100.0F) / 100.0F;
  }
  all.push_back({"rounded to 1 cm", rounded});
  all.push_back({"two depressions with equal spill", drawn_ground(R"(
    9 9 9 9 9 9 9
    9 1 4 4 4 2 9
    9 1 4 4 4 2 9
    9 9 9 4 9 9 9)")});
  all.push_back({"20 nested depressions", nested_bowls(20)});
  return all;
}

}  // namespace curbshed::testing
