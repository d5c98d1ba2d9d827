#include "street/sags.hpp"

#include <algorithm>

namespace curbshed::street::detail {

std::vector<std::uint8_t> kept_depressions(const Scene& scene, const terrain::Depressions& hollows,
                                           const std::vector<Place>& places) {
  const NetworkSettings& set = scene.settings;
  std::vector<std::uint8_t> kept(hollows.list.size(), 0);
  for (std::size_t i = 0; i < kept.size(); ++i) {
    const terrain::Depression& h = hollows.list[i];
    const double area = static_cast<double>(h.cells) * scene.frame().cell_area_m2();
    if (h.depth_m >= set.sag_depth_errors * set.elevation_error_m && area >= set.sag_least_area_m2)
      kept[i] = 1;
  }
  const auto mark = [&](std::int64_t cell, double least_depth) {
    if (cell < 0 || hollows.label[cell] < 0) return;
    const auto i = static_cast<std::size_t>(hollows.label[cell]);
    if (hollows.list[i].depth_m >= least_depth) kept[i] = 1;
  };
  for (const base::Point& p : set.keep_sags_at) mark(scene.frame().cell_at(p), 0.0);
  for (const Place& place : places) {
    if (scene.sites[static_cast<std::size_t>(place.site)].kind != SiteKind::Inlet) continue;
    mark(place.cell, set.inlet_sag_errors * set.elevation_error_m);
  }
  return kept;
}

terrain::Grid<float> standing_water(const terrain::Ground& ground, const terrain::Depressions& hollows,
                                    const std::vector<std::uint8_t>& kept) {
  terrain::Grid<float> depth(ground.frame.rows, ground.frame.cols, 0.0F);
  for (std::int64_t cell = 0; cell < depth.cells(); ++cell) {
    const std::int32_t label = hollows.label[cell];
    if (label < 0 || kept[static_cast<std::size_t>(label)] == 0) continue;
    depth[cell] = hollows.list[static_cast<std::size_t>(label)].spill_level_m - ground.height_m[cell];
  }
  return depth;
}

std::vector<std::size_t> largest_passed(const terrain::Depressions& hollows,
                                        const std::vector<std::uint8_t>& kept, std::size_t most) {
  std::vector<std::size_t> largest;
  for (std::size_t i = 0; i < hollows.list.size(); ++i) {
    if (kept[i] == 0) largest.push_back(i);
  }
  if (largest.size() > most) {
    const auto end = largest.begin() + static_cast<std::ptrdiff_t>(most);
    std::nth_element(largest.begin(), end, largest.end(), [&](std::size_t a, std::size_t b) {
      const double one = hollows.list[a].volume_m3;
      const double two = hollows.list[b].volume_m3;
      return one != two ? one > two : a < b;
    });
    largest.erase(end, largest.end());
    std::sort(largest.begin(), largest.end());
  }
  return largest;
}

namespace {

/// Whether a free step leads out at the spill level; asked for some hollows.
std::vector<std::uint8_t> open_rims(const Scene& scene, const terrain::Depressions& hollows,
                                    const std::vector<std::size_t>& asked) {
  constexpr std::uint8_t kNotAsked = 2;
  const terrain::GridFrame& f = scene.frame();
  std::vector<std::uint8_t> open_rim(hollows.list.size(), kNotAsked);
  for (const std::size_t i : asked) open_rim[i] = 0;
  for (std::int64_t cell = 0; cell < f.cells(); ++cell) {
    const std::int32_t label = hollows.label[cell];
    if (label < 0 || open_rim[static_cast<std::size_t>(label)] != 0) continue;
    const float spill = hollows.list[static_cast<std::size_t>(label)].spill_level_m;
    for (int bearing = 0; bearing < terrain::kBearings; ++bearing) {
      const std::int64_t r = cell / f.cols + terrain::kRowStep[bearing];
      const std::int64_t c = cell % f.cols + terrain::kColStep[bearing];
      if (!f.inside(r, c)) continue;
      const std::int64_t to = f.index(r, c);
      const bool out = scene.known(to) && hollows.label[to] != label && scene.ground.height_m[to] <= spill;
      if (out && !scene.field.walls.walled(cell, bearing)) open_rim[static_cast<std::size_t>(label)] = 1;
    }
  }
  return open_rim;
}

}  // namespace

std::vector<PassedDepression> passed_depressions(const Scene& scene, const terrain::Depressions& hollows,
                                                 const std::vector<std::uint8_t>& kept,
                                                 const terrain::Grid<std::int32_t>& first_receiver,
                                                 const Network& net, base::Notes& notes) {
  for (std::size_t i = 0; i < hollows.list.size(); ++i) {
    if (kept[i] == 0) notes.add(base::NoteId::DepressionPassed, hollows.list[i].depth_m);
  }
  const std::vector<std::size_t> largest = largest_passed(hollows, kept, kMostPassedListed);
  const std::vector<std::uint8_t> open_rim = open_rims(scene, hollows, largest);
  std::vector<PassedDepression> passed;
  for (const std::size_t i : largest) {
    const terrain::Depression& h = hollows.list[i];
    const std::int32_t node = first_receiver[h.deepest_cell];
    PassedDepression p;
    p.at = scene.frame().centre(h.deepest_cell);
    p.depth_m = h.depth_m;
    p.volume_m3 = h.volume_m3;
    p.area_m2 = static_cast<double>(h.cells) * scene.frame().cell_area_m2();
    p.spill_level_m = static_cast<double>(h.spill_level_m);
    p.over = open_rim[i] != 0 ? "surface" : "curb";
    const bool leaves = node < 0 || net.kind[static_cast<std::size_t>(node)] == NodeKind::DataEdge;
    p.into = leaves ? "edge of the data" : net.id[static_cast<std::size_t>(node)];
    passed.push_back(std::move(p));
  }
  return passed;
}

}  // namespace curbshed::street::detail
