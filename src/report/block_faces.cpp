#include "curbshed/report/block_faces.hpp"

#include "curbshed/base/names.hpp"
#include "curbshed/report/cautions.hpp"
#include "curbshed/report/sheets.hpp"

#include <algorithm>
#include <map>

#include <fmt/format.h>

namespace curbshed::report {
namespace {

using base::Cell;
using base::ColumnType;
using street::NodeKind;

/// What the places of one face sum up to.
struct FaceSums {
  std::int64_t cuts = 0;
  double own_area_m2 = 0.0;
  double year_m3 = 0.0;
  double canopy_bound_m2 = 0.0;
  struct OfStorm {
    double comes_by_m3 = 0.0;
    double taken_m3 = 0.0;
    double over_rim_m3 = 0.0;
  };
  std::vector<OfStorm> storms;
};

std::vector<FaceSums> sums_by_face(const RunFacts& facts, const street::BlockFaces& faces) {
  const street::Network& network = facts.preparation->model.network;
  const std::vector<double> own_m2 = own_areas_m2(facts.preparation->model);
  std::vector<FaceSums> sums(faces.faces().size());
  for (FaceSums& one : sums) one.storms.resize(facts.storms->size());
  for (std::size_t n = 0; n < network.size(); ++n) {
    if (network.curb[n] < 0) continue;
    const std::int32_t face = faces.place(static_cast<std::size_t>(network.curb[n]), 0.0).face;
    if (face < 0) continue;
    FaceSums& sum = sums[static_cast<std::size_t>(face)];
    sum.own_area_m2 += own_m2[n];
    if (network.kind[n] != NodeKind::Cut) continue;
    ++sum.cuts;
    if (facts.year != nullptr) {
      sum.year_m3 += facts.year->year_m3[n];
      sum.canopy_bound_m2 += facts.year->canopy[n].bound_m2;
    }
    for (std::size_t s = 0; s < sum.storms.size(); ++s) {
      const study::NodeResult& result = (*facts.storms)[s].with_cuts.nodes[n];
      sum.storms[s].comes_by_m3 = std::max(sum.storms[s].comes_by_m3, result.arriving_m3);
      sum.storms[s].taken_m3 += kept_m3(result);
      sum.storms[s].over_rim_m3 += result.over_rim_m3;
    }
  }
  return sums;
}

std::vector<base::Column> columns_of(const RunFacts& facts) {
  std::vector<base::Column> columns = {
      {"id", "Name", "", ColumnType::Text},
      {"street", "Street", "", ColumnType::Text},
      {"side", "Side of the street", "", ColumnType::Text},
      {"from_corner", "Western or southern end", "", ColumnType::Text},
      {"to_corner", "Other end", "", ColumnType::Text},
      {"length_m", "Length along the curb", "m", ColumnType::Real},
      {"cuts", "Cuts", "", ColumnType::Integer},
      {"own_area_m2", "Ground whose water comes to its cuts, inlets and outfalls first", "m2",
       ColumnType::Real}};
  if (facts.year != nullptr) {
    columns.push_back({"year_m3", "Water that its basins take in a mean year", "m3", ColumnType::Real});
    columns.push_back({"canopy_bound_m2", "Canopy that this carries at most", "m2", ColumnType::Real});
  }
  for (const study::StormComparison& storm : *facts.storms) {
    const auto add = [&](const char* name, const char* title) {
      columns.push_back({storm_column_name(name, storm.storm.id),
                         fmt::format("{} ({})", title, storm.storm.title), "m3", ColumnType::Real});
    };
    add("comes_by_{}_m3", "Largest volume that comes by at one of its cuts");
    add("taken_{}_m3", "Taken by its basins");
    add("over_rim_{}_m3", "Over the rims of its basins");
  }
  return columns;
}

std::string end_words(const street::FaceEnd& end) { return end.name.empty() ? end.cross : end.name; }

}  // namespace

base::MapLayer block_faces_layer(const RunFacts& facts) {
  base::MapLayer layer;
  layer.kind = base::ShapeKind::Line;
  layer.table.name = "block_faces";
  layer.table.title = "Block faces";
  layer.table.description =
      fmt::format("One side of one street between two corners, with what its cuts do. {}", cautions_line());
  layer.table.columns = columns_of(facts);
  const street::BlockFaces faces(facts.inputs->curbs, street::kMeetCells * facts.inputs->ground.frame.cell_m);
  const std::vector<FaceSums> sums = sums_by_face(facts, faces);
  std::map<std::string, int> used;
  for (std::size_t i = 0; i < sums.size(); ++i) {
    const street::BlockFace& face = faces.faces()[i];
    const FaceSums& sum = sums[i];
    const std::string from = end_words(face.ends[0]);
    const std::string to = end_words(face.ends[1]);
    std::string id = base::slug(fmt::format("{} {} {} {}", face.street, face.side, from, to));
    const int count = ++used[id];
    id += count > 1 ? fmt::format("-{}", count) : std::string();
    std::vector<Cell> row = {id, face.street, face.side, from, to, face.length_m, sum.cuts, sum.own_area_m2};
    if (facts.year != nullptr) {
      row.emplace_back(sum.year_m3);
      row.emplace_back(sum.canopy_bound_m2);
    }
    for (const FaceSums::OfStorm& storm : sum.storms) {
      row.emplace_back(storm.comes_by_m3);
      row.emplace_back(storm.taken_m3);
      row.emplace_back(storm.over_rim_m3);
    }
    layer.table.rows.push_back(std::move(row));
    layer.shapes.push_back(base::line_shape(face.line));
  }
  return layer;
}

}  // namespace curbshed::report
