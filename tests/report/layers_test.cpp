#include "curbshed/report/layers.hpp"

#include "support/small_facts.hpp"

#include <algorithm>

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

using testing::SmallFacts;

TEST(Layers, AllAreThereInOrderWithTheirCautions) {
  const SmallFacts run;
  const std::vector<base::MapLayer> layers = map_layers(run.facts);
  std::vector<std::string> names;
  for (const base::MapLayer& layer : layers) {
    names.push_back(layer.table.name);
    EXPECT_NE(layer.table.description.find("Screening only"), std::string::npos) << layer.table.name;
    EXPECT_FALSE(layer.table.title.empty());
  }
  EXPECT_EQ(names,
            (std::vector<std::string>{"curbs", "gutters", "cuts", "basins", "screening", "overflow_paths",
                                      "basin_outlines", "contributing_areas", "existing_basins", "outfalls",
                                      "inlets", "sags", "lots", "corners", "block_faces", "set_aside"}));
}

TEST(Layers, CurbsSetAsideSayWhy) {
  const SmallFacts run;
  const base::MapLayer curbs = map_layers(run.facts)[0];
  const std::size_t flag = *curbs.table.column("set_aside");
  const std::size_t reason = *curbs.table.column("reason");
  EXPECT_EQ(curbs.table.rows[0][flag], base::Cell(std::int64_t{0}));
  EXPECT_EQ(curbs.table.rows[1][flag], base::Cell(std::int64_t{1}));
  EXPECT_EQ(curbs.table.rows[1][reason], base::Cell(std::string("pavement on both sides")));
}

TEST(Layers, AreasCarryTheNumberOfTheRaster) {
  const SmallFacts run;
  const base::MapLayer areas = map_layers(run.facts)[7];
  ASSERT_EQ(areas.table.rows.size(), 1U);
  EXPECT_EQ(areas.table.rows[0][*areas.table.column("receiver")], base::Cell(std::int64_t{SmallFacts::kK1}));
  EXPECT_EQ(areas.table.rows[0][*areas.table.column("own_area_m2")], base::Cell(40.0));
  EXPECT_EQ(areas.shapes[0].polygons.size(), 1U);
}

TEST(Layers, ABasinWithoutAWaterLineHasNoShape) {
  const SmallFacts run;
  const base::MapLayer basins = map_layers(run.facts)[3];
  EXPECT_EQ(basins.shapes[0].kind, base::ShapeKind::Polygon);
  EXPECT_EQ(basins.shapes[1].kind, base::ShapeKind::None);
}

}  // namespace
}  // namespace curbshed::report
