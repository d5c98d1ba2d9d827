// A real crowned arterial, its curbs and crown found from the relief (scripts/derive_autzen_curbs.py).
#include "curbshed/geodata/ground.hpp"
#include "curbshed/geodata/layer.hpp"

#include "support/street_traces.hpp"

#include <cstdio>
#include <filesystem>

#include <gtest/gtest.h>

namespace curbshed::geodata {
namespace {

using terrain::CurbField;
using terrain::CurbLine;
using terrain::Grid;
using terrain::GridFrame;

TEST(ArterialFromRelief, PavementDrainsToItsOwnSideOfTheCrown) {
  const std::string folder = std::string(CURBSHED_SOURCE_DIR) + "/../shared/data/autzen-eugene-or-0.5m";
  if (!std::filesystem::exists(folder)) GTEST_SKIP() << "no folder " << folder;
  GroundSource source;
  source.file = folder + "/dtm_0p5m_streetblock.tif";
  source.height_unit = "m";
  const GroundData data = read_ground(source);
  LayerSource lines;
  lines.file = std::string(CURBSHED_SOURCE_DIR) + "/tests/data/autzen_arterial.geojson";
  lines.id_field = "id";
  const base::MapLayer layer = read_layer(lines, data.projection, base::ShapeKind::Line).layer;
  ASSERT_EQ(layer.shapes.size(), 3U);
  const base::Polyline& north = layer.shapes[0].lines.at(0);
  const base::Polyline& south = layer.shapes[1].lines.at(0);
  const base::Polyline& crown = layer.shapes[2].lines.at(0);
  base::Polygon street{{north}};  // between the curbs
  street.rings[0].insert(street.rings[0].end(), south.rbegin(), south.rend());
  street.rings[0].push_back(north.front());
  const GridFrame& frame = data.ground.frame;
  const Grid<std::uint8_t> pavement = testing::cells_inside(frame, {street});
  std::vector<CurbLine> curbs(2);
  curbs[0].id = "north";
  curbs[0].line = north;
  curbs[1].id = "south";
  curbs[1].line = south;
  const CurbField field = terrain::place_curbs(data.ground, pavement, curbs, {});
  ASSERT_TRUE(field.set_aside.empty()) << field.set_aside_reason[0];
  const terrain::Ground low = terrain::lowered(data.ground, field.lowering_m);
  const Grid<float> levels = terrain::water_levels(low, field.walls, {}, {});
  const Grid<std::uint8_t> directions = terrain::flow_directions(low, levels, field.walls, {}, {});

  // North is left of the crown, which runs east. The water's side is that of its last cell on the pavement.
  std::int64_t all = 0;
  std::int64_t own = 0;
  for (std::int64_t cell = 0; cell < frame.cells(); ++cell) {
    if (pavement[cell] == 0) continue;
    const base::LinePlace start = base::nearest_place(crown, frame.centre(cell));
    if (start.offset_m <= frame.cell_m) continue;
    std::int64_t last = cell;
    for (std::int64_t at = cell; at >= 0 && pavement[at] != 0; at = terrain::next_cell(directions, at))
      last = at;
    ++all;
    own += base::nearest_place(crown, frame.centre(last)).left == start.left ? 1 : 0;
  }
  const double share = static_cast<double>(own) / static_cast<double>(all);
  std::printf("%lld pavement cells more than one cell from the crown: %.1f %% drain to their own side\n",
              static_cast<long long>(all), 100.0 * share);
  EXPECT_GT(all, 30000);
  EXPECT_GE(share, 0.90);
}

}  // namespace
}  // namespace curbshed::geodata
