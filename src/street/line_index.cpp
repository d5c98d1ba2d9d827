#include "street/line_index.hpp"

#include "street/plane.hpp"

namespace curbshed::street::detail {

std::int64_t LineIndex::bin(double v) const { return static_cast<std::int64_t>(std::floor(v / bin_m_)); }

LineIndex::LineIndex(const std::vector<const base::Polyline*>& lines, double bin_m) : bin_m_(bin_m) {
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const base::Polyline& line = *lines[i];
    for (std::size_t k = 0; k + 1 < line.size(); ++k) {
      const double length = base::distance_m(line[k], line[k + 1]);
      const auto steps = static_cast<std::int64_t>(std::ceil(length / bin_m)) * 2 + 1;
      for (std::int64_t s = 0; s <= steps; ++s) {  // every half bin: none that matters is jumped over
        const double t = static_cast<double>(s) / static_cast<double>(steps);
        const base::Point p = plus(line[k], times(t, minus(line[k + 1], line[k])));
        entries_.push_back(
            {bin(p.x_m), bin(p.y_m), {static_cast<std::int32_t>(i), static_cast<std::int32_t>(k)}});
      }
    }
  }
  std::sort(entries_.begin(), entries_.end());
  entries_.erase(std::unique(entries_.begin(), entries_.end()), entries_.end());
}

std::vector<LineIndex::Segment> LineIndex::near(const base::Box& box, double reach_m) const {
  const double reach = reach_m + 0.5 * bin_m_;  // corners of bins that a segment cuts are not entered
  std::vector<Segment> found;
  const std::int64_t low_y = bin(box.min_y_m - reach);
  const std::int64_t high_y = bin(box.max_y_m + reach);
  for (std::int64_t x = bin(box.min_x_m - reach); x <= bin(box.max_x_m + reach); ++x) {
    auto it = std::lower_bound(entries_.begin(), entries_.end(), Entry{x, low_y, {-1, -1}});
    for (; it != entries_.end() && it->x == x && it->y <= high_y; ++it) found.push_back(it->segment);
  }
  std::sort(found.begin(), found.end());
  found.erase(std::unique(found.begin(), found.end()), found.end());
  return found;
}

std::vector<std::int32_t> LineIndex::lines_near(base::Point p, double reach_m) const {
  base::Box box;
  box.add(p);
  std::vector<std::int32_t> lines;
  for (const Segment& s : near(box, reach_m)) {
    if (lines.empty() || lines.back() != s.line) lines.push_back(s.line);
  }
  return lines;
}

}  // namespace curbshed::street::detail
