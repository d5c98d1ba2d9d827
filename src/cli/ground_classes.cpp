#include "curbshed/cli/ground_classes.hpp"

#include "curbshed/geodata/burn.hpp"
#include "curbshed/water/soils.hpp"
#include "curbshed/water/surfaces.hpp"

#include <algorithm>
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

Grid<std::int32_t> burnt(const terrain::GridFrame& frame, const ClassedPolygons& polygons,
                         std::int32_t (*index)(std::string_view)) {
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

void cover_with(const Grid<std::int32_t>& upper, Grid<std::int32_t>& cover) {
  for (std::int64_t cell = 0; cell < cover.cells(); ++cell) {
    if (upper[cell] >= 0) {
      cover[cell] = upper[cell];
    }
  }
}

/// 1 under the polygons; the cells become `surface`.
Grid<std::uint8_t> cover_with_one(const terrain::GridFrame& frame, const std::vector<base::Shape>& shapes,
                                  std::string_view surface, Grid<std::int32_t>& cover) {
  const std::vector<std::int32_t> values(shapes.size(), surface_index(surface));
  const Grid<std::int32_t> upper = geodata::burn_polygons(frame, shapes, values);
  cover_with(upper, cover);
  Grid<std::uint8_t> mask(frame.rows, frame.cols, 0);
  for (std::int64_t cell = 0; cell < mask.cells(); ++cell) {
    mask[cell] = upper[cell] >= 0 ? 1 : 0;
  }
  return mask;
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

study::LossClass loss_class(const water::SurfaceClass& surface, std::size_t soil,
                            const study::Settings& settings) {
  const auto group = static_cast<water::SoilGroup>(soil / kTextures);
  study::LossClass loss;
  loss.name =
      surface.pervious ? fmt::format("{}/{}", surface.name, water::letter(group)) : std::string(surface.name);
  loss.curve_number = surface.curve_number_for(group).value();
  loss.connected = connected_share(surface, settings.lots);
  loss.pervious = surface.pervious;
  loss.sheet_roughness = surface.sheet_roughness;
  loss.paved = surface.paved;
  if (surface.pervious) give_rule(settings.soil, soil % kTextures, loss);
  return loss;
}

/// Cells of no class take the default and are counted, where there is ground.
void take_default(std::int32_t value, base::NoteId note, const Grid<std::uint8_t>& valid,
                  Grid<std::int32_t>& grid, base::Notes& notes) {
  std::int64_t missing = 0;
  for (std::int64_t cell = 0; cell < grid.cells(); ++cell) {
    if (grid[cell] < 0) {
      grid[cell] = value;
      missing += valid[cell] != 0 ? 1 : 0;
    }
  }
  if (missing > 0) {
    notes.add(note, 0.0, {}, missing);
  }
}

}  // namespace

void classify_ground(const GroundCover& cover, const study::Settings& settings, study::StudyInputs& inputs) {
  const terrain::GridFrame& frame = inputs.ground.frame;
  const Grid<std::uint8_t>& valid = inputs.ground.valid;
  Grid<std::int32_t> surface = burnt(frame, cover.yards, surface_index);
  cover_with(burnt(frame, cover.surfaces, surface_index), surface);
  if (!cover.pavement.empty()) {
    inputs.pavement = cover_with_one(frame, cover.pavement, "pavement", surface);
  }
  if (!cover.buildings.empty()) {
    inputs.roof = cover_with_one(frame, cover.buildings, "roof", surface);
  }
  take_default(surface_index(settings.lots.default_surface), base::NoteId::SurfaceClassMissing, valid,
               surface, inputs.notes);
  Grid<std::int32_t> soil = burnt(frame, cover.soil_groups, written_soil_index);
  take_default(soil_index(settings.soil.default_group, settings.soil.default_texture),
               base::NoteId::SoilGroupMissing, valid, soil, inputs.notes);

  const auto table = water::surface_classes();
  constexpr std::size_t kSoils = kGroups * kTextures;
  std::vector<std::int32_t> number(table.size() * kSoils, -1);  // of a pair, −1: does not occur
  const auto pair_of = [&](std::int64_t cell) {
    const auto row = static_cast<std::size_t>(surface[cell]);
    return row * kSoils + (table[row].pervious ? static_cast<std::size_t>(soil[cell]) : 0U);
  };
  for (std::int64_t cell = 0; cell < surface.cells(); ++cell) {
    number[pair_of(cell)] = 0;
  }
  for (std::size_t pair = 0; pair < number.size(); ++pair) {
    if (number[pair] == 0) {
      number[pair] = static_cast<std::int32_t>(inputs.loss_classes.size());
      inputs.loss_classes.push_back(loss_class(table[pair / kSoils], pair % kSoils, settings));
    }
  }
  inputs.loss_class = Grid<std::uint16_t>(frame.rows, frame.cols, 0);
  for (std::int64_t cell = 0; cell < surface.cells(); ++cell) {
    inputs.loss_class[cell] = static_cast<std::uint16_t>(number[pair_of(cell)]);
  }
}

}  // namespace curbshed::cli
