// What covers each cell, and so how it loses water.
#pragma once

#include "curbshed/base/parallel.hpp"
#include "curbshed/study/preparation.hpp"

#include <string>
#include <vector>

namespace curbshed::cli {

/// Polygons with the class that each one brings. Where two overlap the smaller one counts, of two of one size
/// the later class by name: their order does not matter.
struct ClassedPolygons {
  std::vector<base::Shape> shapes;
  std::vector<std::string> classes;  ///< as many; surface names, or A-D ("C/loam" with its texture)
};

/// Lots by name, each with the number of its tank; −1 = none.
struct TankedLots {
  std::vector<base::Shape> shapes;
  std::vector<std::int32_t> tanks;
};

/// What lies on the ground. Later ones cover earlier ones: default surface, yards, surfaces, pavement,
/// buildings.
struct GroundCover {
  ClassedPolygons yards;
  ClassedPolygons surfaces;
  ClassedPolygons soil_groups;
  std::vector<base::Shape> pavement;
  std::vector<base::Shape> buildings;
  TankedLots lots;  ///< empty where no lot has a tank
};

/// Fills pavement, roof, loss_class and loss_classes of `inputs` (its ground is there already) and counts the
/// cells that took a default. Loss classes are those that occur, by the order of the surface table, the soil
/// group and its texture; open ground loses water by settings.soil.losses. Roof cells whose centre lies in a
/// lot with a tank get its number in `inputs.tank` (of lots that overlap the smaller one counts).
void classify_ground(const GroundCover& cover, const study::Settings& settings, base::Workers workers,
                     study::StudyInputs& inputs);

}  // namespace curbshed::cli
