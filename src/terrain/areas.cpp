#include "curbshed/terrain/areas.hpp"

#include <algorithm>
#include <array>
#include <limits>
#include <map>

namespace curbshed::terrain {

namespace {

/// A corner of cells: row and column of the cell to its south-east.
struct Corner {
  std::int64_t row = 0;
  std::int64_t col = 0;
};

/// The four ways along a cell's edges with the cell on the left: its southern edge eastward, and so on round.
enum Heading : std::uint8_t { kEast, kNorth, kWest, kSouth };
constexpr std::array<std::int64_t, 4> kRowOf = {0, -1, 0, 1};
constexpr std::array<std::int64_t, 4> kColOf = {1, 0, -1, 0};
constexpr Heading left_of(Heading h) { return static_cast<Heading>((h + 1) % 4); }
constexpr Heading right_of(Heading h) { return static_cast<Heading>((h + 3) % 4); }

class Tracer {
 public:
  Tracer(const GridFrame& frame, const Grid<std::int32_t>& labels)
      : frame_(frame),
        labels_(labels),
        part_(labels.rows(), labels.cols(), -1),
        traced_(labels.rows(), labels.cols(), 0) {}

  std::vector<LabelArea> run() {
    join_parts();
    for (std::int64_t row = 0; row < labels_.rows(); ++row) {
      for (std::int64_t col = 0; col < labels_.cols(); ++col) {
        if (part_.at(row, col) < 0 || within_part(row, col)) continue;
        for (const Heading h : {kEast, kNorth, kWest, kSouth}) {
          if (!traced(row * labels_.cols() + col, h) && bounds(row, col, h)) walk(row, col, h);
        }
      }
    }
    return collect();
  }

 private:
  struct Part {
    std::int32_t label = 0;
    std::int64_t cells = 0;
    base::Polygon polygon;  ///< the outer ring is put first when it is found
    int outer_rings = 0;
  };

  /// All four neighbours are of the cell's own part, as nearly everywhere.
  bool within_part(std::int64_t row, std::int64_t col) const {
    if (row == 0 || row + 1 == labels_.rows() || col == 0 || col + 1 == labels_.cols()) return false;
    const std::int32_t* const here = part_.data() + row * labels_.cols() + col;
    return here[-1] == *here && here[1] == *here && here[-labels_.cols()] == *here &&
           here[labels_.cols()] == *here;
  }
  std::int32_t part_at(std::int64_t row, std::int64_t col) const {
    const bool inside = row >= 0 && row < labels_.rows() && col >= 0 && col < labels_.cols();
    return inside ? part_.at(row, col) : -1;
  }
  /// The edge of a cell that is passed with heading h has another part beyond it, on the right.
  bool bounds(std::int64_t row, std::int64_t col, Heading h) const {
    const Heading right = right_of(h);
    return part_at(row + kRowOf[right], col + kColOf[right]) != part_.at(row, col);
  }

  bool traced(std::int64_t cell, Heading h) const {
    return ((static_cast<unsigned>(traced_[cell]) >> h) & 1U) != 0;
  }

  void join_parts();
  void walk(std::int64_t row, std::int64_t col, Heading h);
  void add_ring(std::int32_t part, std::vector<Corner> corners);
  std::vector<LabelArea> collect();

