#include "curbshed/cli/ground_classes.hpp"

#include "curbshed/geodata/burn.hpp"
#include "curbshed/water/losses.hpp"
#include "curbshed/water/soils.hpp"
#include "curbshed/water/surfaces.hpp"

#include <algorithm>
#include <atomic>
#include <utility>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using terrain::Grid;

constexpr std::size_t kGroups = 4;

std::int32_t surface_index(std::string_view name) {
  const auto table = water::surface_classes();
  for (std::size_t i = 0; i < table.size(); ++i) {
    if (table[i].name == name) {
      return static_cast<std::int32_t>(i);
    }
  }
  throw base::BugError("a surface class that the table does not have");
}

constexpr std::int64_t kStripes = 64;

/// −1 where no polygon lies; empty when there are none at all.
Grid<std::int32_t> burnt(const terrain::GridFrame& frame, const ClassedPolygons& polygons,
                         std::int32_t (*index)(std::string_view)) {
  if (polygons.shapes.empty()) {
    return {};
  }
  std::vector<std::pair<double, std::size_t>> order;  // the largest first: what comes later covers
  for (std::size_t i = 0; i < polygons.shapes.size(); ++i) {
    double area = 0.0;
    for (const base::Polygon& polygon : polygons.shapes[i].polygons) {
      area += base::area_m2(polygon);
    }
    order.emplace_back(-area, i);
  }
  std::stable_sort(order.begin(), order.end(), [&](const auto& a, const auto& b) {
    return a.first != b.first ? a.first < b.first : polygons.classes[a.second] < polygons.classes[b.second];
  });
  std::vector<base::Shape> shapes;
  std::vector<std::int32_t> values;
  for (const auto& one : order) {
    shapes.push_back(polygons.shapes[one.second]);
    values.push_back(index(polygons.classes[one.second]));
  }
  return geodata::burn_polygons(frame, shapes, values);
}

/// The tank of the lot at each cell, −1 none.
Grid<std::int32_t> burnt_tanks(const terrain::GridFrame& frame, const TankedLots& lots,
                               base::Workers workers) {
  std::vector<std::pair<double, std::size_t>> order;  // the largest first: what comes later covers
  for (std::size_t i = 0; i < lots.shapes.size(); ++i) {
    double area = 0.0;
    for (const base::Polygon& polygon : lots.shapes[i].polygons) area += base::area_m2(polygon);
    order.emplace_back(-area, i);
  }
  std::sort(order.begin(), order.end());
  std::vector<base::Shape> shapes;
  std::vector<std::int32_t> values;  // 0 = a lot without
  for (const auto& one : order) {
    shapes.push_back(lots.shapes[one.second]);
    values.push_back(lots.tanks[one.second] + 1);
  }
  Grid<std::int32_t> tanks = geodata::burn_polygons(frame, shapes, values);
  base::parallel_stripes(tanks.cells(), kStripes, workers, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t cell = begin; cell < end; ++cell) tanks[cell] = tanks[cell] > 0 ? tanks[cell] - 1 : -1;
  });
  return tanks;
}

Grid<std::int32_t> burnt_as_one(const terrain::GridFrame& frame, const std::vector<base::Shape>& shapes,
                                std::string_view surface) {
  if (shapes.empty()) {
    return {};
  }
  return geodata::burn_polygons(frame, shapes,
                                std::vector<std::int32_t>(shapes.size(), surface_index(surface)));
}

/// Textures of the table, and none of them before.
constexpr std::size_t kTextures = 12;

std::int32_t soil_index(std::string_view group, std::string_view texture) {
  std::size_t number = 0;
  const auto table = water::soil_textures();
  base::ensure(table.size() + 1 == kTextures, "as many textures as the table has");
  for (std::size_t i = 0; i < table.size(); ++i) {
    if (table[i].name == texture) number = i + 1;
  }
  return static_cast<std::int32_t>(static_cast<std::size_t>(water::soil_group(group)) * kTextures + number);
}

/// "C" or "C/loam".
std::int32_t written_soil_index(std::string_view name) {
  const std::size_t slash = name.find('/');
  return soil_index(name.substr(0, slash),
                    slash == std::string_view::npos ? std::string_view() : name.substr(slash + 1));
}

