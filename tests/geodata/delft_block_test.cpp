// A real block of nearly level streets: curbs from the edges of carriageway and parking, water followed along
// them.
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
using terrain::Walls;
using testing::EdgeTraces;
using testing::KeptSags;

std::vector<base::Polygon> polygons_of(const std::string& file, const std::string& where,
                                       const Projection& projection) {
  LayerSource source;
  source.file = file;
  source.layer = "wegdeel";
  source.where = where;
  std::vector<base::Polygon> all;
  for (const base::Shape& shape : read_layer(source, projection, base::ShapeKind::Polygon).layer.shapes) {
    all.insert(all.end(), shape.polygons.begin(), shape.polygons.end());
  }
  return all;
}

struct Block {
  terrain::Ground ground;
  Grid<std::uint8_t> carriageway;
  Grid<std::uint8_t> pavement;
  Grid<double> edge_m;
};

/// Where a trace meets a sag: where its water ends, where it first enters the pond, or no sag is kept at all.
enum class MeetsSag { AtItsDeepest, AtItsPond, Never };

/// Sags by the rule of the program: depth of 3 times the elevation error (0.03 m), 10 m².
EdgeTraces traces(const Block& block, const Walls& walls, const Grid<float>& lowering_m, MeetsSag meets) {
  const double least_depth_m = meets == MeetsSag::Never ? 1e9 : 3.0 * 0.03;
  const KeptSags sags = testing::kept_sags(block.ground, walls, least_depth_m, 10.0);
  const terrain::Ground low = terrain::lowered(block.ground, lowering_m);
  const Grid<float> levels = terrain::water_levels(low, walls, sags.drains, {});
  const Grid<std::uint8_t> directions = terrain::flow_directions(low, levels, walls, sags.drains, {});
  return testing::trace_edges(block.ground.frame, directions, block.carriageway, block.pavement,
                              meets == MeetsSag::AtItsPond ? sags.ponds : sags.drains, block.edge_m, 3.0,
                              1.0);
}

TEST(RealBlock, GutterWaterKeepsToTheEdgeForLong) {
  const std::string folder = std::string(CURBSHED_SOURCE_DIR) + "/../shared/data/delft-nl-0.5m";
  if (!std::filesystem::exists(folder)) GTEST_SKIP() << "no folder " << folder;
  GroundSource source;
  source.file = folder + "/dtm_0p5m_filled.tif";
  source.height_unit = "m";
  const GroundData data = read_ground(source);
  const std::string map = folder + "/bgt.gpkg";
  const std::vector<base::Polygon> roads =
      polygons_of(map, "function = 'rijbaan lokale weg'", data.projection);
  std::vector<base::Polygon> paved = polygons_of(map, "function = 'parkeervlak'", data.projection);
  ASSERT_EQ(roads.size(), 32U);
  ASSERT_EQ(paved.size(), 36U);
  paved.insert(paved.end(), roads.begin(), roads.end());

  const std::vector<CurbLine> curbs = terrain::curbs_from_pavement(paved, 0.15);
  std::vector<base::Polyline> edges;
  for (const CurbLine& curb : curbs) edges.push_back(curb.line);
  Block block{data.ground, testing::cells_inside(data.ground.frame, roads),
              testing::cells_inside(data.ground.frame, paved),
              testing::distance_to_lines(data.ground.frame, edges, 3.0)};
  terrain::CurbSettings settings;
  settings.lowering_m = 0.10;
  const CurbField field = terrain::place_curbs(block.ground, block.pavement, curbs, settings);
  EXPECT_TRUE(field.set_aside.empty())
      << curbs[static_cast<std::size_t>(field.set_aside[0])].id << ": " << field.set_aside_reason[0];

  const Grid<float> no_lowering(block.ground.frame.rows, block.ground.frame.cols, 0.0F);
  const auto measure = [&](MeetsSag meets, const char* words) {
    const EdgeTraces with = traces(block, field.walls, field.lowering_m, meets);
    const EdgeTraces without = traces(block, Walls{}, no_lowering, meets);
    std::printf("%s: %lld traces, %.1f %% of the metres within 1 m of the edge, mean %.1f m; off: %.1f m\n",
                words, static_cast<long long>(with.traces), 100.0 * with.share_at_edge, with.mean_length_m,
                without.mean_length_m);
    return std::pair(with, without);
  };
  const auto [with, without] = measure(MeetsSag::AtItsDeepest, "sags end a trace at their deepest cell");
  // Not gated: these streets are nearly level, so most traces enter some pond within a few metres.
  measure(MeetsSag::AtItsPond, "sags end a trace where it enters the pond");
  const auto [through, through_off] = measure(MeetsSag::Never, "no sag is kept");
  EXPECT_GE(through.share_at_edge, 0.93);
  EXPECT_GE(through.mean_length_m, 3.0 * through_off.mean_length_m);
  EXPECT_GT(with.traces, 10000);
  EXPECT_GE(with.share_at_edge, 0.93);
  EXPECT_GE(with.mean_length_m, 3.0 * without.mean_length_m);
}

}  // namespace
}  // namespace curbshed::geodata