  const GridFrame& frame_;
  const Grid<std::int32_t>& labels_;
  Grid<std::int32_t> part_;  ///< cells joined by edges, in the order of their first cells; −1 unlabelled
  Grid<std::uint8_t> traced_;
  std::vector<Part> parts_;
};

void Tracer::join_parts() {
  const std::int64_t cols = labels_.cols();
  const std::int64_t last_row = labels_.cells() - cols;  // its first cell
  std::vector<std::int64_t> reached;
  const auto take = [&](std::int64_t cell, std::int32_t label, std::int32_t number) {
    if (part_[cell] < 0 && labels_[cell] == label) {
      part_[cell] = number;
      reached.push_back(cell);
    }
  };
  for (std::int64_t first = 0; first < labels_.cells(); ++first) {
    if (labels_[first] < 0 || part_[first] >= 0) continue;
    base::ensure(parts_.size() < static_cast<std::size_t>(std::numeric_limits<std::int32_t>::max()),
                 "32 bits number the parts");
    const auto number = static_cast<std::int32_t>(parts_.size());
    Part part;
    part.label = labels_[first];
    take(first, part.label, number);
    while (!reached.empty()) {
      const std::int64_t cell = reached.back();
      reached.pop_back();
      ++part.cells;
      const std::int64_t col = cell % cols;
      if (col + 1 < cols) take(cell + 1, part.label, number);
      if (cell >= cols) take(cell - cols, part.label, number);
      if (col > 0) take(cell - 1, part.label, number);
      if (cell < last_row) take(cell + cols, part.label, number);
    }
    parts_.push_back(std::move(part));
  }
}

/// Walks one boundary with the part on the left. Where two cells of the part touch by a corner it stays with
/// its own cell; such corners are met twice, and each time the loop since the first visit is cut off as a
/// ring of its own. So every ring is simple and rings touch in points only.
void Tracer::walk(std::int64_t row, std::int64_t col, Heading h) {
  const std::int32_t part = part_.at(row, col);
  std::vector<Corner> corners;
  std::map<std::pair<std::int64_t, std::int64_t>, std::size_t> touching;
  while (!traced(row * labels_.cols() + col, h)) {
    traced_.at(row, col) = static_cast<std::uint8_t>(traced_.at(row, col) | (1U << h));
    // The corner where this edge ends.
    const Corner end{row + (h == kEast || h == kSouth ? 1 : 0), col + (h == kEast || h == kNorth ? 1 : 0)};
    const std::int64_t ahead_row = row + kRowOf[h];
    const std::int64_t ahead_col = col + kColOf[h];
    const Heading right = right_of(h);
    const std::int64_t across_row = ahead_row + kRowOf[right];
    const std::int64_t across_col = ahead_col + kColOf[right];
    const bool ahead = part_at(ahead_row, ahead_col) == part;
    const bool across = part_at(across_row, across_col) == part;
    if (!ahead && across) {
      const auto [at, is_new] = touching.try_emplace({end.row, end.col}, corners.size());
      if (is_new) {
        corners.push_back(end);
      } else {
        const auto from = corners.begin() + static_cast<std::ptrdiff_t>(at->second);
        add_ring(part, std::vector<Corner>(from, corners.end()));
        for (auto later = touching.begin(); later != touching.end();) {
          later = later->second > at->second ? touching.erase(later) : std::next(later);
        }
        corners.erase(from + 1, corners.end());
      }
      h = left_of(h);
    } else if (!ahead) {
      corners.push_back(end);
      h = left_of(h);
    } else if (!across) {
      row = ahead_row;
      col = ahead_col;
    } else {
      corners.push_back(end);
      row = across_row;
      col = across_col;
      h = right;
    }
  }
  add_ring(part, std::move(corners));
}

void Tracer::add_ring(std::int32_t part, std::vector<Corner> corners) {
  // A corner in the middle of a straight run is left where a loop was cut off.
  std::vector<Corner> kept;
  const std::size_t n = corners.size();
  std::int64_t twice_area = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const Corner& before = corners[(i + n - 1) % n];
    const Corner& here = corners[i];
    const Corner& after = corners[(i + 1) % n];
    twice_area += here.row * after.col - after.row * here.col;
    const bool straight = (before.row == here.row && here.row == after.row) ||
                          (before.col == here.col && here.col == after.col);
    if (!straight) kept.push_back(here);
  }
  base::Polyline ring;
  ring.reserve(kept.size() + 1);
  for (const Corner& c : kept) {
    ring.push_back({frame_.west_m + static_cast<double>(c.col) * frame_.cell_m,
                    frame_.north_m - static_cast<double>(c.row) * frame_.cell_m});
  }
  ring.push_back(ring.front());
  Part& owner = parts_[static_cast<std::size_t>(part)];
  // Rows count southward: x·y' − x'·y = −(col·row' − col'·row).
  if (twice_area > 0) {
    ++owner.outer_rings;
    owner.polygon.rings.insert(owner.polygon.rings.begin(), std::move(ring));
  } else {
    owner.polygon.rings.push_back(std::move(ring));
  }
}

std::vector<LabelArea> Tracer::collect() {
  std::map<std::int32_t, LabelArea> areas;
  for (Part& part : parts_) {
    base::ensure(part.outer_rings == 1, "cells joined by edges have one outer ring");
    LabelArea& area = areas[part.label];
    area.label = part.label;
    area.cells += part.cells;
    area.polygons.push_back(std::move(part.polygon));
  }
  std::vector<LabelArea> list;
  list.reserve(areas.size());
  for (auto& [label, area] : areas) list.push_back(std::move(area));
  return list;
}

}  // namespace

std::vector<LabelArea> trace_areas(const GridFrame& frame, const Grid<std::int32_t>& labels) {
  base::ensure(labels.rows() == frame.rows && labels.cols() == frame.cols,
               "labels are as large as their frame");
  return Tracer(frame, labels).run();
}

}  // namespace curbshed::terrain
