// The three steps as textbooks give them: one thread, one heap over the whole raster.
#pragma once

#include <cstdint>
#include <functional>
#include <queue>
#include <vector>

namespace curbshed::terrain::textbook {

struct Solved {
  std::vector<float> level;
  std::vector<std::int8_t> direction;
  std::vector<std::int64_t> arriving;
};

/// Priority flood (Barnes, Lehman & Mulla 2014, Computers & Geosciences 62:117-127, algorithm 1), in which a
/// cell on a flat keeps the neighbour that flooded it as its direction; steepest descent elsewhere;
/// accumulation by in-degree.
inline Solved solve(std::int64_t rows, std::int64_t cols, const std::vector<float>& height) {
  constexpr int kDr[8] = {-1, -1, 0, 1, 1, 1, 0, -1};
  constexpr int kDc[8] = {0, 1, 1, 1, 0, -1, -1, -1};
  const auto n = static_cast<std::size_t>(rows * cols);
  const auto at = [&](std::int64_t r, std::int64_t c) { return static_cast<std::size_t>(r * cols + c); };
  const auto inside = [&](std::int64_t r, std::int64_t c) {
    return r >= 0 && c >= 0 && r < rows && c < cols;
  };
  Solved out{height, std::vector<std::int8_t>(n, -1), std::vector<std::int64_t>(n, 1)};
  using Entry = std::pair<float, std::int64_t>;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
  std::vector<std::uint8_t> closed(n, 0);
  for (std::int64_t r = 0; r < rows; ++r) {
    for (std::int64_t c = 0; c < cols; ++c) {
      if (r != 0 && c != 0 && r != rows - 1 && c != cols - 1) continue;
      open.emplace(height[at(r, c)], r * cols + c);
      closed[at(r, c)] = 1;
    }
  }
  while (!open.empty()) {
    const auto [level, cell] = open.top();
    open.pop();
    for (int k = 0; k < 8; ++k) {
      const std::int64_t r = cell / cols + kDr[k];
      const std::int64_t c = cell % cols + kDc[k];
      if (!inside(r, c) || closed[at(r, c)] != 0) continue;
      closed[at(r, c)] = 1;
      float& there = out.level[at(r, c)];
      there = there < level ? level : there;
      out.direction[at(r, c)] = static_cast<std::int8_t>((k + 4) % 8);
      open.emplace(there, r * cols + c);
    }
  }
  std::vector<std::uint8_t> awaited(n, 0);
  for (std::int64_t r = 0; r < rows; ++r) {
    for (std::int64_t c = 0; c < cols; ++c) {
      float steepest = 0.0F;
      for (int k = 0; k < 8; ++k) {
        if (!inside(r + kDr[k], c + kDc[k])) continue;
        const float drop = out.level[at(r, c)] - out.level[at(r + kDr[k], c + kDc[k])];
        const float slope = k % 2 == 0 ? drop : drop * 0.70710678F;
        if (slope <= steepest) continue;
        steepest = slope;
        out.direction[at(r, c)] = static_cast<std::int8_t>(k);
      }
      const int k = out.direction[at(r, c)];
      if (k >= 0) ++awaited[at(r + kDr[k], c + kDc[k])];
    }
  }
  std::vector<std::int64_t> ready;
  for (std::size_t i = 0; i < n; ++i) {
    if (awaited[i] == 0) ready.push_back(static_cast<std::int64_t>(i));
  }
  while (!ready.empty()) {
    const std::int64_t cell = ready.back();
    ready.pop_back();
    const int k = out.direction[static_cast<std::size_t>(cell)];
    if (k < 0) continue;
    const std::size_t to = at(cell / cols + kDr[k], cell % cols + kDc[k]);
    out.arriving[to] += out.arriving[static_cast<std::size_t>(cell)];
    if (--awaited[to] == 0) ready.push_back(static_cast<std::int64_t>(to));
  }
  return out;
}

}  // namespace curbshed::terrain::textbook
