#include "curbshed/report/block_faces.hpp"

#include "support/small_facts.hpp"

#include <set>

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

using testing::SmallFacts;

double real(const base::MapLayer& layer, std::size_t row, const char* column) {
  return std::get<double>(layer.table.rows[row][*layer.table.column(column)]);
}

TEST(BlockFaces, SumUpTheirCutsOnce) {
  SmallFacts run;
  const base::MapLayer layer = block_faces_layer(run.facts);
  base::check(layer);
  ASSERT_FALSE(layer.table.rows.empty());
  std::int64_t cuts = 0;
  double taken_m3 = 0.0;
  std::set<std::string> ids;
  for (std::size_t i = 0; i < layer.table.rows.size(); ++i) {
    cuts += std::get<std::int64_t>(layer.table.rows[i][*layer.table.column("cuts")]);
    taken_m3 += real(layer, i, "taken_common_m3");
    EXPECT_GT(real(layer, i, "length_m"), 0.0);
    EXPECT_GE(real(layer, i, "comes_by_common_m3"), 0.0);
    ids.insert(std::get<std::string>(layer.table.rows[i][*layer.table.column("id")]));
  }
  EXPECT_EQ(ids.size(), layer.table.rows.size());
  EXPECT_EQ(cuts, 2);
  EXPECT_NEAR(taken_m3, sums_of(run.facts, run.storms[0]).taken_m3, 1e-12);
}

TEST(BlockFaces, CurbsWithoutAStreetAreOnNone) {
  SmallFacts run;
  for (terrain::CurbLine& curb : run.inputs.curbs) curb.street.clear();
  EXPECT_TRUE(block_faces_layer(run.facts).table.rows.empty());
}

}  // namespace
}  // namespace curbshed::report