double connected_share(const water::SurfaceClass& surface, const study::LotSettings& lots) {
  switch (surface.kind) {
    case water::SurfaceKind::Roof:
      return lots.roof_connected;
    case water::SurfaceKind::YardPaving:
      return lots.yard_paving_connected;
    default:
      return 1.0;
  }
}

/// How open ground loses water, as the study says.
void give_rule(const study::SoilSettings& soil, std::size_t texture, study::LossClass& loss) {
  if (texture > 0) {
    const water::SoilTexture& row = water::soil_textures()[texture - 1];
    loss.infiltration = water::raw_infiltration(water::green_ampt_soil(row, *soil.saturation));
    loss.name += fmt::format("/{}", row.name);
  }
  if (soil.losses == "curve_number") {
    loss.bursts_by_infiltration = loss.infiltration.has_value();
  } else if (soil.losses == "curve_number_005") {
    loss.rule = study::LossRule::CurveNumberRevised;
  } else if (soil.losses == "green_ampt") {
    loss.rule = study::LossRule::Infiltration;
  } else if (soil.losses == "horton") {
    loss.rule = study::LossRule::Infiltration;
    loss.infiltration = water::raw_infiltration(
        water::HortonSoil{.initial = base::Rate::metres_per_second(*soil.horton_initial_m_s),
                          .final = base::Rate::metres_per_second(*soil.horton_final_m_s),
                          .decay_per_s = *soil.horton_decay_per_s});
  } else {
    loss.rule = study::LossRule::Coefficient;
    loss.coefficient = *soil.coefficient;
  }
}

water::RunoffCondition condition_of(const study::SoilSettings& soil) {
  if (soil.condition == "dry") return water::RunoffCondition::Dry;
  return soil.condition == "wet" ? water::RunoffCondition::Wet : water::RunoffCondition::Average;
}

study::LossClass loss_class(const water::SurfaceClass& surface, std::size_t soil,
                            const study::Settings& settings) {
  const auto group = static_cast<water::SoilGroup>(soil / kTextures);
  study::LossClass loss;
  loss.name =
      surface.pervious ? fmt::format("{}/{}", surface.name, water::letter(group)) : std::string(surface.name);
  loss.curve_number = surface.curve_number_for(group).value();
  if (surface.pervious) {
    loss.curve_number =
        water::under_condition(surface.curve_number_for(group), condition_of(settings.soil)).value();
    loss.wet_curve_number =
        water::under_condition(surface.curve_number_for(group), water::RunoffCondition::Wet).value();
  }
  loss.connected = connected_share(surface, settings.lots);
  loss.pervious = surface.pervious;
  loss.sheet_roughness = surface.sheet_roughness;
  loss.paved = surface.paved;
  if (surface.pervious) give_rule(settings.soil, soil % kTextures, loss);
  return loss;
}

/// Every layer on the grid, numbered as in the tables.
struct BurntCover {
  Grid<std::int32_t> yards, surfaces, pavement, buildings, soils;

  BurntCover(const terrain::GridFrame& frame, const GroundCover& cover, base::Workers workers) {
    constexpr std::int64_t kLayers = 5;
    base::parallel_stripes(kLayers, kLayers, workers, [&](std::int64_t layer, std::int64_t) {
      switch (layer) {
        case 0:
          surfaces = burnt(frame, cover.surfaces, surface_index);
          break;
        case 1:
          yards = burnt(frame, cover.yards, surface_index);
          break;
        case 2:
          pavement = burnt_as_one(frame, cover.pavement, "pavement");
          break;
        case 3:
          buildings = burnt_as_one(frame, cover.buildings, "roof");
          break;
        default:
          soils = burnt(frame, cover.soil_groups, written_soil_index);
          break;
      }
    });
  }

  /// What lies on top; −1 nothing.
  std::int32_t surface(std::int64_t cell) const {
    for (const Grid<std::int32_t>* layer : {&buildings, &pavement, &surfaces, &yards}) {
      if (!layer->empty() && (*layer)[cell] >= 0) {
        return (*layer)[cell];
      }
    }
    return -1;
  }
  std::int32_t soil(std::int64_t cell) const { return soils.empty() ? -1 : soils[cell]; }
};

