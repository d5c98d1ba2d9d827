#include "street/edge_marks.hpp"

#include <algorithm>

namespace curbshed::street::detail {

namespace {

/// Slope outward (rise per cell) of the ground square to the edge: least squares over up to 4 cells inward,
/// averaged over three columns, so that one rough cell does not decide. 0 when fewer than two cells are
/// known.
double rise_outward(const Scene& scene, std::int64_t row, std::int64_t col, int outward) {
  const terrain::GridFrame& f = scene.frame();
  const int inward = terrain::opposite(outward);
  const int sideways = (outward + 2) % terrain::kBearings;
  double sum = 0.0;
  for (std::int64_t side = -1; side <= 1; ++side) {
    double mean_k = 0.0;
    double mean_z = 0.0;
    double z[4] = {};
    int met = 0;
    for (; met < 4; ++met) {
      const std::int64_t r = row + side * terrain::kRowStep[sideways] + met * terrain::kRowStep[inward];
      const std::int64_t c = col + side * terrain::kColStep[sideways] + met * terrain::kColStep[inward];
      if (!f.inside(r, c) || !scene.known(f.index(r, c))) break;
      z[met] = static_cast<double>(scene.ground.height_m[f.index(r, c)]);
      mean_z += z[met];
      mean_k += met;
    }
    if (met < 2) continue;
    mean_z /= met;
    mean_k /= met;
    double kz = 0.0;
    double kk = 0.0;
    for (int k = 0; k < met; ++k) {
      kz += (k - mean_k) * (z[k] - mean_z);
      kk += (k - mean_k) * (k - mean_k);
    }
    sum -= kz / kk;
  }
  return sum;
}

bool unknown_beyond(const Scene& scene, std::int64_t row, std::int64_t col, int bearing) {
  const terrain::GridFrame& f = scene.frame();
  const std::int64_t r = row + terrain::kRowStep[bearing];
  const std::int64_t c = col + terrain::kColStep[bearing];
  if (!f.inside(r, c)) return true;
  return !scene.known(f.index(r, c)) && (scene.roof.empty() || scene.roof[f.index(r, c)] == 0);
}

/// kCut… bit of the step out of the data at `bearing`.
std::uint8_t side_of(const Scene& scene, std::int64_t row, std::int64_t col, int bearing) {
  const bool inside =
      scene.frame().inside(row + terrain::kRowStep[bearing], col + terrain::kColStep[bearing]);
  return inside ? kCutInside : static_cast<std::uint8_t>(1U << static_cast<unsigned>(bearing / 2));
}

/// A gutter whose lots are not in the data: its ground falls toward the curb, so the slope there says
/// nothing, and lots mostly fall to their street. The mark is set where a step over a curb line leads out of
/// the data.
void mark_unknown_lots(const Scene& scene, const terrain::Grid<std::uint8_t>& directions,
                       const terrain::Grid<std::int32_t>& first_receiver, Network& net) {
  const terrain::GridFrame& f = scene.frame();
  const auto try_cell = [&](const base::Polyline& line, std::int64_t row, std::int64_t col) {
    if (!f.inside(row, col)) return;
    const std::int64_t cell = f.index(row, col);
    const std::int32_t node = first_receiver[cell];
    if (node < 0 || directions[cell] >= terrain::kBearings) return;
    const auto n = static_cast<std::size_t>(node);
    if (net.kind[n] == NodeKind::DataEdge) return;
    const bool left = base::nearest_place(line, f.centre(row, col)).left;
    for (int bearing = 0; bearing < terrain::kBearings; bearing += 2) {
      const std::uint8_t side = side_of(scene, row, col, bearing);
      if ((net.edge_cuts_area[n] & side) != 0 || !unknown_beyond(scene, row, col, bearing)) continue;
      const base::Point beyond = f.centre(row + terrain::kRowStep[bearing], col + terrain::kColStep[bearing]);
      if (base::nearest_place(line, beyond).left != left) net.edge_cuts_area[n] |= side;
    }
  };
  for (const terrain::CurbLine& curb : scene.curbs) {
    if (curb.line.empty() || curb.kind == terrain::CurbKind::None) continue;
    const double length_m = base::length_m(curb.line);
    for (double along_m = 0.0; along_m <= length_m; along_m += 0.5 * f.cell_m) {
      const base::Point p = base::point_along(curb.line, along_m);
      const std::int64_t row = f.row_of(p.y_m);
      const std::int64_t col = f.col_of(p.x_m);
      for (std::int64_t r = row - 1; r <= row + 1; ++r) {
        for (std::int64_t c = col - 1; c <= col + 1; ++c) {
          const bool border = f.inside(r, c) && terrain::on_data_edge(scene.ground, r, c);
          if (border && scene.known(f.index(r, c))) try_cell(curb.line, r, c);
        }
      }
    }
  }
}

}  // namespace

void mark_cut_areas(const Scene& scene, const terrain::Grid<std::uint8_t>& directions,
                    const terrain::Grid<std::int32_t>& first_receiver, Network& net) {
  mark_unknown_lots(scene, directions, first_receiver, net);
  const terrain::GridFrame& f = scene.frame();
  for (std::int64_t row = 0; row < f.rows; ++row) {
    for (std::int64_t col = 0; col < f.cols; ++col) {
      const std::int64_t cell = f.index(row, col);
      const bool inner = row > 0 && row + 1 < f.rows && col > 0 && col + 1 < f.cols;
      if (inner && scene.known(cell - 1) && scene.known(cell + 1) && scene.known(cell - f.cols) &&
          scene.known(cell + f.cols)) {
        continue;  // as nearly everywhere
      }
      const std::int32_t node = first_receiver[cell];
      if (node < 0 || directions[cell] >= terrain::kBearings) continue;
      const auto n = static_cast<std::size_t>(node);
      if (net.kind[n] == NodeKind::DataEdge) continue;
      for (int bearing = 0; bearing < terrain::kBearings; bearing += 2) {
        const std::uint8_t side = side_of(scene, row, col, bearing);
        if ((net.edge_cuts_area[n] & side) != 0 || !unknown_beyond(scene, row, col, bearing)) continue;
        if (rise_outward(scene, row, col, bearing) > 0.0) net.edge_cuts_area[n] |= side;
      }
    }
  }
}

void carry_marks_down(Network& net) {
  net.edge_cuts_above = net.edge_cuts_area;
  const auto carry = [&](std::size_t from, std::int32_t to) {
    if (to >= 0) net.edge_cuts_above[static_cast<std::size_t>(to)] |= net.edge_cuts_above[from];
  };
  // Twice: within a pond pair the later node passes its mark back to the earlier one.
  for (int round = 0; round < 2; ++round) {
    std::size_t way = 0;
    for (std::size_t n = 0; n < net.size(); ++n) {
      each_way_down(net, n, [&](const WayDown& down) { carry(n, static_cast<std::int32_t>(down.to)); });
      for (; way < net.side_ways.size() && net.side_ways[way].from == static_cast<std::int32_t>(n); ++way) {
        carry(n, net.side_ways[way].to);
      }
      if (net.in_sag[n] >= 0) carry(static_cast<std::size_t>(net.in_sag[n]), static_cast<std::int32_t>(n));
    }
  }
  if (net.size() > 0)
    net.edge_cuts_above.back() = 0;  // the edge of the data is no place with an area of its own
}

}  // namespace curbshed::street::detail