Grid<std::uint8_t> mask_of(const Grid<std::int32_t>& layer, base::Workers workers) {
  auto mask = Grid<std::uint8_t>::unwritten(layer.rows(), layer.cols());
  base::parallel_stripes(mask.cells(), kStripes, workers, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t cell = begin; cell < end; ++cell) {
      mask[cell] = static_cast<std::uint8_t>(layer[cell] >= 0);
    }
  });
  return mask;
}

}  // namespace

void classify_ground(const GroundCover& cover, const study::Settings& settings, base::Workers workers,
                     study::StudyInputs& inputs) {
  const terrain::GridFrame& frame = inputs.ground.frame;
  const BurntCover burnt_cover(frame, cover, workers);
  if (!cover.pavement.empty()) {
    inputs.pavement = mask_of(burnt_cover.pavement, workers);
  }
  if (!cover.buildings.empty()) {
    inputs.roof = mask_of(burnt_cover.buildings, workers);
  }
  const auto table = water::surface_classes();
  const std::int32_t usual_surface = surface_index(settings.lots.default_surface);
  const std::int32_t usual_soil = soil_index(settings.soil.default_group, settings.soil.default_texture);
  constexpr std::size_t kSoils = kGroups * kTextures;
  if (!cover.lots.shapes.empty()) {
    inputs.tank = burnt_tanks(frame, cover.lots, workers);
  }
  std::vector<std::atomic<bool>> occurs(table.size() * kSoils);
  std::atomic<std::int64_t> without_surface{0};
  std::atomic<std::int64_t> without_soil{0};
  // First the pair of surface and soil of each cell, then its number among those that occur.
  inputs.loss_class = Grid<std::uint16_t>::unwritten(frame.rows, frame.cols);
  base::parallel_stripes(frame.cells(), kStripes, workers, [&](std::int64_t begin, std::int64_t end) {
    std::vector<std::uint8_t> met(occurs.size(), 0);
    std::int64_t no_surface = 0;
    std::int64_t no_soil = 0;
    for (std::int64_t cell = begin; cell < end; ++cell) {
      std::int32_t surface = burnt_cover.surface(cell);
      std::int32_t soil = burnt_cover.soil(cell);
      const bool known = inputs.ground.valid[cell] != 0;
      no_surface += surface < 0 && known ? 1 : 0;
      no_soil += soil < 0 && known ? 1 : 0;
      surface = surface < 0 ? usual_surface : surface;
      soil = soil < 0 ? usual_soil : soil;
      const auto row = static_cast<std::size_t>(surface);
      const std::size_t pair = row * kSoils + (table[row].pervious ? static_cast<std::size_t>(soil) : 0U);
      met[pair] = 1;
      if (!inputs.tank.empty() && table[row].kind != water::SurfaceKind::Roof) {
        inputs.tank[cell] = -1;
      }
      inputs.loss_class[cell] = static_cast<std::uint16_t>(pair);
    }
    for (std::size_t pair = 0; pair < met.size(); ++pair) {
      if (met[pair] != 0) {
        occurs[pair] = true;
      }
    }
    without_surface += no_surface;
    without_soil += no_soil;
  });
  if (without_surface > 0) {
    inputs.notes.add(base::NoteId::SurfaceClassMissing, 0.0, {}, without_surface);
  }
  if (without_soil > 0) {
    inputs.notes.add(base::NoteId::SoilGroupMissing, 0.0, {}, without_soil);
  }
  std::vector<std::uint16_t> number(occurs.size(), 0);
  for (std::size_t pair = 0; pair < occurs.size(); ++pair) {
    if (occurs[pair]) {
      number[pair] = static_cast<std::uint16_t>(inputs.loss_classes.size());
      inputs.loss_classes.push_back(loss_class(table[pair / kSoils], pair % kSoils, settings));
    }
  }
  base::parallel_stripes(frame.cells(), kStripes, workers, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t cell = begin; cell < end; ++cell) {
      inputs.loss_class[cell] = number[inputs.loss_class[cell]];
    }
  });
}

}  // namespace curbshed::cli
